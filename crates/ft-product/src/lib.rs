//! Arithmetic of what is served: overrun, density, freezing point, syrup, and the usual mistakes by name.
//!
//! Targets are the site's own. Nothing here reads a scale or a thermometer; every number is one that was
//! measured or asked for, with its unit in its name. Masses compare only with masses taken of the same volume.

mod band;
mod brix;
mod density;
mod freezing;
mod heat;
mod mistakes;
mod overrun;
mod slips;
mod sucrose;
mod view;

pub use band::Band;
pub use brix::{brix_from_density, brix_of, dilution_water_kg, syrup_share};
pub use density::{
    SolidsInMix, mix_density, most_overrun_for_weight, product_density, solids_needed_percent,
};
pub use freezing::{Composition, freezing_point_c, salt_depression_c, salt_depression_f, water_frozen_share};
pub use heat::{HeatStep, heat_btu, pull_down_min};
pub use mistakes::{Mistake, explain_reported};
pub use overrun::{CupCheck, cup_check, gross_for_overrun, overrun_by_volume, overrun_by_weight};
pub use slips::{Slip, explain_reading};
pub use sucrose::{MOST_SUCROSE_PERCENT, sucrose_depression_c, sucrose_percent_at};
pub use view::{FreezingView, ProductView, SyrupView};

/// What every answer about the product ends with.
pub const CAUTION: &str = "Targets are the site's; what may be sold under a name is for your local code. \
     A drifting figure is a reason to look at seals and air orifices, never a proof.";

/// Why a question has no answer, and what to give instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadProduct {
    /// What is wrong, one plain sentence without a full stop.
    pub message: String,
    /// What would be right.
    pub remedy: String,
}

impl std::fmt::Display for BadProduct {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}; {}", self.message, self.remedy)
    }
}

impl std::error::Error for BadProduct {}

/// A number above 0, or what is wrong with it.
fn above_zero(value: f64, what: &str) -> Result<f64, BadProduct> {
    if value > 0.0 && value.is_finite() {
        return Ok(value);
    }
    Err(BadProduct { message: format!("{what} of {value} cannot be"), remedy: "give more than 0".into() })
}

/// A number within a range, or what is wrong with it.
fn within(value: f64, low: f64, high: f64, what: &str) -> Result<f64, BadProduct> {
    if (low..=high).contains(&value) {
        return Ok(value);
    }
    Err(BadProduct {
        message: format!("{what} of {value} lies outside what can be answered"),
        remedy: format!("give {low} to {high}"),
    })
}
