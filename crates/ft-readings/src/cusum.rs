//! Cumulative sums in tabular form: when did the process leave its target, and in which direction.

/// How sums are formed and where they signal; all in the unit of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cusum {
    /// What the process should be at.
    pub target: f64,
    /// Slack (K): half the shift that matters, often half a standard deviation.
    pub slack: f64,
    /// Decision interval (H): a sum above it signals, often four or five standard deviations.
    pub decision: f64,
}

/// Sums after one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Sum of what is above target and slack, never below 0.
    pub upper: f64,
    /// Sum of what is below target and slack, never below 0.
    pub lower: f64,
    /// Readings since `upper` was last 0.
    pub upper_since: usize,
    /// Readings since `lower` was last 0.
    pub lower_since: usize,
}

/// The first signal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Signal {
    /// The reading at which a sum passes the decision interval, counted from 1.
    pub number: usize,
    /// Whether the process went up (else down).
    pub is_upwards: bool,
    /// The last reading, counted from 1, after which the sum was still 0: the shift came after it; 0 means at once.
    pub shift_after: usize,
}

impl Cusum {
    /// Sums after each reading; as long as `readings`.
    ///
    /// Source: NIST/SEMATECH e-Handbook 6.3.2.3; Montgomery, Introduction to Statistical Quality Control.
    pub fn points(&self, readings: &[f64]) -> Vec<Point> {
        let mut point = Point { upper: 0.0, lower: 0.0, upper_since: 0, lower_since: 0 };
        let mut points = Vec::with_capacity(readings.len());
        for reading in readings {
            let away = reading - self.target;
            point.upper = (point.upper + away - self.slack).max(0.0);
            point.lower = (point.lower - away - self.slack).max(0.0);
            point.upper_since = if point.upper > 0.0 { point.upper_since + 1 } else { 0 };
            point.lower_since = if point.lower > 0.0 { point.lower_since + 1 } else { 0 };
            points.push(point);
        }
        points
    }

    /// The first signal, if there is one.
    pub fn first_signal(&self, readings: &[f64]) -> Option<Signal> {
        let points = self.points(readings);
        let index = points.iter().position(|point| point.upper.max(point.lower) > self.decision)?;
        let point = points[index];
        let is_upwards = point.upper > self.decision;
        let since = if is_upwards { point.upper_since } else { point.lower_since };
        Some(Signal { number: index + 1, is_upwards, shift_after: index + 1 - since })
    }
}
