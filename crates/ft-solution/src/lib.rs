//! Solutions of a cleaning chemical: how much to measure, how strong it is, how much of it works.
//!
//! Arithmetic prepares a solution; it never accepts one. The label of the chemical outranks every figure here,
//! and the test strip decides: see [`THE_STRIP_DECIDES`]. This crate knows no rule of any place; verdicts under
//! rules come from those who hold the answer of this crate against them.

mod chlorine;
mod dose;
mod life;
mod measure;
mod mixing;
mod strength;
mod strip;
mod view;

pub use chlorine::{HoclShare, hocl, pka};
pub use dose::{Dose, DoseAsked, Measured, dose, strength_of};
pub use life::{good_for_min, half_life_strength, least_half_life};
pub use measure::{KITCHEN, Measure, measure_named};
pub use mixing::{Chemical, Clash, NEVER_MEET, clash, clashes};
pub use strength::{AVAILABLE_OF_HYPOCHLORITE, ProductStrength};
pub use strip::{Band, BandVerdict, Strip, StripProblem};
pub use view::{DoseView, MeasuredView};

/// What every answer about a solution ends with.
pub const THE_STRIP_DECIDES: &str = "Arithmetic prepares, the strip decides: read a test strip before use, and follow \
     the label of the chemical and your local code where they ask for more.";

/// Why a question about a solution has no answer, and what to give instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadSolution {
    /// What is wrong, one plain sentence without a full stop.
    pub message: String,
    /// What would be right.
    pub remedy: String,
}

impl BadSolution {
    fn new(message: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { message: message.into(), remedy: remedy.into() }
    }
}

impl std::fmt::Display for BadSolution {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}; {}", self.message, self.remedy)
    }
}

impl std::error::Error for BadSolution {}
