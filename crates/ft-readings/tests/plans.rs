//! Sampling plans, rules over the last results, swabs and heads against public tables and other programs.

// Helpers of tests: a file that is not as it was made is a failure.
#![allow(clippy::unwrap_used)]

use ft_readings::heads::{Head, Interval, interval, samples};
use ft_readings::measurement::{self, Limits, detection, judge};
use ft_readings::plan::{BadPlan, Count, Plan, Verdict, parse_count, smallest};
use ft_readings::rolling::{self, Rolling};
use ft_readings::swab::{from_record, from_trial};
use ft_readings::{BadReadings, sample_view, swab};

fn two(n: u32, c: u32) -> Plan {
    Plan::new(n, c, 10.0, None).unwrap()
}

fn three(n: u32, c: u32) -> Plan {
    Plan::new(n, c, 10.0, Some(100.0)).unwrap()
}

/// Source: Czech decree 294/1997 Sb., table 4, n = 5, c = 1 (read): probability of passing by the share of
/// unacceptable (rows) and of marginal samples (columns, 0 to 90 %), printed to two digits; below 0.005 as 0. One cell (3 and
/// 10 %) is printed as 0.79 where the sum is 0.785: taken as a misprint.
#[test]
fn three_classes_agree_with_the_table_of_a_decree() {
    #[rustfmt::skip]
    let table: [(f64, &[f64]); 11] = [
        (0.00, &[1.00, 0.92, 0.74, 0.53, 0.34, 0.19, 0.09, 0.03, 0.01, 0.00]),
        (0.01, &[0.95, 0.87, 0.70, 0.50, 0.31, 0.17, 0.08, 0.03, 0.01]),
        (0.02, &[0.90, 0.83, 0.66, 0.47, 0.29, 0.16, 0.07, 0.02, 0.00]),
        (0.03, &[0.86, 0.78, 0.62, 0.44, 0.27, 0.15, 0.06, 0.02]),
        (0.04, &[0.82, 0.74, 0.59, 0.41, 0.25, 0.13, 0.06, 0.02]),
        (0.05, &[0.77, 0.70, 0.55, 0.38, 0.23, 0.12, 0.05, 0.01]),
        (0.10, &[0.59, 0.53, 0.41, 0.27, 0.16, 0.07, 0.03, 0.01]),
        (0.20, &[0.33, 0.29, 0.21, 0.13, 0.06, 0.02, 0.01, 0.00]),
        (0.30, &[0.17, 0.14, 0.09, 0.05, 0.02, 0.00, 0.00]),
        (0.40, &[0.08, 0.06, 0.04, 0.01, 0.00]),
        (0.50, &[0.03, 0.02, 0.01, 0.00]),
    ];
    let plan = three(5, 1);
    for (above_big_m, row) in table {
        for (tenths, expected) in row.iter().enumerate() {
            let marginal = tenths as f64 / 10.0;
            let passes = plan.accepts(marginal + above_big_m, above_big_m);
            assert!(
                (passes - expected).abs() <= 0.0051,
                "{marginal} and {above_big_m}: {passes}, table {expected}"
            );
        }
    }
}

/// The kept values are multinomial sums of `scipy`.
#[test]
fn three_classes_agree_with_scipy() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference/statistics.json");
    let kept: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    for row in kept["sampling"].as_array().unwrap() {
        let cell = |index: usize| row[index].as_f64().unwrap();
        let passes = three(cell(0) as u32, cell(1) as u32).accepts(cell(2), cell(3));
        assert!((passes - cell(4)).abs() < 1e-12, "{row}: {passes}");
    }
}

/// Source: examples with their output in the manual of the R package Planesmuestra 0.1 (read).
#[test]
fn two_classes_agree_with_the_examples_of_an_r_package() {
    assert!((two(65, 2).accepts(0.012, 0.0) - 0.956_439_8).abs() < 5e-8);
    assert!((two(125, 2).accepts(0.1, 0.0) - 0.000_210_835).abs() < 5e-10);
}

/// Source: a worked example of n = 68, c = 2 on a sampling plan forum (read): 95 % pass at 1.213 %, 5 % at 8.9704 %.
#[test]
fn shares_at_which_a_plan_passes() {
    let plan = two(68, 2);
    assert!((plan.share_at(0.95).unwrap() - 0.012_13).abs() < 5e-6);
    assert!((plan.share_at(0.05).unwrap() - 0.089_704).abs() < 5e-7);
}

