//! Strength × time of drinking water: how tables are looked up.
//!
//! These tables are for clear, dilute water. They explain; they never accept a sanitised surface.

/// One cell of a table: what kills `logs` decimal logs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Decimal logs.
    pub logs: f64,
    /// Temperature, °C.
    pub celsius: f64,
    /// pH.
    pub ph: f64,
    /// Free chlorine, mg/L.
    pub strength_mg_per_l: f64,
    /// Strength × time, mg min/L.
    pub ct_mg_min_per_l: f64,
}

/// Cells for Giardia cysts. Source: the two examples in the instructions of the US EPA's tables (read); the rest of
/// the table was not read and is not here.
pub const GIARDIA: &[Cell] = &[
    Cell { logs: 3.0, celsius: 15.0, ph: 7.5, strength_mg_per_l: 1.2, ct_mg_min_per_l: 92.0 },
    Cell { logs: 1.5, celsius: 0.5, ph: 8.0, strength_mg_per_l: 1.0, ct_mg_min_per_l: 152.0 },
];

/// °C and mg min/L for 4 decimal logs of viruses at pH 6 to 9. Source: US EPA's table, from memory; the value of
/// 10.67 between the first two rows was read on a waterworks' page.
pub const VIRUSES_4_LOG: &[(f64, f64)] =
    &[(0.5, 12.0), (5.0, 8.0), (10.0, 6.0), (15.0, 4.0), (20.0, 3.0), (25.0, 2.0)];

/// The cell of a table for a case that lies between its cells: temperature equal or below, pH equal or above,
/// strength equal or above, the least strength × time of those. `None` where the table has no such cell.
///
/// Source: instructions of the US EPA's tables (read).
pub fn look_up(table: &[Cell], logs: f64, celsius: f64, ph: f64, strength_mg_per_l: f64) -> Option<Cell> {
    let safe = table.iter().copied().filter(|cell| {
        cell.logs >= logs
            && cell.celsius <= celsius
            && ph <= cell.ph
            && strength_mg_per_l <= cell.strength_mg_per_l
    });
    safe.min_by(|a, b| a.ct_mg_min_per_l.total_cmp(&b.ct_mg_min_per_l))
}

/// Strength × time for 4 decimal logs of viruses at a temperature between 0.5 and 25 °C, on straight lines between
/// the rows. `None` outside.
pub fn viruses_4_log(celsius: f64) -> Option<f64> {
    VIRUSES_4_LOG.windows(2).find(|rows| (rows[0].0..=rows[1].0).contains(&celsius)).map(|rows| {
        let ((low, ct_low), (high, ct_high)) = (rows[0], rows[1]);
        ct_low + (ct_high - ct_low) * (celsius - low) / (high - low)
    })
}

/// Strength × time that was given: mg/L times seconds, in mg min/L.
pub fn given(strength_mg_per_l: f64, seconds: f64) -> f64 {
    strength_mg_per_l * seconds / 60.0
}
