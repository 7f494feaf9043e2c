//! How long steps take, and how sure that is.
//!
//! Lengths are log-normal: they have no upper end, double as easily as they halve, and are learned from the record
//! per step and person. A person with few runs is drawn to the crew's mean, a new step to what the card says; practice
//! shortens a step down to a floor. Out of it comes a law for each step and person that the planner draws nights
//! from. For planning, never for ranking people. Check values: `tests/` and the oracle rows `DUR`, `EB`, `LEARN`,
//! `PERT`, `SUMLN`.

pub mod learning;
pub mod lengths;
pub mod lognormal;
pub mod pert;
pub mod pool;
pub mod prior;
pub mod sum;

use std::fmt;

/// Why a list of lengths cannot be used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BadLengths {
    /// Too few for what is asked.
    TooFew {
        /// How many there are.
        have: usize,
        /// How many there must be.
        need: usize,
    },
    /// A length is not a finite number above 0.
    NotPositive {
        /// Its place, counted from 1.
        number: usize,
    },
}

impl fmt::Display for BadLengths {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { have, need } => write!(f, "{have} lengths, and at least {need} are needed"),
            Self::NotPositive { number } => write!(f, "length {number} is not a finite number above 0"),
        }
    }
}

impl std::error::Error for BadLengths {}
