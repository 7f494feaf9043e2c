//! What a row of readings says, and what it cannot say.
//!
//! Control charts flag drift before a limit is met; they never replace the check of the limit itself. Measurement
//! limits say when a reading is too close to call. Swab baselines and sampling plans judge lots and surfaces, with
//! the odds that a bad one passes. Knows no machine, no person and no law: limits come in as numbers. Check values:
//! `tests/` and the oracle rows `IMR`, `EWMA`, `CUSUM`, `ARL`.

pub mod ahead;
pub mod arl;
pub mod chart_view;
pub mod cusum;
pub mod ewma;
pub mod heads;
pub mod individuals;
pub mod measurement;
pub mod plan;
pub mod rolling;
pub mod sample_view;
pub mod swab;
pub mod table;

use std::fmt;

/// Why a list of readings cannot be used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BadReadings {
    /// Too few for what is asked.
    TooFew {
        /// How many there are.
        have: usize,
        /// How many there must be.
        need: usize,
    },
    /// A reading is not a finite number.
    NotFinite {
        /// Its place, counted from 1.
        number: usize,
    },
    /// All readings are equal: their spread is below what the instrument shows, and no limits can be drawn.
    NoSpread,
}

impl fmt::Display for BadReadings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { have, need } => write!(f, "{have} readings, and at least {need} are needed"),
            Self::NotFinite { number } => write!(f, "reading {number} is not a finite number"),
            Self::NoSpread => write!(f, "all readings are equal, so that no limits can be drawn from them"),
        }
    }
}

impl std::error::Error for BadReadings {}

/// Checks that there are enough readings and that each is finite.
pub(crate) fn checked(values: &[f64], need: usize) -> Result<(), BadReadings> {
    if values.len() < need {
        return Err(BadReadings::TooFew { have: values.len(), need });
    }
    match values.iter().position(|value| !value.is_finite()) {
        Some(index) => Err(BadReadings::NotFinite { number: index + 1 }),
        None => Ok(()),
    }
}
