//! Primary models: from a dose, or from a time at one rate, to a count. Counts are natural logs, `y = ln N`.

use ft_maths::{exp, exp_m1, ln_1p};

/// The part of a dose that is left after the lag, in natural logs.
///
/// With `h0 = ln(1 + 1/q0)`, the work to be done before growth (0 means none), the exact solution of
/// `q' = μ q` gives `A = ln(1 + e^(-h0) (e^M - 1))`. `dose` and `h0` must not be negative. The three forms below
/// are the same formula, each where it neither overflows nor cancels.
///
/// Source: derived from Baranyi and Roberts 1994, Int J Food Microbiol 23:277.
pub fn dose_after_lag(dose: f64, h0: f64) -> f64 {
    if dose <= 1.0 {
        ln_1p(exp(-h0) * exp_m1(dose))
    } else if dose <= h0 {
        ln_1p(exp(dose - h0) - exp(-h0))
    } else {
        (dose - h0) + ln_1p(exp(h0 - dose) - exp(-dose))
    }
}

/// Initial physiological state `q0 = 1 / (e^h0 - 1)`; infinite for no lag.
pub fn q0_from_h0(h0: f64) -> f64 {
    1.0 / exp_m1(h0)
}

/// ln count after growth of `grown` natural logs under a ceiling.
///
/// `y = ymax - ln(1 + (e^(m (ymax - y0)) - 1) e^(-m A)) / m`, with `m` the curvature at the ceiling, usually 1. A
/// count at or above the ceiling stays: a model never takes away from a count. Error: below 2e-15 of `ymax`
/// against 40 digits for `m = 1`.
///
/// Source: Baranyi and Roberts 1994.
pub fn ln_count(y0: f64, ymax: f64, m: f64, grown: f64) -> f64 {
    let room = ymax - y0;
    if room <= 0.0 {
        return y0;
    }
    // Far below the ceiling it is not felt, and the exponential below would overflow.
    if m * (room - grown) > 500.0 {
        return y0 + grown;
    }
    let excess = if m * room < 1.0 {
        exp_m1(m * room) * exp(-m * grown)
    } else {
        exp(m * (room - grown)) - exp(-m * grown)
    };
    ymax - ln_1p(excess) / m
}

/// ln count of Buchanan's three straight lines: flat for `lag` hours, then `mu` per hour, then flat at the ceiling.
///
/// For comparison with papers. Source: Buchanan, Whiting and Damert 1997, Food Microbiol 14:313.
pub fn trilinear(y0: f64, ymax: f64, mu: f64, lag: f64, hours: f64) -> f64 {
    (y0 + mu * (hours - lag).max(0.0)).min(ymax.max(y0))
}

/// ln count of the modified Gompertz curve with asymptote `rise` above `y0`.
///
/// For comparison with papers only: at time zero it is not `y0`, and it has no honest form for a changing
/// temperature. Source: Zwietering and others 1990, Appl Environ Microbiol 56:1875.
pub fn modified_gompertz(y0: f64, rise: f64, mu: f64, lag: f64, hours: f64) -> f64 {
    let e = std::f64::consts::E;
    y0 + rise * exp(-exp(mu * e / rise * (lag - hours) + 1.0))
}

#[cfg(test)]
mod tests {
    use super::{dose_after_lag, ln_count};

    #[test]
    fn no_lag_leaves_the_dose_as_it_is() {
        for dose in [0.0, 1e-9, 0.3, 1.0, 7.0, 900.0] {
            assert!((dose_after_lag(dose, 0.0) - dose).abs() <= 1e-15 * dose);
        }
    }

    /// The three forms meet: a step across a boundary is as small as the step in dose.
    #[test]
    fn the_forms_meet_where_they_change_over() {
        for h0 in [0.0, 0.5, 1.0, 2.0, 20.0, 800.0] {
            for boundary in [1.0, h0] {
                let below = dose_after_lag(boundary, h0);
                let above = dose_after_lag(boundary + 1e-12, h0);
                assert!((0.0..3e-12).contains(&(above - below)), "h0 {h0} at {boundary}: {below} {above}");
            }
        }
    }

    #[test]
    fn a_count_at_the_ceiling_is_not_taken_from() {
        assert_eq!(ln_count(20.0, 18.0, 1.0, 5.0).to_bits(), 20.0_f64.to_bits());
        assert!((ln_count(4.0, 18.0, 1.0, 5000.0) - 18.0).abs() < 1e-14);
        assert!((ln_count(-900.0, 18.0, 1.0, 3.0) + 897.0).abs() < 1e-12);
    }
}
