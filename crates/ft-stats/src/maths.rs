//! The functions of `ft-maths` with the error function and log-gamma, and sums, means and spreads of lists.

pub use ft_maths::{exp, exp_m1, gamma, ln, ln_1p, log10, pow, sqrt};
pub use libm::{cos, erf, erfc};

/// Natural logarithm of the gamma function, for a positive `x`.
pub fn ln_gamma(x: f64) -> f64 {
    libm::lgamma(x)
}

/// Sum of all values, in their order.
pub fn sum(values: impl IntoIterator<Item = f64>) -> f64 {
    values.into_iter().fold(0.0, |total, value| total + value)
}

/// Arithmetic mean; NaN of an empty list.
pub fn mean(values: &[f64]) -> f64 {
    sum(values.iter().copied()) / values.len() as f64
}

/// Sum of squared distances from the mean.
pub fn sum_of_squares(values: &[f64]) -> f64 {
    let centre = mean(values);
    sum(values.iter().map(|value| (value - centre) * (value - centre)))
}

/// Standard deviation with `n - 1`; NaN below two values.
pub fn standard_deviation(values: &[f64]) -> f64 {
    if values.len() < 2 {
        return f64::NAN;
    }
    sqrt(sum_of_squares(values) / (values.len() as f64 - 1.0))
}
