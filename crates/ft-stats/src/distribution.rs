//! Densities, cumulative shares and quantiles.
//!
//! A probability outside 0 to 1, or a parameter outside the distribution's range, gives NaN: callers check their
//! inputs where they come in, and a NaN in a sum cannot be overlooked.

use statrs::distribution::{Beta, ChiSquared, ContinuousCDF, DiscreteCDF, Hypergeometric, StudentsT};
use statrs::function::beta::beta_reg;
use statrs::function::gamma::{gamma_lr, gamma_ur};

use crate::maths::{erfc, exp, ln, ln_1p, ln_gamma, sqrt};

/// Density of the standard normal distribution.
pub fn normal_density(z: f64) -> f64 {
    exp(-0.5 * z * z) / sqrt(2.0 * std::f64::consts::PI)
}

/// Share of the standard normal distribution below `z`.
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * erfc(-z / std::f64::consts::SQRT_2)
}

/// Share of the standard normal distribution above `z`; exact far out, where one minus the rest is not.
pub fn normal_tail(z: f64) -> f64 {
    0.5 * erfc(z / std::f64::consts::SQRT_2)
}

/// The `z` that a share `p` of the standard normal distribution lies below.
pub fn normal_quantile(p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if p <= 0.0 || p >= 1.0 {
        return if p <= 0.0 { f64::NEG_INFINITY } else { f64::INFINITY };
    }
    let rough = -(std::f64::consts::SQRT_2 * statrs::function::erf::erfc_inv(2.0 * p));
    // One step of Newton from the library's start removes what its polynomial leaves.
    let error = if rough < 0.0 { normal_cdf(rough) - p } else { (1.0 - p) - normal_tail(rough) };
    let density = normal_density(rough);
    if density > 0.0 { rough - error / density } else { rough }
}

/// Share of Student's t with `freedom` degrees below `t`.
pub fn student_cdf(t: f64, freedom: f64) -> f64 {
    StudentsT::new(0.0, 1.0, freedom).map_or(f64::NAN, |d| d.cdf(t))
}

/// The `t` that a share `p` of Student's t with `freedom` degrees lies below.
pub fn student_quantile(p: f64, freedom: f64) -> f64 {
    if !(0.0 < p && p < 1.0) {
        return f64::NAN;
    }
    StudentsT::new(0.0, 1.0, freedom).map_or(f64::NAN, |d| d.inverse_cdf(p))
}

/// The `x` that a share `p` of chi-squared with `freedom` degrees lies below.
pub fn chi_squared_quantile(p: f64, freedom: f64) -> f64 {
    if !(0.0 < p && p < 1.0) {
        return f64::NAN;
    }
    ChiSquared::new(freedom).map_or(f64::NAN, |d| d.inverse_cdf(p))
}

/// Share of the beta distribution with parameters `a` and `b` below `x`.
pub fn beta_cdf(x: f64, a: f64, b: f64) -> f64 {
    Beta::new(a, b).map_or(f64::NAN, |d| d.cdf(x))
}

/// The regularised lower incomplete gamma function P(a, x).
pub fn gamma_lower(a: f64, x: f64) -> f64 {
    if !(a > 0.0 && x >= 0.0) {
        return f64::NAN;
    }
    if x == 0.0 { 0.0 } else { gamma_lr(a, x) }
}

/// Probability of exactly `k` where `mean` are expected and each comes on its own.
pub fn poisson(k: u64, mean: f64) -> f64 {
    if mean == 0.0 {
        return if k == 0 { 1.0 } else { 0.0 };
    }
    exp(k as f64 * ln(mean) - mean - ln_gamma(k as f64 + 1.0))
}

/// Probability of at most `k` where `mean` are expected and each comes on its own.
pub fn poisson_cdf(k: u64, mean: f64) -> f64 {
    if mean == 0.0 {
        return 1.0;
    }
    if mean > 0.0 { gamma_ur(k as f64 + 1.0, mean) } else { f64::NAN }
}

/// Probability of exactly `k` hits in `n` trials with chance `p` each.
pub fn binomial(k: u64, n: u64, p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) || k > n {
        return if k > n { 0.0 } else { f64::NAN };
    }
    if p <= 0.0 || p >= 1.0 {
        let certain = if p <= 0.0 { 0 } else { n };
        return if k == certain { 1.0 } else { 0.0 };
    }
    let (k, n) = (k as f64, n as f64);
    let ways = ln_gamma(n + 1.0) - ln_gamma(k + 1.0) - ln_gamma(n - k + 1.0);
    exp(ways + k * ln(p) + (n - k) * ln_1p(-p))
}

/// Probability of at most `k` hits in `n` trials with chance `p` each.
pub fn binomial_cdf(k: u64, n: u64, p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    if k >= n || p <= 0.0 {
        return 1.0;
    }
    if p >= 1.0 {
        return 0.0;
    }
    beta_reg((n - k) as f64, k as f64 + 1.0, 1.0 - p)
}

/// Probability of at most `k` bad ones among `n` drawn, without putting back, from `lot` of which `bad` are bad.
pub fn hypergeometric_cdf(k: u64, lot: u64, bad: u64, n: u64) -> f64 {
    Hypergeometric::new(lot, bad, n).map_or(f64::NAN, |d| d.cdf(k))
}