/// Source: NIST/SEMATECH e-Handbook 6.2.3.2, n = 52, c = 3, lots of 10,000 (from memory, reproduced).
#[test]
fn curve_and_outgoing_quality_of_the_handbook() {
    let passes = [0.998, 0.980, 0.930, 0.845, 0.739, 0.620, 0.502, 0.394, 0.300, 0.223, 0.162, 0.115];
    let plan = two(52, 3);
    for (index, expected) in passes.iter().enumerate() {
        let share = (index as f64 + 1.0) / 100.0;
        assert!(
            (plan.accepts(share, 0.0) - expected).abs() < 1.1e-3,
            "{share}: {}",
            plan.accepts(share, 0.0)
        );
    }
    assert!((plan.outgoing(0.03, 10_000.0) - 0.0278).abs() < 1e-4);
    let most = (1..=200).map(|i| plan.outgoing(f64::from(i) / 1000.0, 10_000.0)).fold(0.0, f64::max);
    assert!((most - 0.0372).abs() < 2e-4, "the worst average outgoing quality is {most}");
}

/// The smallest plan keeps both promises, and one sample fewer breaks one of them for every c.
#[test]
fn the_smallest_plan_is_smallest() {
    let (n, c) = smallest(0.01, 0.05, 0.06, 0.10).unwrap();
    let keeps = |n: u32, c: u32| two(n, c).accepts(0.01, 0.0) >= 0.95 && two(n, c).accepts(0.06, 0.0) <= 0.10;
    assert!(keeps(n, c));
    assert!((0..n - 1).all(|c| !keeps(n - 1, c)));
}

#[test]
fn lots_without_putting_back_are_judged_a_little_more_sharply() {
    // Three of five from a lot of ten with two bad ones: C(8,3)/C(10,3) = 56/120 that none is bad.
    assert!((two(3, 0).accepts_from_lot(10, 2) - 56.0 / 120.0).abs() < 1e-12);
    assert!((two(5, 0).accepts_from_lot(1_000_000, 100_000) - two(5, 0).accepts(0.1, 0.0)).abs() < 1e-5);
}

/// A lot whose counts spread around a log mean of 2 fails m = 10 almost surely and M = 1000 seldom.
#[test]
fn log_normal_counts_pass_less_often_as_they_rise() {
    let plan = Plan::new(5, 2, 10.0, Some(100.0)).unwrap();
    let odds: Vec<f64> =
        [0.0, 0.5, 1.0, 1.5, 2.0].iter().map(|mean| plan.accepts_log_normal(*mean, 0.5)).collect();
    assert!(odds.windows(2).all(|pair| pair[1] < pair[0]), "{odds:?}");
    assert!(0.99 < odds[0] && odds[4] < 0.05);
    // Half of all counts are above m when the mean of the logs is log m, as in a plan by shares.
    let half = plan.accepts(0.5, ft_stats::distribution::normal_tail(2.0));
    assert!((odds[2] - half).abs() < 1e-12);
}

/// EU 2073/2005, 2.2.8 for frozen dessert mix: n 5, c 2, m 10, M 100.
#[test]
fn verdicts_of_a_plan_and_counts_that_could_be_either() {
    let plan = Plan::new(5, 2, 10.0, Some(100.0)).unwrap();
    let judge = |counts: [&str; 5]| plan.judge(&counts.map(|text| parse_count(text).unwrap()));
    assert_eq!(judge(["<10", "<10", "10", "0", "<1"]), Verdict::Satisfactory);
    assert_eq!(judge(["11", "100", "<10", "10", "10"]), Verdict::Acceptable);
    assert_eq!(judge(["11", "12", "13", "<10", "<10"]), Verdict::Unsatisfactory);
    assert_eq!(judge(["101", "<10", "<10", "<10", "<10"]), Verdict::Unsatisfactory);
    assert_eq!(judge([">100", "<10", "<10", "<10", "<10"]), Verdict::Unsatisfactory);
    assert_eq!(judge(["<100", "<10", "<10", "<10", "<10"]), Verdict::CannotTell);
    assert_eq!(judge([">300", "<100", "<100", "<100", "<100"]), Verdict::Unsatisfactory, "one is enough");
    assert_eq!(plan.judge(&[Count::Counted(1.0)]), Verdict::CannotTell);
    assert_eq!(["", "-3", "abc", "<", "NaN"].map(parse_count), [None; 5]);
}

#[test]
fn plans_that_refuse_nothing_are_refused() {
    assert_eq!(Plan::new(0, 0, 10.0, None), Err(BadPlan::NoSamples));
    assert_eq!(Plan::new(5, 5, 10.0, None), Err(BadPlan::RefusesNothing));
    assert_eq!(Plan::new(5, 2, 10.0, Some(10.0)), Err(BadPlan::Limits));
    assert_eq!(Plan::new(5, 2, f64::NAN, None), Err(BadPlan::Limits));
}

