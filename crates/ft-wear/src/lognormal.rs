//! A log-normal life, to see whether another law would fit as well as the Weibull.

use ft_stats::distribution::{normal_density, normal_tail};
use ft_stats::maths::{ln, sqrt};
use ft_stats::root::{root, root_beyond};

use crate::{BadLives, End, Lives};

/// A fitted log-normal law.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Mean of the natural log of the age.
    pub log_mean: f64,
    /// Standard deviation of the natural log of the age.
    pub log_sd: f64,
    /// Natural log of the likelihood.
    pub log_likelihood: f64,
}

impl Fit {
    /// Akaike's criterion with two parameters.
    pub fn aic(&self) -> f64 {
        4.0 - 2.0 * self.log_likelihood
    }
}

/// Fits by maximum likelihood.
///
/// In `τ = 1/σ` and `a = μ/σ` the log likelihood is concave (Burridge 1981, from memory), so that two nested roots of
/// its slopes find the greatest.
///
/// # Errors
/// [`BadLives::NoFailures`] or [`BadLives::NoSpread`].
pub fn fit(lives: &Lives) -> Result<Fit, BadLives> {
    if lives.failures() == 0 {
        return Err(BadLives::NoFailures);
    }
    // Ages relative to the greatest, so that the search starts near 1 whatever their unit is.
    let unit = ln(lives.greatest_age());
    let slope = |tau: f64| {
        let a = best_a(lives, tau, unit)?;
        let term = |age: f64, end| {
            let y = ln(age) - unit;
            y * pull(tau * y - a, end)
        };
        Some(f64::from(lives.failures()) / tau - lives.sum(|life| term(life.age, life.end)))
    };
    let spread = slope(1.0).ok_or(BadLives::NoSpread)?;
    let factor = if spread > 0.0 { 1.5 } else { 1.0 / 1.5 };
    let tau = root_beyond(|tau| slope(tau).unwrap_or(f64::NAN), 1.0, factor).ok_or(BadLives::NoSpread)?;
    let a = best_a(lives, tau, unit).ok_or(BadLives::NoSpread)?;
    let log_likelihood = lives.sum(|life| {
        let y = ln(life.age);
        let z = tau * (y - unit) - a;
        match life.end {
            End::Failed => ln(tau) - y - 0.5 * z * z - 0.5 * ln(2.0 * std::f64::consts::PI),
            End::Unfailed => log_tail(z),
        }
    });
    Ok(Fit { log_mean: a / tau + unit, log_sd: 1.0 / tau, log_likelihood })
}

/// The best `a` for a given `τ`.
fn best_a(lives: &Lives, tau: f64, unit: f64) -> Option<f64> {
    let slope = |a: f64| lives.sum(|life| pull(tau * (ln(life.age) - unit) - a, life.end));
    let far = 40.0 + tau * lives.sum(|life| (ln(life.age) - unit).abs());
    root(slope, -far, far)
}

/// Minus the slope of a part's log likelihood in its standardised age.
fn pull(z: f64, end: End) -> f64 {
    match end {
        End::Failed => z,
        // Far out the ratio of density to tail is z + 1/z, and both underflow.
        End::Unfailed if z > 30.0 => z + 1.0 / z,
        End::Unfailed => normal_density(z) / normal_tail(z),
    }
}

fn log_tail(z: f64) -> f64 {
    if z > 30.0 { -0.5 * z * z - ln(z * sqrt(2.0 * std::f64::consts::PI)) } else { ln(normal_tail(z)) }
}
