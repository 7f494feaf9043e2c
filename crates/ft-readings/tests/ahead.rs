//! The line through readings against certified values, and the time to a limit against `SciPy`.
#![allow(clippy::unwrap_used)]

use ft_readings::ahead::{Trend, trend};

/// NIST Statistical Reference Datasets, linear regression, Norris (calibration of ozone monitors): x and y.
const NORRIS: [(f64, f64); 36] = [
    (0.2, 0.1),
    (0.3, 0.3),
    (0.3, 0.6),
    (0.4, 0.3),
    (0.5, 0.2),
    (0.6, 0.1),
    (10.1, 9.2),
    (11.1, 10.2),
    (11.6, 10.8),
    (118.2, 118.1),
    (118.3, 117.6),
    (120.2, 119.6),
    (226.5, 228.1),
    (228.1, 228.3),
    (229.2, 228.9),
    (337.4, 338.8),
    (338.0, 339.3),
    (339.1, 339.3),
    (447.5, 448.9),
    (448.6, 449.1),
    (448.9, 449.2),
    (556.0, 557.7),
    (556.8, 557.6),
    (558.2, 559.2),
    (666.3, 668.5),
    (666.9, 668.8),
    (669.1, 668.4),
    (775.5, 778.1),
    (777.0, 778.9),
    (779.0, 778.9),
    (884.6, 888.0),
    (887.2, 888.0),
    (887.6, 888.8),
    (995.8, 998.0),
    (996.3, 998.5),
    (999.0, 998.5),
];

fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within * wanted.abs().max(1e-300), "{found} is not {wanted}");
}

/// Certified by NIST: slope, its standard deviation, the residual standard deviation.
#[test]
fn the_line_is_the_certified_one() {
    let line = trend(&NORRIS).unwrap();
    near(line.slope, 1.002_116_818_020_45, 1e-13);
    near(line.slope_error, 0.429_796_848_199_937e-3, 1e-11);
    near(line.spread, 0.884_796_396_144_373, 1e-11);
    near(line.level, -0.262_323_073_774_029 + 1.002_116_818_020_45 * NORRIS[35].0, 1e-12);
}

/// A cold room that warms by 0.1 °C a minute with some noise: `SciPy` 1.17.1, `linregress` and `t.ppf(0.95, 4)`.
#[test]
fn time_to_a_limit_is_between_earliest_and_expected() {
    let readings: Vec<(f64, f64)> =
        [3.02, 3.09, 3.21, 3.28, 3.41, 3.50].iter().enumerate().map(|(i, y)| (60.0 * i as f64, *y)).collect();
    let ahead = trend(&readings).unwrap().until(3.5, 5.0, true).unwrap();
    near(ahead.expected_s, 918.367_346_938_8, 1e-9);
    near(ahead.earliest_s, 848.167_123_816_0, 1e-9);
    assert!(ahead.earliest_s <= ahead.expected_s);
}

#[test]
fn what_is_level_or_goes_away_meets_no_limit() {
    let row = |f: fn(f64) -> f64| (0..9).map(|i| (f64::from(i), f(f64::from(i)))).collect::<Vec<_>>();
    let up_and_down = row(|t| 3.0 + if t as i32 % 2 == 0 { 0.3 } else { -0.3 });
    assert_eq!(trend(&up_and_down).unwrap().until(3.3, 5.0, true), None);
    let cooling = trend(&row(|t| 4.0 - 0.1 * t)).unwrap();
    assert_eq!(cooling.until(3.2, 5.0, true), None);
    let to_the_lower = cooling.until(3.2, 2.0, false).unwrap();
    near(to_the_lower.expected_s, 12.0, 1e-9);
    near(to_the_lower.earliest_s, 12.0, 1e-9);
    assert!(cooling.until(1.9, 2.0, false).unwrap().earliest_s <= 0.0, "it is met already");
}

#[test]
fn too_few_readings_or_one_moment_have_no_line() {
    assert_eq!(trend(&[(0.0, 1.0), (1.0, 2.0), (2.0, 3.0), (3.0, 4.0)]), None);
    assert_eq!(trend(&[(7.0, 1.0); 6]), None);
    assert_eq!(trend(&[(0.0, 1.0), (1.0, 2.0), (2.0, f64::NAN), (3.0, 4.0), (4.0, 5.0)]), None);
}

/// The last reading counts where it is nearer to the limit than the line is: a door that was just opened.
#[test]
fn the_shorter_way_counts() {
    let line = Trend { count: 30, level: 3.0, slope: 0.01, slope_error: 0.0, spread: 0.0 };
    near(line.until(4.5, 5.0, true).unwrap().expected_s, 50.0, 1e-12);
    near(line.until(2.5, 5.0, true).unwrap().expected_s, 200.0, 1e-12);
}
