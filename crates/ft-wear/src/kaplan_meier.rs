//! The share of parts that still work at each age, from the record alone, without assuming a law.

use ft_stats::distribution::normal_quantile;
use ft_stats::maths::{exp, ln, sqrt};

use crate::{End, Lives};

/// One step of the curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// An age at which at least one part failed.
    pub age: f64,
    /// Parts that were still at work just before.
    pub at_risk: u32,
    /// Parts that failed at this age.
    pub failures: u32,
    /// Share that survives just after this age, 0 to 1.
    pub survival: f64,
    /// Greenwood's standard error of that share; 0 where the share is 0.
    pub standard_error: f64,
}

impl Step {
    /// Bounds of the share, for a two-sided `confidence` such as 0.95, on the log-log scale, which keeps them
    /// between 0 and 1.
    ///
    /// Source: Kalbfleisch & Prentice, the default of `lifelines` 0.30.3 with which the tests compare.
    pub fn bounds(&self, confidence: f64) -> (f64, f64) {
        if !(0.0 < self.survival && self.survival < 1.0) {
            return (self.survival, self.survival);
        }
        let z = normal_quantile(f64::midpoint(1.0, confidence));
        let log = ln(self.survival);
        let spread = exp(z * self.standard_error / (self.survival * -log));
        (exp(log * spread), exp(log / spread))
    }
}

/// The Kaplan-Meier curve: one step for each age with a failure, sorted by age.
///
/// A part that was taken out unfailed at an age counts as at risk at that age, and as gone after it.
/// Source: NIST/SEMATECH e-Handbook 8.2.1.5; standard error by Greenwood's formula.
pub fn kaplan_meier(lives: &Lives) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    let mut at_risk = lives.parts();
    let mut survival = 1.0;
    let mut greenwood = 0.0;
    let sorted = lives.sorted();
    let mut index = 0;
    while index < sorted.len() {
        let age = sorted[index].age;
        let same: Vec<_> =
            sorted[index..].iter().take_while(|life| life.age.total_cmp(&age).is_eq()).collect();
        let failures: u32 = same.iter().filter(|life| life.end == End::Failed).map(|life| life.count).sum();
        if failures > 0 {
            let (n, d) = (f64::from(at_risk), f64::from(failures));
            survival *= (n - d) / n;
            greenwood += d / (n * (n - d));
            let standard_error = if failures == at_risk { 0.0 } else { survival * sqrt(greenwood) };
            steps.push(Step { age, at_risk, failures, survival, standard_error });
        }
        at_risk -= same.iter().map(|life| life.count).sum::<u32>();
        index += same.len();
    }
    steps
}
