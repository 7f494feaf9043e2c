//! Freezing point depression of sucrose in water.

use crate::{BadProduct, within};

/// Beyond this per cent by mass, 180 g in 100 g of water, there is no figure.
pub const MOST_SUCROSE_PERCENT: f64 = 18_000.0 / 280.0;

/// Depression in °C at [`MOST_SUCROSE_PERCENT`].
const MOST_DEPRESSION_C: f64 = 13.68;

/// Per cent by mass and depression in °C.
///
/// Source: CRC Handbook of Chemistry and Physics, 102nd edition, concentrative properties of aqueous solutions (read
/// as quoted in a public data set).
const UP_TO_42: &[(f64, f64)] = &[
    (1.0, 0.06),
    (2.0, 0.11),
    (5.0, 0.29),
    (8.0, 0.49),
    (10.0, 0.63),
    (12.0, 0.77),
    (15.0, 1.01),
    (20.0, 1.47),
    (22.0, 1.67),
    (24.0, 1.89),
    (26.0, 2.12),
    (28.0, 2.37),
    (30.0, 2.64),
    (32.0, 2.94),
    (34.0, 3.27),
    (36.0, 3.63),
    (38.0, 4.02),
    (40.0, 4.45),
    (42.0, 4.93),
];

/// Grams in 100 g of water and depression in °C, for the draw temperatures that the first table does not reach.
///
/// Source: Goff and Hartel 2013, Ice Cream, 7th edition, table 6.1 (read as quoted in a public repository).
const FROM_75_G: &[(f64, f64)] = &[
    (75.0, 5.0),
    (81.0, 5.53),
    (90.0, 6.23),
    (99.0, 7.04),
    (108.0, 7.8),
    (120.0, 8.92),
    (129.0, 9.71),
    (141.0, 10.72),
    (150.0, 11.41),
    (165.0, 12.67),
    (180.0, 13.68),
];

/// Both tables as per cent by mass and depression, rising.
fn rows() -> impl Iterator<Item = (f64, f64)> {
    let beyond = FROM_75_G.iter().map(|(grams, depression)| (grams / (grams + 100.0) * 100.0, *depression));
    UP_TO_42.iter().copied().chain(beyond)
}

/// Depression of the freezing point in °C, 0 or more, of a solution of sucrose in per cent by mass, 0 to 64.28.
///
/// Between the rows of the table a straight line in depression against per cent; below 1 % through the origin.
///
/// # Errors
/// [`BadProduct`] outside that range.
pub fn sucrose_depression_c(percent: f64) -> Result<f64, BadProduct> {
    let percent = within(percent, 0.0, MOST_SUCROSE_PERCENT, "a per cent of sucrose")?;
    Ok(line(percent, |row| row.0, |row| row.1))
}

/// Per cent by mass of sucrose that freezes at a depression in °C, 0 to 13.68: the inverse of
/// [`sucrose_depression_c`].
///
/// # Errors
/// [`BadProduct`] outside that range.
pub fn sucrose_percent_at(depression_c: f64) -> Result<f64, BadProduct> {
    let depression = within(depression_c, 0.0, MOST_DEPRESSION_C, "a depression in °C")?;
    Ok(line(depression, |row| row.1, |row| row.0))
}

fn line(at: f64, x: impl Fn((f64, f64)) -> f64, y: impl Fn((f64, f64)) -> f64) -> f64 {
    let mut below = (0.0, 0.0);
    for row in rows() {
        let above = (x(row), y(row));
        if at <= above.0 {
            return below.1 + (above.1 - below.1) * (at - below.0) / (above.0 - below.0);
        }
        below = above;
    }
    below.1
}
