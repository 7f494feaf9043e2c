//! How long until a limit is met, by the slope of the last readings.
//!
//! A straight line is laid through the readings by least squares. It says something only where its slope is surely
//! not level; and of the times that it allows, the earliest is told. It can make somebody look sooner. It never says
//! that there is time: readings that go up and down have no slope, and a quiet trend is no proof of anything.

use ft_stats::distribution::student_quantile;
use ft_stats::maths::{mean, sqrt, sum};

/// As few readings make a slope. Source: none, our choice: three degrees of freedom for the spread about the line.
pub const FEWEST: usize = 5;
/// How sure a slope has to be to count, on the side that matters. Source: none, our choice: the usual 95 %.
pub const SURE: f64 = 0.95;

/// The line through readings; values in their own unit, times in seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trend {
    /// How many readings it is laid through.
    pub count: usize,
    /// Value of the line at the last reading.
    pub level: f64,
    /// Change in a second.
    pub slope: f64,
    /// Standard deviation of the slope.
    pub slope_error: f64,
    /// Standard deviation of readings about the line.
    pub spread: f64,
}

/// When a limit is met if the line goes on, seconds after the last reading; `earliest_s <= expected_s`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ahead {
    /// By the steepest slope that the readings allow: the one to act by.
    pub earliest_s: f64,
    /// By the slope itself.
    pub expected_s: f64,
}

/// The line through readings of time in seconds and value, in order of time; `None` for fewer than [`FEWEST`], for
/// readings all of one moment, and where a number is none.
///
/// Slope `b = Σ(t - t̄)(y - ȳ) / Σ(t - t̄)²`, its standard deviation `s / √Σ(t - t̄)²` with
/// `s² = Σ(y - line)² / (n - 2)`. Source: NIST/SEMATECH e-Handbook 4.1.4.1; check values: NIST `StRD`, Norris.
pub fn trend(readings: &[(f64, f64)]) -> Option<Trend> {
    let count = readings.len();
    if count < FEWEST || readings.iter().any(|(t, y)| !t.is_finite() || !y.is_finite()) {
        return None;
    }
    let (times, values): (Vec<f64>, Vec<f64>) = readings.iter().copied().unzip();
    let (mean_t, mean_y) = (mean(&times), mean(&values));
    let across = sum(times.iter().map(|t| (t - mean_t) * (t - mean_t)));
    if across <= 0.0 {
        return None;
    }
    let slope = sum(readings.iter().map(|(t, y)| (t - mean_t) * (y - mean_y))) / across;
    let line = |t: f64| mean_y + slope * (t - mean_t);
    let off = sum(readings.iter().map(|(t, y)| (y - line(*t)) * (y - line(*t))));
    let spread = sqrt(off / (count as f64 - 2.0));
    Some(Trend { count, level: line(times[count - 1]), slope, slope_error: spread / sqrt(across), spread })
}

impl Trend {
    /// When a limit above (`is_upper`) or below is met, from the last reading `now` on; `None` where the slope is not
    /// surely towards it.
    ///
    /// The way to go is that from the line or from the last reading, whichever is shorter. The slope counts only if
    /// its one-sided bound of [`SURE`] (Student's t, n - 2) still points at the limit; `earliest_s` takes the bound
    /// on the other side. Readings of one probe are never quite independent, so the bound is narrower than it should
    /// be: another reason why the earliest time is told.
    pub fn until(&self, now: f64, limit: f64, is_upper: bool) -> Option<Ahead> {
        let side = if is_upper { 1.0 } else { -1.0 };
        let way = ((limit - self.level) * side).min((limit - now) * side);
        if way <= 0.0 {
            return Some(Ahead { earliest_s: 0.0, expected_s: 0.0 });
        }
        let reach = student_quantile(SURE, self.count as f64 - 2.0) * self.slope_error;
        let towards = self.slope * side;
        (towards - reach > 0.0)
            .then(|| Ahead { earliest_s: way / (towards + reach), expected_s: way / towards })
    }
}
