//! One person's few runs with the crew's as a prior: normal-inverse-gamma on the log, Student's t for the next run.

use ft_stats::distribution::{student_cdf, student_quantile};
use ft_stats::maths::{exp, ln, mean, sqrt, sum_of_squares};

/// What is believed of a log length: its mean has location `mean` worth `runs` runs, its variance has an inverse gamma
/// law with `shape` and `scale`. All but `mean` above 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Belief {
    /// Location of the mean of the log.
    pub mean: f64,
    /// How many runs that is worth (κ).
    pub runs: f64,
    /// Shape of the variance (α): half as many runs as it is worth.
    pub shape: f64,
    /// Scale of the variance (β).
    pub scale: f64,
}

impl Belief {
    /// The belief after some more runs, as natural logs of their lengths.
    ///
    /// Source: the conjugate update in Gelman et al., Bayesian Data Analysis (from memory).
    #[must_use]
    pub fn after(&self, logs: &[f64]) -> Self {
        if logs.is_empty() {
            return *self;
        }
        let count = logs.len() as f64;
        let seen = mean(logs);
        let away = seen - self.mean;
        Self {
            mean: (self.runs * self.mean + count * seen) / (self.runs + count),
            runs: self.runs + count,
            shape: self.shape + count / 2.0,
            scale: self.scale
                + sum_of_squares(logs) / 2.0
                + self.runs * count * away * away / (2.0 * (self.runs + count)),
        }
    }

    /// Degrees of freedom of the next run's law.
    pub fn freedom(&self) -> f64 {
        2.0 * self.shape
    }

    /// Spread of the next run's log: larger than the spread of runs, as the mean is not known either.
    pub fn next_scale(&self) -> f64 {
        sqrt(self.scale * (1.0 + 1.0 / self.runs) / self.shape)
    }

    /// Probability that the next run takes at most this length.
    pub fn next_at_most(&self, length: f64) -> f64 {
        if length <= 0.0 {
            return 0.0;
        }
        student_cdf((ln(length) - self.mean) / self.next_scale(), self.freedom())
    }

    /// The length that the next run stays below with probability `p`.
    pub fn next_quantile(&self, p: f64) -> f64 {
        exp(self.mean + self.next_scale() * student_quantile(p, self.freedom()))
    }
}
