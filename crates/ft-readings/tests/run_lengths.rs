//! Run lengths against published tables, another program's example, another method, and simulation.

// Helpers of tests: a file that is not as it was made is a failure.
#![allow(clippy::unwrap_used)]

use ft_readings::ewma::Ewma;
use ft_readings::individuals::signals;
use ft_readings::{arl, cusum::Cusum};
use ft_stats::distribution::normal_quantile;
use serde_json::Value;

/// Source: Lucas & Crosier 1982, as in NIST/SEMATECH e-Handbook 6.3.2.3 (from memory): two-sided, k = 0.5, with
/// h = 4 and h = 5; the lengths are printed to three digits.
#[test]
fn cumulative_sums_have_the_run_lengths_of_the_table() {
    let table = [
        (0.0, 168.0, 465.0),
        (0.25, 74.2, 139.0),
        (0.5, 26.6, 38.0),
        (0.75, 13.3, 17.0),
        (1.0, 8.38, 10.4),
        (1.5, 4.75, 5.75),
        (2.0, 3.34, 4.01),
        (2.5, 2.62, 3.11),
        (3.0, 2.19, 2.57),
        (4.0, 1.71, 2.01),
    ];
    for (shift, four, five) in table {
        for (h, expected) in [(4.0, four), (5.0, five)] {
            let length = arl::cusum(0.5, h, shift);
            assert!(
                (length / expected - 1.0).abs() < 5e-3,
                "h {h}, shift {shift}: {length}, table {expected}"
            );
        }
    }
}

/// Source: NIST/SEMATECH e-Handbook 6.3.2.3 (from memory), the column of the chart with limits at three.
#[test]
fn single_readings_have_the_run_lengths_of_the_table() {
    let table =
        [(0.0, 371.0), (0.25, 281.14), (0.5, 155.22), (0.75, 81.22), (1.0, 44.0), (2.0, 6.30), (3.0, 2.00)];
    for (shift, expected) in table {
        let length = arl::shewhart(3.0, shift);
        assert!((length / expected - 1.0).abs() < 4e-3, "shift {shift}: {length}, table {expected}");
    }
}

/// Source: SAS/QC User's Guide, EWMAARL function, its example: shift 1, weight 0.25, limits 3 (read).
#[test]
fn a_moving_average_has_the_run_length_of_another_programs_example() {
    assert!((arl::ewma(0.25, 3.0, 1.0) - 11.154_267_016).abs() < 1e-8);
}

/// Source: Lucas & Saccucci 1990 (from memory): pairs of weight and width with 500 readings between false alarms.
#[test]
fn moving_averages_are_matched_at_five_hundred() {
    for (weight, width, seen_at_one) in
        [(0.1, 2.814, 10.3), (0.2, 2.962, 10.5), (0.25, 2.998, 11.1), (0.4, 3.054, 14.3)]
    {
        let steady = arl::ewma(weight, width, 0.0);
        let shifted = arl::ewma(weight, width, 1.0);
        assert!((steady / 500.0 - 1.0).abs() < 5e-3, "{weight}: {steady}");
        assert!((shifted - seen_at_one).abs() < 0.06, "{weight}: {shifted}");
    }
}

/// The kept values are Markov chains after Brook & Evans 1972, by numpy: another method than the integral equation.
#[test]
fn integral_equations_agree_with_markov_chains() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference/statistics.json");
    let kept: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let rows = |key: &str| kept["run_lengths"][key].as_array().unwrap().clone();
    let compare = |row: &Value, length: fn(f64, f64, f64) -> f64, tolerance: f64| {
        let cell = |index: usize| row[index].as_f64().unwrap();
        let found = length(cell(0), cell(1), cell(2));
        assert!((found / cell(3) - 1.0).abs() < tolerance, "{row}: {found}");
    };
    for row in rows("cusum_one_sided") {
        compare(&row, arl::cusum_one_sided, 1e-5);
    }
    for row in rows("ewma") {
        compare(&row, arl::ewma, 1e-3);
    }
}

/// Normal numbers from a linear congruence modulo 2⁶⁴ (Knuth's constants, from memory) and the inverse of the normal
/// law: the same on every machine.
struct Normal(u64);

impl Normal {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        normal_quantile(((self.0 >> 12) as f64 + 0.5) / (1u64 << 52) as f64)
    }
}

/// Mean length of many runs of a chart: readings are drawn in blocks until one signals.
fn simulated(runs: u32, mut normal: Normal, signals_at: impl Fn(&[f64]) -> Option<usize>) -> f64 {
    let mut total = 0.0;
    for _ in 0..runs {
        let mut readings: Vec<f64> = Vec::new();
        let length = loop {
            readings.extend((0..100).map(|_| normal.next()));
            if let Some(length) = signals_at(&readings) {
                break length;
            }
        };
        total += length as f64;
    }
    total / f64::from(runs)
}

/// Source: Champ & Woodall 1987 (from memory): all four rules signal every 91.75 readings of a steady process. With
/// 4,000 runs the standard error is 1.4.
#[test]
fn four_rules_signal_every_ninety_two_readings() {
    let length = simulated(4000, Normal(1), |x| signals(x, 0.0, 1.0).first().map(|(number, _)| *number));
    assert!((length - 91.75).abs() < 4.5, "{length}");
}

/// The charts themselves, not only the equations: 4,000 runs with a shift of one from the start.
#[test]
fn charts_signal_when_the_equations_say() {
    let cusum = Cusum { target: -1.0, slack: 0.5, decision: 5.0 };
    let length = simulated(4000, Normal(2), |x| cusum.first_signal(x).map(|signal| signal.number));
    assert!((length - arl::cusum(0.5, 5.0, 1.0)).abs() < 0.3, "{length}");
    // The chart's limits start narrower than the settled ones of the equation, so that it signals a little sooner.
    let ewma = Ewma { target: -1.0, sigma: 1.0, weight: 0.2, width: 2.962 };
    let first =
        |x: &[f64]| ewma.points(x).iter().position(ft_readings::ewma::Point::is_signal).map(|i| i + 1);
    let length = simulated(4000, Normal(3), first);
    let settled = arl::ewma(0.2, 2.962, 1.0);
    assert!(settled - 2.0 < length && length < settled, "{length}, settled {settled}");
}
