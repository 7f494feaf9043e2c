//! Rows of rules and trade: a table in which inputs and expectations are sentences.
//!
//! A row's numbers are read out of its input, in order; its group reckons from them; what it says is then looked
//! for in the expectation, word by word and number by number, in order, the first at its beginning. A row whose
//! id no group knows fails by name.

mod product;
mod rules;
mod said;
mod solution;
mod time;

use std::path::{Path, PathBuf};

pub use said::{Said, numbers};

/// One row of the table.
#[derive(Debug, Clone)]
pub struct TradeRow {
    /// Unique name.
    pub id: String,
    /// What is given, in words.
    pub input: String,
    /// What must come out, in words.
    pub expected: String,
    /// `exact`, or how far off a number may be.
    pub tolerance: String,
    /// Where the expected value comes from.
    pub source: String,
    /// How sure we are of the source.
    pub status: String,
}

/// The file that is asked for: `FULLTRAY_TRADE_ORACLES` if it is set, else that of this repository.
pub fn chosen_file() -> PathBuf {
    std::env::var_os("FULLTRAY_TRADE_ORACLES")
        .map_or_else(|| crate::rows::folder().join("rules-and-trade.csv"), PathBuf::from)
}

/// Reads the rows of a file.
///
/// # Errors
/// The file cannot be read, lacks a column, or repeats an id.
pub fn read(file: &Path) -> Result<Vec<TradeRow>, String> {
    let name = file.display();
    let mut reader = csv::Reader::from_path(file).map_err(|e| format!("{name}: {e}"))?;
    let header = reader.headers().map_err(|e| format!("{name}: {e}"))?;
    if header != vec!["id", "input", "expected", "tolerance", "source", "status"] {
        return Err(format!("{name}: its columns are {header:?}"));
    }
    let mut rows: Vec<TradeRow> = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|e| format!("{name}: {e}"))?;
        let cell = |place: usize| record.get(place).unwrap_or_default().trim().to_owned();
        if rows.iter().any(|row| row.id == cell(0)) {
            return Err(format!("{name}: the id {} stands twice", cell(0)));
        }
        rows.push(TradeRow {
            id: cell(0),
            input: cell(1),
            expected: cell(2),
            tolerance: cell(3),
            source: cell(4),
            status: cell(5),
        });
    }
    Ok(rows)
}

/// What became of one row.
///
/// # Errors
/// One sentence: nobody knows the row, its numbers are not as they should be, or the answer is not the expected.
pub fn check(row: &TradeRow) -> Result<(), String> {
    let numbers = numbers(&row.input);
    let groups = [rules::answer, solution::answer, time::answer, product::answer];
    let said = groups.iter().find_map(|group| group(&row.id, &row.input, &numbers)).ok_or_else(|| {
        format!("row {}: nobody understands it, or its numbers {numbers:?}; input {}", row.id, row.input)
    })?;
    let tolerance = match row.tolerance.as_str() {
        "exact" => 1e-9,
        number => number.parse().map_err(|_| format!("row {}: tolerance {number}", row.id))?,
    };
    said::compare(&said, &row.expected, tolerance).map_err(|why| format!("row {}: {why}", row.id))
}
