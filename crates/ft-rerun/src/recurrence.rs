//! The chain as a recurrence: `c' = f g c + (1 - f) n0`.
//!
//! `f` is the share of the blend that is carried over (0 to 1), `g` the factor by which a count grows until the next
//! blend (1 or more), `n0` the count of fresh mix and `c` that of the blend, all counts per volume in one unit.

use ft_maths::{exp, exp_m1, ln, log10, sqrt};

/// Where a chain of equal days ends up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fate {
    /// It settles at this count.
    Settles(f64),
    /// It grows without end, until a discard or the ceiling.
    RunsAway,
}

/// The blend after one more night.
pub fn next_blend(f: f64, g: f64, n0: f64, c: f64) -> f64 {
    f * g * c + (1.0 - f) * n0
}

/// The blend after `nights` equal nights that began with `c0`; closed form.
pub fn blend_after(f: f64, g: f64, n0: f64, c0: f64, nights: u32) -> f64 {
    if nights == 0 {
        return c0;
    }
    // Both through the same logarithm, so that near fg = 1 the quotient of two small numbers keeps its digits.
    let carried = ln(f * g);
    let power = exp(f64::from(nights) * carried);
    let series = if carried == 0.0 {
        f64::from(nights)
    } else {
        exp_m1(f64::from(nights) * carried) / exp_m1(carried)
    };
    c0 * power + (1.0 - f) * n0 * series
}

/// Where the chain ends up: it settles if `f g < 1`.
pub fn fate(f: f64, g: f64, n0: f64) -> Fate {
    if f * g < 1.0 { Fate::Settles((1.0 - f) * n0 / (1.0 - f * g)) } else { Fate::RunsAway }
}

/// Overnight growth from which on a chain runs away: `1 / f`.
pub fn break_even_growth(f: f64) -> f64 {
    1.0 / f
}

/// The same as a decimal log.
pub fn break_even_log10(f: f64) -> f64 {
    -log10(f)
}

/// Largest share that still settles under a dose of `grown` natural logs: `e^(-grown)`.
pub fn largest_settling_share(grown: f64) -> f64 {
    exp(-grown)
}

/// Constant temperature at which a chain of holds of `hours` breaks even, °C, for a square-root line.
pub fn break_even_temperature(b: f64, t_min: f64, f: f64, hours: f64) -> f64 {
    t_min + sqrt(-ln(f) / hours) / b
}

/// Worst blend when everything is discarded every `days` days: that of the last day, the first being all fresh.
pub fn worst_blend_between_discards(f: f64, g: f64, n0: f64, days: u32) -> f64 {
    blend_after(f, g, n0, n0, days.saturating_sub(1))
}

/// The blends of unequal nights, one for each `(f, g, n0)`, beginning with `c0`.
pub fn blends(nights: &[(f64, f64, f64)], c0: f64) -> Vec<f64> {
    let mut blend = c0;
    nights
        .iter()
        .map(|&(f, g, n0)| {
            blend = next_blend(f, g, n0, blend);
            blend
        })
        .collect()
}

/// For nights whose `ln(f g)` is normal with this mean and standard deviation: the mean of `f g`, and the tail
/// index of the count in the long run.
///
/// The chain stays bounded in the long run if the mean of the logarithm is below zero, but its *average* is finite
/// only if the mean of `f g` is below one. Source: Kesten 1973, Acta Math 131:207 (from memory).
pub fn fluctuating(mean: f64, deviation: f64) -> (f64, f64) {
    (exp(mean + deviation * deviation / 2.0), -2.0 * mean / (deviation * deviation))
}

/// Growth factor of a dose in natural logs.
pub fn growth_factor(grown: f64) -> f64 {
    exp(grown)
}

#[cfg(test)]
mod tests {
    use super::{Fate, blend_after, fate, next_blend};

    #[test]
    fn the_closed_form_is_the_loop() {
        for (f, g) in [(0.3, 2.0), (0.25, 4.0), (0.25, 4.0 + 1e-12), (0.3, 10.0), (0.0, 5.0), (1.0, 1.0)] {
            let mut blend = 70.0;
            for nights in 1..20 {
                blend = next_blend(f, g, 100.0, blend);
                let closed = blend_after(f, g, 100.0, 70.0, nights);
                assert!((closed - blend).abs() <= 1e-12 * blend, "f {f} g {g} night {nights}");
            }
        }
    }

    #[test]
    fn a_chain_settles_below_break_even_and_not_at_it() {
        assert_eq!(fate(0.3, 2.0, 100.0), Fate::Settles(0.7 * 100.0 / 0.4));
        assert_eq!(fate(0.4, 2.5, 100.0), Fate::RunsAway);
    }
}
