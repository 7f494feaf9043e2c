//! Mean time between failures when age does not matter.

use ft_stats::distribution::chi_squared_quantile;

use crate::Lives;

/// Mean time between failures with its bounds, in the unit of the ages.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanTime {
    /// Total time over failures; infinite when nothing failed.
    pub mean: f64,
    /// Lower bound.
    pub low: f64,
    /// Upper bound; infinite when nothing failed.
    pub high: f64,
}

/// Mean time between failures and two-sided bounds at `confidence`, observation ended by time.
///
/// Only honest where a Weibull fit does not exclude a shape of 1.
/// Source: NIST/SEMATECH e-Handbook 8.4.5.1, chi-squared bounds.
pub fn mean_time(lives: &Lives, confidence: f64) -> MeanTime {
    mean_time_of(lives.failures(), lives.total_age(), confidence)
}

/// As [`mean_time`], from the number of failures and the total time.
pub fn mean_time_of(failures: u32, total: f64, confidence: f64) -> MeanTime {
    let count = f64::from(failures);
    let tail = (1.0 - confidence) / 2.0;
    let low = 2.0 * total / chi_squared_quantile(1.0 - tail, 2.0 * count + 2.0);
    if failures == 0 {
        return MeanTime { mean: f64::INFINITY, low, high: f64::INFINITY };
    }
    MeanTime { mean: total / count, low, high: 2.0 * total / chi_squared_quantile(tail, 2.0 * count) }
}
