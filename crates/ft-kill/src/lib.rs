//! Log reductions by Chick-Watson, Hom and Weibull: for explaining, for training, for comparing steps.
//!
//! A contact time that is too short or a strength that is too low is a breach of the label or of the code, full
//! stop; these functions only say how much it loses. Nothing here makes up for strength with time, and nothing
//! releases anything. Soil, film and hardness are outside all of these models.
//!
//! Every function gives `log10 S`, the survivors as a decimal log: -5 is a five-log reduction. Strengths and times
//! are in the units that the coefficient was fitted in, which the caller keeps together. Arguments must not be
//! negative; exponents and coefficients are above zero.

pub mod ct;
mod report;

use ft_maths::{LN_10, exp_m1, gamma, gamma_lower_regularised, ln, pow};

pub use report::{CAUTION, KillReport, Law, Step, compare};

/// Chick-Watson: `ln S = -k C^n t`.
///
/// Source: Chick 1908, J Hyg 8:92; Watson 1908, J Hyg 8:536 (from memory).
pub fn chick_watson(k: f64, n: f64, strength: f64, time: f64) -> f64 {
    -k * pow(strength, n) * time / LN_10
}

/// Hom: `ln S = -k C^n t^m`; `m` below 1 tails off, above 1 begins with a shoulder.
///
/// Source: Hom 1972, J Environ Eng Div 98:183 (from memory).
pub fn hom(k: f64, n: f64, m: f64, strength: f64, time: f64) -> f64 {
    -k * pow(strength, n) * pow(time, m) / LN_10
}

/// Strength × time of a solution that decays as `C = C0 e^(-decay t)`: `C0 (1 - e^(-decay t)) / decay`.
pub fn strength_time(strength: f64, decay: f64, time: f64) -> f64 {
    if decay * time == 0.0 { strength * time } else { -strength * exp_m1(-decay * time) / decay }
}

/// Hom with a strength that decays at first order:
/// `ln S = -k m C0^n (n decay)^(-m) Γ(m) P(m, n decay t)`, `P` the regularised lower incomplete gamma function.
///
/// Source: the integral of Hom's rate law in time; agrees with quadrature to 5e-14.
pub fn hom_decaying(k: f64, n: f64, m: f64, strength: f64, decay: f64, time: f64) -> f64 {
    let rate = n * decay;
    if rate * time == 0.0 {
        return hom(k, n, m, strength, time);
    }
    let integral = gamma(m) * gamma_lower_regularised(m, rate * time) / pow(rate, m);
    -k * m * pow(strength, n) * integral / LN_10
}

/// Weibull as Mafart writes it: `log10 S = -(t/δ)^p`, `δ` the time to the first log.
///
/// Source: Mafart and others 2002, Int J Food Microbiol 72:107.
pub fn weibull(delta: f64, p: f64, time: f64) -> f64 {
    -pow(time / delta, p)
}

/// Weibull as Peleg writes it: `log10 S = -b t^n`; the same with `b = δ^(-p)`.
///
/// Source: Peleg and Cole 1998, Crit Rev Food Sci Nutr 38:353.
pub fn peleg(b: f64, n: f64, time: f64) -> f64 {
    -b * pow(time, n)
}

/// Time to a reduction of `logs` under Weibull: `δ logs^(1/p)`.
pub fn weibull_time(delta: f64, p: f64, logs: f64) -> f64 {
    delta * pow(logs, 1.0 / p)
}

/// Coefficient `k` that Chick-Watson needs for a reduction of `logs` at a strength within a time.
pub fn chick_watson_coefficient(logs: f64, n: f64, strength: f64, time: f64) -> f64 {
    logs * LN_10 / (pow(strength, n) * time)
}

/// Straight line through `ln(N/N0)` against strength × time: slope, intercept, coefficient of determination.
///
/// `counts` holds `(strength × time, N)`, the first of which gives `N0`. `None` with fewer than three counts, a
/// count that is not above zero, or doses that are all the same.
pub fn fit_chick_watson(counts: &[(f64, f64)]) -> Option<(f64, f64, f64)> {
    let first = counts.first()?.1;
    if counts.len() < 3 || counts.iter().any(|(_, n)| *n <= 0.0) {
        return None;
    }
    let points: Vec<(f64, f64)> = counts.iter().map(|&(dose, n)| (dose, ln(n / first))).collect();
    let count = points.len() as f64;
    let mean_x = points.iter().map(|p| p.0).sum::<f64>() / count;
    let mean_y = points.iter().map(|p| p.1).sum::<f64>() / count;
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for (x, y) in points {
        xx += (x - mean_x) * (x - mean_x);
        xy += (x - mean_x) * (y - mean_y);
        yy += (y - mean_y) * (y - mean_y);
    }
    if xx == 0.0 || yy == 0.0 {
        return None;
    }
    let slope = xy / xx;
    Some((slope, mean_y - slope * mean_x, xy * xy / (xx * yy)))
}

#[cfg(test)]
mod tests {
    use super::{chick_watson, hom, hom_decaying, strength_time};

    /// With no decay the decaying forms are the plain ones; a little decay loses a little.
    #[test]
    fn decay_takes_away() {
        assert!((strength_time(100.0, 0.0, 10.0) - 1000.0).abs() < 1e-12);
        let plain = hom(0.1, 0.8, 0.7, 100.0, 10.0);
        assert!((hom_decaying(0.1, 0.8, 0.7, 100.0, 0.0, 10.0) - plain).abs() < 1e-12);
        assert!((hom_decaying(0.1, 0.8, 0.7, 100.0, 1e-9, 10.0) - plain).abs() < 1e-6);
        assert!(hom_decaying(0.1, 0.8, 0.7, 100.0, 0.12, 10.0) > plain);
    }

    /// Hom with m = 1 is Chick-Watson, also when the strength decays.
    #[test]
    fn hom_with_m_one_is_chick_watson() {
        assert!((hom(0.2, 1.3, 1.0, 5.0, 3.0) - chick_watson(0.2, 1.3, 5.0, 3.0)).abs() < 1e-12);
        let by_strength_time = chick_watson(0.2, 1.0, 1.0, strength_time(5.0, 0.4, 3.0));
        assert!((hom_decaying(0.2, 1.0, 1.0, 5.0, 0.4, 3.0) - by_strength_time).abs() < 1e-12);
    }
}
