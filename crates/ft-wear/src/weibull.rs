//! The Weibull law: fit by maximum likelihood with parts that did not fail, and bounds by likelihood ratio.
//!
//! Bounds are by likelihood ratio, not by a symmetric interval around the estimate: with few failures the
//! likelihood is lopsided, and the symmetric interval promises too much on the safe side.

use ft_stats::distribution::{chi_squared_quantile, gamma_lower, normal_quantile};
use ft_stats::maths::{exp, gamma, ln, ln_1p, pow, sqrt};
use ft_stats::root::root_beyond;

use crate::{BadLives, Lives};

/// A Weibull law: `R(t) = exp(-(t/scale)^shape)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weibull {
    /// Shape (β), without unit: below 1 failures get rarer with age, at 1 they do not care, above 1 the part wears.
    pub shape: f64,
    /// Scale (η), in the unit of the ages: 63.2 % have failed by then.
    pub scale: f64,
}

impl Weibull {
    /// Share that survives an age.
    pub fn survival(&self, age: f64) -> f64 {
        exp(-pow(age / self.scale, self.shape))
    }

    /// Failures per part and unit of age, of those that reached the age.
    pub fn hazard(&self, age: f64) -> f64 {
        self.shape / self.scale * pow(age / self.scale, self.shape - 1.0)
    }

    /// The age by which a share `p` has failed (0.1: the B10 life).
    pub fn quantile(&self, p: f64) -> f64 {
        self.scale * pow(-ln_1p(-p), 1.0 / self.shape)
    }

    /// Mean age at failure.
    pub fn mean(&self) -> f64 {
        self.scale * gamma(1.0 + 1.0 / self.shape)
    }

    /// Standard deviation of the age at failure.
    pub fn standard_deviation(&self) -> f64 {
        let first = gamma(1.0 + 1.0 / self.shape);
        self.scale * sqrt(gamma(1.0 + 2.0 / self.shape) - first * first)
    }

    /// Mean time in service of parts that are changed at `age` at the latest: the area under the curve up to it.
    pub fn mean_until(&self, age: f64) -> f64 {
        self.mean() * gamma_lower(1.0 / self.shape, pow(age / self.scale, self.shape))
    }

    /// Chance that a part of this age fails within the next `ahead`.
    pub fn failure_within(&self, age: f64, ahead: f64) -> f64 {
        -ft_stats::maths::exp_m1(
            pow(age / self.scale, self.shape) - pow((age + ahead) / self.scale, self.shape),
        )
    }
}

/// A fitted law with what is needed to say how sure it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The most likely law.
    pub law: Weibull,
    /// Natural log of the likelihood at that law.
    pub log_likelihood: f64,
    lives: Lives,
}

/// Fits a law by maximum likelihood.
///
/// Solves `Σt^β ln t / Σt^β - 1/β = mean ln t of the failed` for β, ages taken relative to the greatest so that no
/// power overflows; then `η = (Σt^β / r)^(1/β)`. Cost: some 50 passes over the list.
/// Source: NIST/SEMATECH e-Handbook 8.4.1.3; Lawless 1982 (from memory).
///
/// # Errors
/// [`BadLives::NoFailures`] or [`BadLives::NoSpread`].
pub fn fit(lives: &Lives) -> Result<Fit, BadLives> {
    let failures = f64::from(lives.failures());
    if lives.failures() == 0 {
        return Err(BadLives::NoFailures);
    }
    let unit = lives.greatest_age();
    let mean_log = lives.sum_failed(|life| ln(life.age / unit)) / failures;
    let slope = |shape: f64| {
        let power = lives.sum(|life| pow(life.age / unit, shape));
        let weighted = lives.sum(|life| pow(life.age / unit, shape) * ln(life.age / unit));
        weighted / power - 1.0 / shape - mean_log
    };
    if mean_log > -1e-12 {
        return Err(BadLives::NoSpread);
    }
    let factor = if slope(1.0) < 0.0 { 1.5 } else { 1.0 / 1.5 };
    let shape = root_beyond(slope, 1.0, factor).ok_or(BadLives::NoSpread)?;
    let law = Weibull { shape, scale: scale_for(lives, shape) };
    Ok(Fit { law, log_likelihood: log_likelihood(lives, law), lives: lives.clone() })
}

/// The most likely scale when the shape is known; needs at least one failure.
pub(crate) fn scale_for(lives: &Lives, shape: f64) -> f64 {
    let unit = lives.greatest_age();
    let power = lives.sum(|life| pow(life.age / unit, shape));
    unit * pow(power / f64::from(lives.failures()), 1.0 / shape)
}

/// Natural log of the likelihood of a law: density for what failed, survival for what did not.
pub fn log_likelihood(lives: &Lives, law: Weibull) -> f64 {
    let Weibull { shape, scale } = law;
    lives.sum_failed(|life| ln(shape / scale) + (shape - 1.0) * ln(life.age / scale))
        - lives.sum(|life| pow(life.age / scale, shape))
}

impl Fit {
    /// Akaike's criterion with two parameters; smaller is better, comparable between laws on the same list.
    pub fn aic(&self) -> f64 {
        4.0 - 2.0 * self.log_likelihood
    }

