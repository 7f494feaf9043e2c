//! What is asked of each history, and what comes out.

use ft_growth::Organism;
use ft_growth::organisms::Shown;
use serde::Serialize;

use crate::table::DoseTable;

/// One organism, ready for bulk work.
#[derive(Debug, Clone)]
pub struct Subject {
    /// Its id.
    pub id: String,
    /// Its dose table.
    pub table: DoseTable,
    /// Increase at which somebody has to decide, natural logs.
    pub hold_ln: f64,
    /// Increase at which the product goes, natural logs.
    pub discard_ln: f64,
}

impl Subject {
    /// The organisms for which growth is predicted, in their order.
    pub fn all(organisms: &[Organism]) -> Vec<Self> {
        organisms
            .iter()
            .filter_map(|organism| match &organism.shown {
                Shown::Growth { growth, .. } => Some(Self {
                    id: organism.id.clone(),
                    table: DoseTable::new(&growth.curve),
                    hold_ln: growth.hold_log10 * std::f64::consts::LN_10,
                    discard_ln: growth.discard_log10 * std::f64::consts::LN_10,
                }),
                Shown::TimeAbove { .. } => None,
            })
            .collect()
    }
}

/// What one history adds up to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outcome {
    /// The history's name: its file, or its id in a table.
    pub name: String,
    /// Readings that were used.
    pub readings: u64,
    /// How long it is, h.
    pub hours: f64,
    /// Warmest temperature, assumptions included, °C; `None` without readings.
    pub warmest_c: Option<f64>,
    /// Increase for each subject, log10.
    pub increase_log10: Vec<f64>,
    /// Stretches without readings, and how long they are together, h.
    pub gaps: u64,
    /// See `gaps`.
    pub gap_hours: f64,
    /// Readings that were left out, of which the first few are listed in `left_out`.
    pub left_out_count: u64,
    /// The first few readings that were left out.
    pub left_out: Vec<LeftOut>,
    /// `nothing to add`, `hold for a decision` or `discard earlier`; there is no other word.
    pub advice: &'static str,
}

/// A reading that was left out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LeftOut {
    /// Its line in the file, or its row in the table, counting from 1.
    pub line: u64,
    /// Why.
    pub why: String,
}