/// Every history of up to twelve results, against a plain reading of "3 of the last 5".
#[test]
fn three_of_the_last_five_over_all_histories() {
    let rule = Rolling::new(3, 5).unwrap();
    for length in 0..=12u32 {
        let (mut failing, mut total) = (0u32, 0u32);
        for bits in 0..1u32 << length {
            let history: Vec<bool> = (0..length).map(|i| bits >> i & 1 == 1).collect();
            let last: Vec<bool> = history.iter().rev().take(5).copied().collect();
            let fails = last.iter().filter(|e| **e).count() >= 3;
            assert_eq!(rule.judge(&history) == rolling::Verdict::Fails, fails, "{history:?}");
            let next: Vec<bool> = history.iter().copied().chain([true]).collect();
            let one_more = !fails && rule.judge(&next) == rolling::Verdict::Fails;
            assert_eq!(rule.judge(&history) == rolling::Verdict::OneMoreFails, one_more, "{history:?}");
            let ever = (1..=history.len()).any(|end| rule.judge(&history[..end]) == rolling::Verdict::Fails);
            failing += u32::from(ever);
            total += 1;
        }
        // With a share of one half all histories are equally likely, so that counting them is the probability.
        let exact = f64::from(failing) / f64::from(total);
        assert!((rule.fails_within(length, 0.5) - exact).abs() < 1e-12, "{length}");
    }
    assert!(Rolling::new(0, 5).is_none() && Rolling::new(6, 5).is_none() && Rolling::new(3, 17).is_none());
    assert!((rule.fails_now(0.1) - 0.008_56).abs() < 1e-12);
}

#[test]
fn a_two_barrel_machine_has_three_heads() {
    assert_eq!(samples(2), [Head::Barrel(1), Head::Barrel(2), Head::Twist(1)]);
    assert_eq!([1, 3, 4].map(|barrels| samples(barrels).len()), [1, 4, 6]);
    assert_eq!(interval(&[true, true]), Interval::Weekly);
    assert_eq!(interval(&[false, true, true, true]), Interval::Monthly);
    assert_eq!(interval(&[true, true, true, false]), Interval::Weekly);
}

#[test]
fn swabs_pass_ask_again_and_fail() {
    let clean: Vec<f64> = (0..20).map(|i| 10.0 + f64::from(i % 5)).collect();
    let baseline = from_record(&clean).unwrap();
    // Mean 12, standard deviation √(40/19).
    assert!(
        (baseline.pass - 12.0).abs() < 1e-12
            && (baseline.fail - 12.0 - 3.0 * (40.0f64 / 19.0).sqrt()).abs() < 1e-12
    );
    assert_eq!(
        [12.0, 12.1, 16.4].map(|x| baseline.judge(x)),
        [swab::Verdict::Pass, swab::Verdict::Caution, swab::Verdict::Fail]
    );
    assert_eq!(baseline.judge_again(12.1), swab::Verdict::Fail);
    assert_eq!(from_record(&clean[..19]), Err(BadReadings::TooFew { have: 19, need: 20 }));
    assert_eq!(from_record(&[3.0; 20]), Err(BadReadings::NoSpread));
    assert!(
        (from_trial(&clean[..5], 9.0).unwrap().fail - 36.0).abs() < 1e-12,
        "never laxer than three times"
    );
}

#[test]
fn a_band_beside_a_limit() {
    use measurement::Verdict::{Outside, TooCloseToTell, Within};
    let limits = Limits { low: Some(50.0), high: Some(100.0) };
    let band = |low: f64, high: f64| judge(low, high, limits);
    assert_eq!(
        [band(50.0, 100.0), band(49.0, 60.0), band(10.0, 49.9), band(90.0, 150.0), band(101.0, 150.0)],
        [Within, TooCloseToTell, Outside, TooCloseToTell, Outside]
    );
    assert_eq!(judge(0.0, f64::INFINITY, Limits { low: None, high: None }), Within);
    let least = detection(&[1.0, 2.0, 3.0, 2.0, 2.0]).unwrap();
    let spread = 0.5f64.sqrt();
    assert!(
        (least.critical - 2.0 - 1.645 * spread).abs() < 1e-12
            && (least.quantification - 2.0 - 10.0 * spread).abs() < 1e-12
    );
}

#[test]
fn the_views_say_what_was_left_out() {
    let plan = Plan::new(5, 2, 10.0, Some(100.0)).unwrap();
    let view = sample_view::plan(&plan, &["<10", "5", "11", "oops", "2"]);
    assert_eq!((view.verdict, view.left_out.len()), ("cannot tell", 1));
    assert!(sample_view::plan_text(&view).contains("not a safe lot"));
    let view = sample_view::rolling(Rolling::new(3, 5).unwrap(), &[60e3, 10e3, 70e3, 2e3, 55e3], 50e3);
    assert_eq!((view.verdict, view.exceeding.as_slice()), ("fails", &[1, 3, 5][..]));
    assert!(sample_view::rolling_text(&view).contains("verdict: fails"));
}
