//! Heat to bring food from one temperature to another, and how long a machine needs for it.

use crate::{BadProduct, above_zero};

/// One part of the way; per pound and degree Fahrenheit, as the handbooks of the trade have it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HeatStep {
    /// Warming or cooling without change of state.
    Sensible {
        /// Specific heat, Btu/(lb °F).
        specific: f64,
        /// From, °F.
        from_f: f64,
        /// To, °F.
        to_f: f64,
    },
    /// Freezing or melting.
    Latent {
        /// Heat of the change, Btu/lb.
        latent: f64,
    },
}

/// Heat of each step in Btu, 0 or more, for a mass in pounds.
///
/// # Errors
/// [`BadProduct`] where mass, specific heat or latent heat is not above 0.
pub fn heat_btu(mass_lb: f64, steps: &[HeatStep]) -> Result<Vec<f64>, BadProduct> {
    let mass = above_zero(mass_lb, "a mass")?;
    let step = |step: &HeatStep| match *step {
        HeatStep::Sensible { specific, from_f, to_f } => {
            Ok(mass * above_zero(specific, "a specific heat")? * (from_f - to_f).abs())
        }
        HeatStep::Latent { latent } => Ok(mass * above_zero(latent, "a latent heat")?),
    };
    steps.iter().map(step).collect()
}

/// Minutes that a machine of a capacity in Btu/h needs for that heat, with no losses: the least it can be.
///
/// # Errors
/// [`BadProduct`] where the capacity is not above 0.
pub fn pull_down_min(heat_btu: f64, capacity_btu_per_h: f64) -> Result<f64, BadProduct> {
    Ok(heat_btu / above_zero(capacity_btu_per_h, "a capacity")? * 60.0)
}
