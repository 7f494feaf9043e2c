//! Freezing point depression of sucrose in water.

use crate::{BadProduct, within};

/// Beyond this per cent by mass there is no figure: tables and models differ by 0.2 °C from 34 % on.
pub const MOST_SUCROSE_PERCENT: f64 = 40.0;

/// Per cent by mass and depression in °C.
///
/// Source: CRC Handbook table of aqueous solutions (from memory; agrees with a Norrish activity model to 0.02 °C
/// up to 30 %).
const TABLE: &[(f64, f64)] = &[
    (1.0, 0.06),
    (2.0, 0.11),
    (5.0, 0.29),
    (8.0, 0.49),
    (10.0, 0.63),
    (12.0, 0.77),
    (15.0, 1.01),
    (20.0, 1.47),
    (24.0, 1.89),
    (26.0, 2.12),
    (30.0, 2.64),
    (34.0, 3.27),
    (40.0, 4.45),
];

/// Depression of the freezing point in °C, 0 or more, of a solution of sucrose in per cent by mass, 0 to 40.
///
/// Between the rows of the table a straight line in depression against per cent; below 1 % through the origin.
///
/// # Errors
/// [`BadProduct`] outside 0 to 40 %.
pub fn sucrose_depression_c(percent: f64) -> Result<f64, BadProduct> {
    let percent = within(percent, 0.0, MOST_SUCROSE_PERCENT, "a per cent of sucrose")?;
    Ok(line(percent, |row| row.0, |row| row.1))
}

/// Per cent by mass of sucrose that freezes at a depression in °C, 0 to 4.45: the inverse of
/// [`sucrose_depression_c`].
///
/// # Errors
/// [`BadProduct`] outside that range.
pub fn sucrose_percent_at(depression_c: f64) -> Result<f64, BadProduct> {
    let depression = within(depression_c, 0.0, 4.45, "a depression in °C")?;
    Ok(line(depression, |row| row.1, |row| row.0))
}

fn line(at: f64, x: impl Fn(&(f64, f64)) -> f64, y: impl Fn(&(f64, f64)) -> f64) -> f64 {
    let mut below = (0.0, 0.0);
    for row in TABLE {
        let above = (x(row), y(row));
        if at <= above.0 {
            return below.1 + (above.1 - below.1) * (at - below.0) / (above.0 - below.0);
        }
        below = above;
    }
    below.1
}
