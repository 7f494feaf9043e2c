//! The log-normal law of a length.

use ft_stats::distribution::{normal_cdf, normal_quantile};
use ft_stats::maths::{exp, exp_m1, ln, mean, sqrt, standard_deviation};

use crate::BadLengths;

/// A log-normal law, in natural logs of the unit of the lengths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogNormal {
    /// Mean of the log.
    pub log_mean: f64,
    /// Standard deviation of the log, 0 or more.
    pub log_sd: f64,
}

impl LogNormal {
    /// Fits a law to at least two lengths: mean and standard deviation (`n - 1`) of their logs.
    ///
    /// # Errors
    /// [`BadLengths`].
    pub fn fit(lengths: &[f64]) -> Result<Self, BadLengths> {
        let logs = logs(lengths)?;
        if logs.len() < 2 {
            return Err(BadLengths::TooFew { have: logs.len(), need: 2 });
        }
        Ok(Self { log_mean: mean(&logs), log_sd: standard_deviation(&logs) })
    }

    /// Half of all are shorter.
    pub fn median(&self) -> f64 {
        exp(self.log_mean)
    }

    /// Mean length: above the median, as long ones are longer than short ones are short.
    pub fn mean(&self) -> f64 {
        exp(self.log_mean + self.log_sd * self.log_sd / 2.0)
    }

    /// Variance of the length.
    pub fn variance(&self) -> f64 {
        let mean = self.mean();
        exp_m1(self.log_sd * self.log_sd) * mean * mean
    }

    /// The length that a share `p` lies below.
    pub fn quantile(&self, p: f64) -> f64 {
        exp(self.log_mean + self.log_sd * normal_quantile(p))
    }

    /// Probability of at most this length.
    pub fn at_most(&self, length: f64) -> f64 {
        if length <= 0.0 {
            return 0.0;
        }
        if self.log_sd <= 0.0 {
            return if self.log_mean <= ln(length) { 1.0 } else { 0.0 };
        }
        normal_cdf((ln(length) - self.log_mean) / self.log_sd)
    }

    /// The law with this mean and variance of the length.
    pub fn from_moments(mean: f64, variance: f64) -> Self {
        let squared = ft_stats::maths::ln_1p(variance / (mean * mean));
        Self { log_mean: ln(mean) - squared / 2.0, log_sd: sqrt(squared) }
    }
}

/// Natural logs of lengths.
///
/// # Errors
/// [`BadLengths::NotPositive`] of the first that has none.
pub fn logs(lengths: &[f64]) -> Result<Vec<f64>, BadLengths> {
    match lengths.iter().position(|length| !(length.is_finite() && *length > 0.0)) {
        Some(index) => Err(BadLengths::NotPositive { number: index + 1 }),
        None => Ok(lengths.iter().map(|length| ln(*length)).collect()),
    }
}
