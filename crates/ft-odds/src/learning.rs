//! Practice: each doubling of runs cuts the length by the same share.

use ft_stats::distribution::student_quantile;
use ft_stats::maths::{exp, ln, mean, pow, sqrt, sum};

/// A learning curve `t(n) = first · n^exponent`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curve {
    /// Length of the first run.
    pub first: f64,
    /// Exponent: log₂ of the rate, 0 or below when practice helps.
    pub exponent: f64,
}

impl Curve {
    /// From the rate: the share of the length that is left when the number of runs doubles, such as 0.8.
    pub fn from_rate(first: f64, rate: f64) -> Self {
        Self { first, exponent: ln(rate) / std::f64::consts::LN_2 }
    }

    /// The share that is left at each doubling.
    pub fn rate(&self) -> f64 {
        pow(2.0, self.exponent)
    }

    /// Length of run `number`, counted from 1.
    pub fn at(&self, number: f64) -> f64 {
        self.first * pow(number, self.exponent)
    }

    /// Length of the first `count` runs together.
    pub fn total(&self, count: u32) -> f64 {
        sum((1..=count).map(|number| self.at(f64::from(number))))
    }
}

/// A curve fitted by least squares on logs, with what is needed to say how sure it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// The curve.
    pub curve: Curve,
    /// Residual standard deviation of the log, with `n - 2`.
    pub residual_sd: f64,
    runs: f64,
    log_number_mean: f64,
    log_number_spread: f64,
}

/// Fits a curve to runs, each its number (from 1) and its length; `None` below three runs, when all numbers are the
/// same, or when one is not above 0.
pub fn fit(runs: &[(f64, f64)]) -> Option<Fit> {
    if runs.len() < 3 || runs.iter().any(|(number, length)| !(*number > 0.0 && *length > 0.0)) {
        return None;
    }
    let logs: Vec<(f64, f64)> = runs.iter().map(|(number, length)| (ln(*number), ln(*length))).collect();
    let slope = slope(&[&logs])?;
    let x = mean(&logs.iter().map(|point| point.0).collect::<Vec<_>>());
    let y = mean(&logs.iter().map(|point| point.1).collect::<Vec<_>>());
    let intercept = y - slope * x;
    let left = sum(logs.iter().map(|(x, y)| (y - intercept - slope * x) * (y - intercept - slope * x)));
    Some(Fit {
        curve: Curve { first: exp(intercept), exponent: slope },
        residual_sd: sqrt(left / (runs.len() as f64 - 2.0)),
        runs: runs.len() as f64,
        log_number_mean: x,
        log_number_spread: sum(logs.iter().map(|point| (point.0 - x) * (point.0 - x))),
    })
}

impl Fit {
    /// The length that run `number` stays below with probability `p`.
    pub fn quantile(&self, number: f64, p: f64) -> f64 {
        let away = ln(number) - self.log_number_mean;
        let unsure = sqrt(1.0 + 1.0 / self.runs + away * away / self.log_number_spread);
        let t = student_quantile(p, self.runs - 2.0);
        exp(ln(self.curve.at(number)) + t * self.residual_sd * unsure)
    }
}

/// One slope for several people, each with their own level: from `(ln number, ln length)` lists.
///
/// `None` when nobody has two different numbers. People differ in level far more than in how they learn, so that the
/// slope is taken within each person's runs.
pub fn slope(persons: &[&[(f64, f64)]]) -> Option<f64> {
    let (mut together, mut spread) = (0.0, 0.0);
    for points in persons.iter().filter(|points| !points.is_empty()) {
        let x = sum(points.iter().map(|point| point.0)) / points.len() as f64;
        let y = sum(points.iter().map(|point| point.1)) / points.len() as f64;
        together += sum(points.iter().map(|point| (point.0 - x) * (point.1 - y)));
        spread += sum(points.iter().map(|point| (point.0 - x) * (point.0 - x)));
    }
    (spread > 1e-12).then(|| together / spread)
}

/// A crew's learning: one slope, a level for each person, and the variance that is left.
#[derive(Debug, Clone, PartialEq)]
pub struct Crew {
    /// Slope of log length on log number.
    pub slope: f64,
    /// Each person's level: log length of their first run, in the order given.
    pub levels: Vec<f64>,
    /// Residual variance, with as many degrees of freedom as runs less persons less one.
    pub residual_variance: f64,
}

/// Fits a crew from `(ln number, ln length)` lists, one for each person; `None` as [`slope`], or when no degree of
/// freedom is left.
pub fn crew(persons: &[&[(f64, f64)]]) -> Option<Crew> {
    let slope = slope(persons)?;
    let runs: usize = persons.iter().map(|points| points.len()).sum();
    let freedom = runs.checked_sub(persons.len() + 1).filter(|freedom| *freedom > 0)?;
    let level = |points: &&[(f64, f64)]| sum(points.iter().map(|(x, y)| y - slope * x)) / points.len() as f64;
    let levels: Vec<f64> = persons.iter().map(level).collect();
    let left = sum(persons.iter().zip(&levels).flat_map(|(points, level)| {
        points.iter().map(move |(x, y)| (y - level - slope * x) * (y - level - slope * x))
    }));
    Some(Crew { slope, levels, residual_variance: left / freedom as f64 })
}
