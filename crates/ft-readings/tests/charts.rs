//! Charts of readings: gaps, signals, limits of rules, and what is said about them.

use std::fmt::Write as _;

use ft_readings::BadReadings;
use ft_readings::chart_view::{Request, chart, picture, text};
use ft_readings::individuals::{Rule, autocorrelation, limits, limits_with_gaps, signals};
use ft_readings::measurement::Limits;
use ft_readings::table::column;

/// Constants of tables: d₂ = 1.128, D₄ = 3.267, 3/d₂ = 2.66 for ranges of two (ASTM and AIAG tables, from memory).
#[test]
fn constants_round_to_those_of_tables() {
    let found = limits(&[1.0, 2.0, 1.0, 2.0]).expect("a spread");
    assert_eq!(format!("{:.3}", found.mean_range / found.sigma), "1.128");
    assert_eq!(format!("{:.3}", found.range_high / found.mean_range), "3.267");
    assert_eq!(format!("{:.2}", (found.high - found.centre) / found.mean_range), "2.66");
}

#[test]
fn no_difference_is_taken_across_a_gap() {
    let steady = [Some(1.0), Some(2.0), None, Some(101.0), Some(102.0)];
    let found = limits_with_gaps(&steady).expect("a spread");
    assert!((found.mean_range - 1.0).abs() < 1e-12, "the step of 99 lies across the gap");
    assert_eq!(limits(&[3.0]), Err(BadReadings::TooFew { have: 1, need: 2 }));
    assert_eq!(limits(&[3.0, f64::NAN]), Err(BadReadings::NotFinite { number: 2 }));
    assert_eq!(limits(&[3.0, 3.0, 3.0]), Err(BadReadings::NoSpread));
}

/// One list for each rule that breaks it and one that barely does not.
#[test]
fn rules_signal_at_the_point_that_completes_them() {
    let check = |scores: &[f64], expected: &[(usize, Rule)]| {
        assert_eq!(signals(scores, 0.0, 1.0), expected, "{scores:?}");
    };
    check(&[0.0, 3.1], &[(2, Rule::Beyond)]);
    check(&[0.0, 3.0], &[]);
    check(&[2.1, 0.0, 2.1], &[(3, Rule::TwoOfThree)]);
    check(&[2.1, 0.0, -2.1], &[]);
    check(&[2.1, 0.0, 0.0, 2.1], &[]);
    check(&[1.1, 1.1, 0.0, 1.1, 1.1], &[(5, Rule::FourOfFive)]);
    check(&[-1.1, -1.1, -1.1, -0.9, -0.9], &[]);
    check(&[0.1, 0.2, 0.1, 0.2, 0.1, 0.2, 0.1, 0.2], &[(8, Rule::EightInARow)]);
    check(&[0.1, 0.2, 0.1, -0.2, 0.1, 0.2, 0.1, 0.2], &[]);
}

#[test]
fn neighbours_that_go_together_are_told() {
    let saw: Vec<f64> = (0..40).map(|i| f64::from(i % 2)).collect();
    let slow: Vec<f64> = (0..40).map(|i| (f64::from(i) / 6.0).sin()).collect();
    assert!(autocorrelation(&saw) < -0.9 && autocorrelation(&slow) > 0.9);
    let table: Vec<String> = slow.iter().map(ToString::to_string).collect();
    let table = table.join("\n");
    let view = chart(&column(&format!("value\n{table}"), "value"), &Request::usual("Invented room", "°C"))
        .expect("limits");
    assert!(view.cautions.iter().any(|caution| caution.contains("cry wolf")));
}

/// Invented strengths of a sanitiser in ppm: a drift that three charts see before the label's limit is met.
#[test]
fn a_drift_is_seen_before_the_limit_and_the_limit_is_said_first() {
    let mut rows = String::from("when,ppm\n");
    for night in 0..30 {
        let noise = [0.0, 4.0, -3.0, 2.0, -4.0, 1.0][night % 6];
        let drift = if night < 20 { 0.0 } else { (night as f64 - 19.0) * 3.0 };
        writeln!(rows, "{night},{}", 90.0 + noise - drift).expect("a string takes all");
    }
    rows.push_str("30,\n31,about 60\n32,48\n");
    let column = column(&rows, "PPM");
    let mut request = Request::usual("Sanitiser, third sink", "ppm");
    request.baseline = 20;
    request.uncertainty = 5.0;
    request.limits = Some((Limits { low: Some(50.0), high: Some(100.0) }, "label".to_owned()));
    let view = chart(&column, &request).expect("limits");
    assert_eq!((view.readings.len(), view.gaps, view.left_out.len()), (33, 2, 1));
    assert_eq!(view.outside, Vec::<usize>::new(), "48 with 5 on both sides may be within");
    assert!(view.too_close.contains(&33));
    let signal = view.sum_signal.as_ref().expect("a drift");
    assert_eq!(signal.direction, "down");
    assert!(20 <= signal.shift_after && signal.number < 27, "{signal:?}");
    assert!(view.average_signals.first().is_some_and(|row| *row < 27));
    let told = text(&view);
    assert!(
        told.find("limit (label)") < told.find("single readings")
            && told.contains("R0103")
            && told.contains("does not replace")
    );
    let svg = picture(&view, Some((50.0, "label".to_owned())));
    assert!(
        svg.contains("signals at")
            && serde_json::to_string(&view).expect("plain data").contains("\"gaps\":2")
    );
}

#[test]
fn a_column_that_is_not_there_is_an_error_with_those_that_are() {
    let found = column("when,strength\n1,50\n", "ppm");
    assert_eq!(found.problems[0].code, "R0102");
    assert!(found.problems[0].message.contains("strength") && found.readings.is_empty());
    assert!(chart(&found, &Request::usual("x", "ppm")).is_err());
}
