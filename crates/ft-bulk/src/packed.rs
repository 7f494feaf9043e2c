//! Uniform logs under square-root lines, summed in whole numbers.
//!
//! Along a stretch the dose of `√μ = b (T - Tmin)` is `b² h (x0² + x0 x1 + x1²)/3` with `x = T - Tmin`. Multiplied
//! out, a whole log needs only three sums of whole hundredths of a degree, `Σ t`, `Σ t²` and `Σ t t'`: exact, in any
//! order, eight at a time on any processor, and the same sums serve every square-root line. They hold while no
//! reading is below the line's least temperature; where the log passes a kink of the curve, the table takes over.

use ft_growth::{RateCurve, SecondaryModel};

use crate::table::{Centi, DoseTable};

/// What a uniform log adds up to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moments {
    /// How many stretches.
    pub stretches: i64,
    /// `Σ (t0 + t1)` over the stretches, hundredths of a degree.
    pub linear: i64,
    /// `Σ (t0² + t0 t1 + t1²)` over the stretches.
    pub square: i64,
    /// Coldest reading.
    pub coldest: Centi,
    /// Warmest reading.
    pub warmest: Centi,
}

/// Products that fit one sum of 32 bits: 16 squares of at most 10,000.
const BLOCK: usize = 16;

/// The sums of a log; `None` with fewer than two readings.
pub fn moments(readings: &[Centi]) -> Option<Moments> {
    let (first, last) = (*readings.first()?, *readings.last()?);
    if readings.len() < 2 {
        return None;
    }
    let (mut sum, mut squares, mut products) = (0_i64, 0_i64, 0_i64);
    let (mut coldest, mut warmest) = (first, first);
    for (here, next) in readings.chunks(BLOCK).zip(readings[1..].chunks(BLOCK)) {
        let (mut block_sum, mut block_squares, mut block_products) = (0_i32, 0_i32, 0_i32);
        for (t, after) in here.iter().zip(next) {
            block_sum += i32::from(*t);
            block_squares += i32::from(*t) * i32::from(*t);
            block_products += i32::from(*t) * i32::from(*after);
            coldest = coldest.min(*t);
            warmest = warmest.max(*t);
        }
        sum += i64::from(block_sum);
        squares += i64::from(block_squares);
        products += i64::from(block_products);
    }
    let (first_wide, last_wide) = (i64::from(first), i64::from(last));
    // The loop pairs each reading with the next, so the last one is in none of its own sums yet.
    Some(Moments {
        stretches: readings.len() as i64 - 1,
        linear: 2 * sum - first_wide + last_wide,
        square: 2 * squares - first_wide * first_wide + last_wide * last_wide + products,
        coldest: coldest.min(last),
        warmest: warmest.max(last),
    })
}

/// Dose of a uniform log of steps of `step_h` hours, in natural logs: by whole-number sums where one square-root
/// line holds for the whole range of the log, else by the table.
pub fn dose(readings: &[Centi], moments: &Moments, table: &DoseTable, step_h: f64) -> f64 {
    match line_for(table.curve(), moments) {
        Some((b, t_min)) => dose_of_line(moments, b, t_min, step_h),
        None => table.dose(readings, step_h),
    }
}

/// The one square-root line that the curve is between the coldest and the warmest reading.
fn line_for(curve: &RateCurve, moments: &Moments) -> Option<(f64, f64)> {
    let (low, high) = (f64::from(moments.coldest) / 100.0, f64::from(moments.warmest) / 100.0);
    match curve.smooth_model(low, high)? {
        SecondaryModel::SquareRoot { b, t_min } if t_min <= low => Some((b, t_min)),
        SecondaryModel::SquareRoot { .. }
        | SecondaryModel::ExtendedSquareRoot { .. }
        | SecondaryModel::Cardinal { .. } => None,
    }
}

fn dose_of_line(moments: &Moments, b: f64, t_min: f64, step_h: f64) -> f64 {
    let least = 100.0 * t_min;
    let sum = moments.square as f64 - 3.0 * least * moments.linear as f64
        + 3.0 * least * least * moments.stretches as f64;
    b * b * step_h * sum / 30_000.0
}

#[cfg(test)]
mod tests {
    use super::{dose, moments};
    use crate::table::{Centi, DoseTable};
    use ft_growth::{RateCurve, SecondaryModel};

    fn log(coldest: i32) -> Vec<Centi> {
        (0..289).map(|n| (coldest + (n * 7919) % 1400) as Centi).collect()
    }

    /// Above the kinks, across them and below them: the whole-number sums never answer where a line does not hold.
    #[test]
    fn whole_number_sums_agree_with_the_table() {
        let lines = vec![
            SecondaryModel::SquareRoot { b: 0.024, t_min: -2.32 },
            SecondaryModel::SquareRoot { b: 0.027_911, t_min: -1.6273 },
        ];
        let table = DoseTable::new(&RateCurve::new(lines).unwrap());
        for coldest in [-1500, -700, -100, 100, 300, 4000, 8600] {
            let readings = log(coldest);
            let sums = moments(&readings).unwrap();
            let by_table = table.dose(&readings, 1.0 / 12.0);
            let error = (dose(&readings, &sums, &table, 1.0 / 12.0) - by_table).abs();
            assert!(error <= 1e-11 * by_table.max(1.0), "from {coldest}: {error:e}");
        }
    }

    #[test]
    fn the_sums_are_those_of_the_plain_loop() {
        for length in [2, 3, 15, 16, 17, 18, 33, 289] {
            let readings = &log(8600)[..length];
            let sums = moments(readings).unwrap();
            let (mut linear, mut square) = (0_i64, 0_i64);
            for pair in readings.windows(2) {
                let (x, y) = (i64::from(pair[0]), i64::from(pair[1]));
                linear += x + y;
                square += x * x + x * y + y * y;
            }
            assert_eq!((sums.linear, sums.square), (linear, square), "{length} readings");
            assert_eq!(Some(sums.warmest), readings.iter().copied().max());
            assert_eq!(Some(sums.coldest), readings.iter().copied().min());
        }
        assert_eq!(moments(&[300]), None);
    }
}
