//! Newton's law of cooling: to warn early that a tub will not cool in time, never to say that it did.
//!
//! Whether a tub cooled in time is judged on logged crossings; a still bucket is colder at its edge than in its
//! middle (its Biot number is near 1), so one sensor belongs in the middle.

use ft_maths::{exp, ln};

/// Hours to cool from `start` to `target` in air at `air` with time constant `tau`; `None` if it never gets there.
/// The three temperatures may be °C or °F, all in one.
pub fn hours_to(start: f64, air: f64, tau: f64, target: f64) -> Option<f64> {
    if start <= target {
        return Some(0.0);
    }
    (air < target).then(|| tau * ln((start - air) / (target - air)))
}

/// Temperature after `hours`.
pub fn temperature_after(start: f64, air: f64, tau: f64, hours: f64) -> f64 {
    air + (start - air) * exp(-hours / tau)
}

/// Largest time constant, h, that still cools from `start` to `target` within `hours`; zero if none does.
pub fn largest_tau(start: f64, air: f64, target: f64, hours: f64) -> f64 {
    if air < target && target < start { hours / ln((start - air) / (target - air)) } else { 0.0 }
}

/// Time constant in hours of `mass_kg` of product with heat capacity `cp` (J/kg K), heat transfer `u` (W/m² K)
/// through `area_m2`.
pub fn time_constant(mass_kg: f64, cp: f64, u: f64, area_m2: f64) -> f64 {
    mass_kg * cp / (u * area_m2) / 3600.0
}

/// Time constant (h) and starting temperature fitted to readings of `(hours, °C)` with the air known: a straight
/// line through `ln(T - air)`.
///
/// The air must come from the room's own sensor: fitted along with the rest from a few hours of log it is off by
/// a quarter of a degree and the time constant with it. `None` with fewer than two readings above the air, or
/// when they do not fall.
pub fn fit(readings: &[(f64, f64)], air: f64) -> Option<(f64, f64)> {
    let points: Vec<(f64, f64)> =
        readings.iter().filter(|(_, t)| *t > air).map(|&(hours, t)| (hours, ln(t - air))).collect();
    if points.len() < 2 {
        return None;
    }
    let count = points.len() as f64;
    let mean_x = points.iter().map(|p| p.0).sum::<f64>() / count;
    let mean_y = points.iter().map(|p| p.1).sum::<f64>() / count;
    let slope = points.iter().map(|(x, y)| (x - mean_x) * (y - mean_y)).sum::<f64>()
        / points.iter().map(|(x, _)| (x - mean_x) * (x - mean_x)).sum::<f64>();
    (slope < 0.0).then(|| (-1.0 / slope, air + exp(mean_y - slope * mean_x)))
}

#[cfg(test)]
mod tests {
    use super::{fit, hours_to, temperature_after};

    #[test]
    fn what_is_put_in_comes_out() {
        let log: Vec<(f64, f64)> =
            (0..13).map(|n| f64::from(n) / 2.0).map(|h| (h, temperature_after(20.0, 3.0, 7.5, h))).collect();
        let (tau, start) = fit(&log, 3.0).unwrap();
        assert!((tau - 7.5).abs() < 1e-12 && (start - 20.0).abs() < 1e-12);
        let hours = hours_to(20.0, 3.0, 7.5, 5.0).unwrap();
        assert!((temperature_after(20.0, 3.0, 7.5, hours) - 5.0).abs() < 1e-12);
        assert_eq!(hours_to(20.0, 6.0, 7.5, 5.0), None, "air above the target never gets there");
        assert_eq!(fit(&[(0.0, 5.0), (1.0, 6.0)], 3.0), None, "a tub that warms has no cooling constant");
    }
}