    /// The list that was fitted.
    pub fn lives(&self) -> &Lives {
        &self.lives
    }

    /// Standard errors of scale and shape, and their covariance, from the observed information.
    ///
    /// For comparison with other programs; [`Fit::shape_bounds`] is what to rely on.
    pub fn covariance(&self) -> (f64, f64, f64) {
        let Weibull { shape, scale } = self.law;
        let failures = f64::from(self.lives.failures());
        let hazard = |age: f64| pow(age / scale, shape);
        let scale_scale = self.lives.sum(|life| shape * (shape + 1.0) * hazard(life.age)) - failures * shape;
        let scale_scale = scale_scale / (scale * scale);
        let shape_shape = failures / (shape * shape)
            + self.lives.sum(|life| hazard(life.age) * ln(life.age / scale) * ln(life.age / scale));
        let mixed = failures - self.lives.sum(|life| hazard(life.age) * (1.0 + shape * ln(life.age / scale)));
        let mixed = mixed / scale;
        let determinant = scale_scale * shape_shape - mixed * mixed;
        (sqrt(shape_shape / determinant), sqrt(scale_scale / determinant), -mixed / determinant)
    }

    /// Shape and scale bounds that are symmetric on the log scale (`shape low, shape high, scale low, scale high`).
    ///
    /// For comparison with other programs only.
    pub fn log_symmetric_bounds(&self, confidence: f64) -> (f64, f64, f64, f64) {
        let z = normal_quantile(f64::midpoint(1.0, confidence));
        let (scale_error, shape_error, _) = self.covariance();
        let shape = exp(z * shape_error / self.law.shape);
        let scale = exp(z * scale_error / self.law.scale);
        (self.law.shape / shape, self.law.shape * shape, self.law.scale / scale, self.law.scale * scale)
    }

    /// Bounds of the shape by likelihood ratio, for a two-sided `confidence` such as 0.95.
    ///
    /// An end that the list does not bound is 0 or infinite.
    pub fn shape_bounds(&self, confidence: f64) -> (f64, f64) {
        let least = self.least_likely(confidence);
        let above = |shape: f64| {
            log_likelihood(&self.lives, Weibull { shape, scale: scale_for(&self.lives, shape) }) - least
        };
        both_sides(above, self.law.shape)
    }

    /// Bounds of the scale by likelihood ratio.
    pub fn scale_bounds(&self, confidence: f64) -> (f64, f64) {
        self.age_bounds(1.0, confidence)
    }

    /// Bounds of the age by which a share `p` has failed, by likelihood ratio.
    pub fn quantile_bounds(&self, p: f64, confidence: f64) -> (f64, f64) {
        self.age_bounds(-ln_1p(-p), confidence)
    }

    /// Bounds of the share that survives an age, by likelihood ratio: low, high.
    pub fn survival_bounds(&self, age: f64, confidence: f64) -> (f64, f64) {
        let least = self.least_likely(confidence);
        let start = pow(age / self.law.scale, self.law.shape);
        let (few, many) = both_sides(|cumulative| self.best_through(age, cumulative) - least, start);
        (exp(-many), exp(-few))
    }

    /// Bounds of the age at which the cumulative hazard has a given value.
    fn age_bounds(&self, cumulative: f64, confidence: f64) -> (f64, f64) {
        let least = self.least_likely(confidence);
        let start = self.law.scale * pow(cumulative, 1.0 / self.law.shape);
        both_sides(|age| self.best_through(age, cumulative) - least, start)
    }

    /// The log likelihood below which a law counts as excluded.
    fn least_likely(&self, confidence: f64) -> f64 {
        self.log_likelihood - chi_squared_quantile(confidence, 1.0) / 2.0
    }

    /// The greatest log likelihood among the laws whose cumulative hazard at `age` is `cumulative`.
    ///
    /// Along these laws `(t/η)^β = H (t/age)^β`, and the log likelihood is concave in β, so that its slope has
    /// one root.
    fn best_through(&self, age: f64, cumulative: f64) -> f64 {
        let failures = f64::from(self.lives.failures());
        let logs = self.lives.sum_failed(|life| ln(life.age / age));
        let slope = |shape: f64| {
            failures / shape + logs
                - cumulative * self.lives.sum(|life| pow(life.age / age, shape) * ln(life.age / age))
        };
        let start = self.law.shape;
        let factor = if slope(start) > 0.0 { 1.5 } else { 1.0 / 1.5 };
        let Some(shape) = root_beyond(slope, start, factor) else { return f64::NAN };
        log_likelihood(&self.lives, Weibull { shape, scale: age / pow(cumulative, 1.0 / shape) })
    }
}

/// Where a function that is positive at `start` reaches nought below and above it; 0 or infinite where it does not.
fn both_sides(f: impl Fn(f64) -> f64, start: f64) -> (f64, f64) {
    let side = |factor: f64| root_beyond(&f, start, factor);
    (side(1.0 / 1.2).unwrap_or(0.0), side(1.2).unwrap_or(f64::INFINITY))
}
