//! The exponentially weighted moving average: small drifts, seen early.

use ft_stats::maths::{pow, sqrt};

/// How an average is formed and where it signals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ewma {
    /// What the process should be at.
    pub target: f64,
    /// Standard deviation of single readings, above 0.
    pub sigma: f64,
    /// Weight of the newest reading (λ), above 0 and up to 1; 0.2 to 0.3 is usual.
    pub weight: f64,
    /// Limits in standard deviations of the average (L); 3 is usual, 2.7 with a weight of 0.1.
    pub width: f64,
}

/// One point of the average.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// The average after this reading.
    pub average: f64,
    /// Lower limit at this point.
    pub low: f64,
    /// Upper limit at this point.
    pub high: f64,
}

impl Point {
    /// Whether the average is outside its limits.
    pub fn is_signal(&self) -> bool {
        !(self.low <= self.average && self.average <= self.high)
    }
}

impl Ewma {
    /// Distance of the limits from the target after `count` readings:
    /// `L σ √(λ/(2-λ) (1-(1-λ)^(2·count)))`; narrower at the start, where the average has moved little.
    ///
    /// Source: NIST/SEMATECH e-Handbook 6.3.2.4; Montgomery, Introduction to Statistical Quality Control.
    pub fn reach(&self, count: usize) -> f64 {
        let settled = self.weight / (2.0 - self.weight);
        self.width * self.sigma * sqrt(settled * (1.0 - pow(1.0 - self.weight, 2.0 * count as f64)))
    }

    /// Distance of the limits from the target when the average has settled.
    pub fn settled_reach(&self) -> f64 {
        self.width * self.sigma * sqrt(self.weight / (2.0 - self.weight))
    }

    /// The average after each reading, starting at the target; as long as `readings`.
    pub fn points(&self, readings: &[f64]) -> Vec<Point> {
        let mut average = self.target;
        let mut points = Vec::with_capacity(readings.len());
        for (index, reading) in readings.iter().enumerate() {
            average = self.weight * reading + (1.0 - self.weight) * average;
            let reach = self.reach(index + 1);
            points.push(Point { average, low: self.target - reach, high: self.target + reach });
        }
        points
    }
}
