//! Life when nothing or little failed yet and the shape is known from elsewhere.
//!
//! The answer is as good as the assumed shape: take it from earlier lives of the same kind of part, never from hope.

use ft_stats::distribution::chi_squared_quantile;
use ft_stats::maths::{ln, pow};

use crate::Lives;
use crate::weibull::{Weibull, scale_for};

/// The most likely law with a given shape; `None` when nothing failed.
pub fn most_likely(lives: &Lives, shape: f64) -> Option<Weibull> {
    (lives.failures() > 0 && shape > 0.0).then(|| Weibull { shape, scale: scale_for(lives, shape) })
}

/// The law with a given shape whose scale is a one-sided lower bound at `confidence` (0 to 1).
///
/// Nothing failed: `(Σt^β / -ln(1-C))^(1/β)`. Some failed: `(2Σt^β / χ²(C; 2r+2))^(1/β)`, observation ended by time.
/// Both are the same formula, as χ²(C; 2) = -2 ln(1-C).
/// Source: Abernethy, The New Weibull Handbook (from memory); the general-purpose programs have no such function.
pub fn lower_bound(lives: &Lives, shape: f64, confidence: f64) -> Weibull {
    let unit = lives.greatest_age();
    let power = lives.sum(|life| pow(life.age / unit, shape));
    let failures = f64::from(lives.failures());
    let divisor = if lives.failures() == 0 {
        -ln(1.0 - confidence)
    } else {
        chi_squared_quantile(confidence, 2.0 * failures + 2.0) / 2.0
    };
    Weibull { shape, scale: unit * pow(power / divisor, 1.0 / shape) }
}
