//! Reads rows of check values, asks the family that knows them for an answer, and compares.
//!
//! A row is `{id, input, expected, tolerance, source, status}`. The families in [`families`] recognise a row by
//! the shape of its input and the first words of its id, never by one whole id, so that the runner can be pointed
//! at another file of the same shape. A row that no family understands is a failure that names the row.
//!
//! This crate is used by tests only; no program depends on it.

pub mod compare;
pub mod coverage;
pub mod families;
pub mod rows;
pub mod trade;

pub use rows::Row;

/// What became of one row.
///
/// # Errors
/// One sentence: no family understands it, the family could not read its input, or the answer is outside the
/// tolerance.
pub fn check(row: &Row) -> Result<(), String> {
    let answer = families::answer(&row.id, &row.input)
        .ok_or_else(|| format!("row {}: no family understands it; input {}", row.id, row.input))?
        .map_err(|why| format!("row {}: {why}; input {}", row.id, row.input))?;
    compare::within(&answer, &row.expected, &row.tolerance).map_err(|why| format!("row {}: {why}", row.id))
}
