//! Pooling and learning against `statsmodels` 0.15 (kept values), sums against quadrature, the generator against its
//! published outputs.

// Helpers of tests: a file that is not as it was made is a failure.
#![allow(clippy::unwrap_used)]

use ft_odds::BadLengths;
use ft_odds::learning;
use ft_odds::lognormal::LogNormal;
use ft_odds::pert::{Activity, Random, ThreePoint, critical_path, simulate};
use ft_odds::pool::{by_likelihood, by_moments};
use ft_odds::sum::{Length, at_most, matched};
use serde_json::Value;

fn kept() -> Value {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference/statistics.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn floats(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
}

#[track_caller]
fn close(answer: f64, expected: f64, tolerance: f64) {
    assert!(
        (answer - expected).abs() <= tolerance * expected.abs().max(1e-3),
        "{answer}, expected {expected}"
    );
}

/// `MixedLM` of statsmodels climbs in two dimensions and stops at its own tolerance; ours searches one ratio.
#[test]
fn variances_agree_with_a_mixed_model() {
    for case in kept()["mixed"].as_array().unwrap() {
        let logs: Vec<Vec<f64>> = case["logs"].as_array().unwrap().iter().map(floats).collect();
        let lists: Vec<&[f64]> = logs.iter().map(Vec::as_slice).collect();
        let spread = by_likelihood(&lists).unwrap();
        close(spread.within, case["within"].as_f64().unwrap(), 1e-4);
        close(spread.between, case["between"].as_f64().unwrap(), 1e-3);
        close(spread.centre, case["centre"].as_f64().unwrap(), 1e-6);
    }
}

/// `OLS` of statsmodels on logs, with its interval for a new observation.
#[test]
fn a_learning_curve_agrees_with_least_squares() {
    let case = &kept()["learning"];
    let runs: Vec<(f64, f64)> = floats(&case["number"]).into_iter().zip(floats(&case["minutes"])).collect();
    let fit = learning::fit(&runs).unwrap();
    close(fit.curve.first, case["first"].as_f64().unwrap(), 1e-10);
    close(fit.curve.exponent, case["exponent"].as_f64().unwrap(), 1e-10);
    let interval = floats(&case["interval_90"]);
    let at = case["at"].as_f64().unwrap();
    close(fit.quantile(at, 0.05), interval[0], 1e-9);
    close(fit.quantile(at, 0.95), interval[1], 1e-9);
    assert!(learning::fit(&runs[..2]).is_none());
    assert!(
        learning::fit(&[(1.0, 5.0), (1.0, 6.0), (1.0, 7.0)]).is_none(),
        "one number tells nothing of practice"
    );
}

#[test]
fn equal_runs_and_single_persons_are_no_pool() {
    assert!(by_moments(&[&[1.0, 2.0]]).is_none());
    assert!(by_moments(&[&[1.0], &[2.0]]).is_none());
    let same = by_moments(&[&[1.0, 1.2], &[1.1, 1.1]]).unwrap();
    close(same.between, 0.0, 1e-12);
    assert_eq!(same.trust(5).to_string(), "0", "persons who do not differ are all the crew");
}

/// Steele, Lea & Flood's generator: the first outputs for seed 0 as printed with other implementations (from memory).
#[test]
fn the_generator_gives_its_published_outputs() {
    let mut random = Random { state: 0 };
    assert_eq!(
        [random.bits(), random.bits(), random.bits()],
        [0xe220_a839_7b1d_cdaf, 0x6e78_9e6a_a1b9_65f4, 0x06c4_5d18_8009_454f]
    );
    assert!((0..1000).all(|_| random.below(3) < 3 && 0.0 < random.share() && random.share() < 1.0));
}

const CHAIN: [LogNormal; 3] = [
    LogNormal { log_mean: 2.48, log_sd: 0.25 },
    LogNormal { log_mean: 3.0, log_sd: 0.35 },
    LogNormal { log_mean: 2.08, log_sd: 0.5 },
];

/// The grid's error falls with the square of its step, and both beat the matched law.
#[test]
fn a_grid_comes_near_the_integral() {
    let on_grid = |step: f64| {
        let lengths = CHAIN.map(|law| Length::of(law, step, 400.0));
        lengths[0].then(&lengths[1]).then(&lengths[2])
    };
    let (coarse, fine) = (on_grid(1.0), on_grid(0.25));
    let worst = |f: &dyn Fn(f64) -> f64| {
        [25.0, 35.0, 45.0, 55.0, 80.0]
            .iter()
            .map(|t| (f(*t) - at_most(&CHAIN, *t).unwrap()).abs())
            .fold(0.0, f64::max)
    };
    let (off_coarse, off_fine) = (worst(&|t| coarse.at_most(t)), worst(&|t| fine.at_most(t)));
    let off_matched = worst(&|t| matched(&CHAIN).at_most(t));
    let told = format!("{off_coarse:e} {off_fine:e} {off_matched:e}");
    assert!(off_coarse < 1e-3 && off_fine < 5e-5 && 2e-3 < off_matched, "{told}");
    assert!(
        (14.0..18.0).contains(&(off_coarse / off_fine)),
        "a quarter of the step, a sixteenth of the error: {told}"
    );
    let total: f64 = CHAIN.iter().map(LogNormal::mean).sum();
    close(fine.mean(), total, 1e-4);
    let median = fine.quantile(0.5);
    assert!((fine.at_most(median) - 0.5).abs() < 1e-9 && fine.quantile(1.0).is_infinite());
    assert!(at_most(&[], 1.0).is_none() && at_most(&[CHAIN[0]; 5], 1.0).is_none());
}

/// The later of two: product of the shares, by definition; and it ends later than either.
#[test]
fn a_join_is_later_than_either_branch() {
    let (left, right) = (Length::of(CHAIN[0], 0.25, 200.0), Length::of(CHAIN[2], 0.25, 200.0));
    let both = left.both(&right);
    for minutes in [6.0, 12.125, 30.0] {
        let product = left.at_most(minutes) * right.at_most(minutes);
        assert!((both.at_most(minutes) - product).abs() < 3e-3, "{minutes}");
    }
    assert!(left.mean() < both.mean() && right.mean() < both.mean());
    let mirrored = right.both(&left);
    assert!((both.mean() - mirrored.mean()).abs() < 1e-9);
}

fn activity(name: &str, three: [f64; 3], after: &[usize]) -> Activity {
    let length = ThreePoint { least: three[0], likeliest: three[1], greatest: three[2] };
    Activity { name: name.to_owned(), length, after: after.to_vec() }
}

/// Two equal branches that meet: the formula says one half, and the truth is one quarter.
#[test]
fn simulation_shows_what_the_formula_hides_where_paths_meet() {
    let network = [
        activity("A", [2.0, 5.0, 8.0], &[]),
        activity("B", [2.0, 5.0, 8.0], &[]),
        activity("C", [0.0; 3], &[0, 1]),
    ];
    let formula = critical_path(&network).unwrap();
    close(formula.ends_by(5.0), 0.5, 1e-12);
    let simulated = simulate(&network, 5.0, 1 << 16, 7).unwrap();
    assert!((simulated.ends_by - 0.25).abs() < 0.005, "{simulated:?}");
    assert_eq!(simulate(&network, 5.0, 1 << 16, 7), Some(simulated), "the same seed gives the same answer");
    assert!(critical_path(&[activity("A", [1.0; 3], &[0])]).is_none() && critical_path(&[]).is_none());
}

/// The construction project of a standard text: mean critical path of 44 weeks with a variance of 9, and odds of 0.84 of
/// being done within 47; its simulated odds are less, for the formula looks at one path alone.
///
/// Source: Hillier & Lieberman, Introduction to Operations Research, chapter on project management with PERT/CPM (figures
/// from memory; that path and variance come out as printed is the check on them).
#[test]
fn a_textbook_project_has_its_printed_path_and_odds() {
    let network = [
        activity("excavate", [1.0, 2.0, 3.0], &[]),
        activity("foundation", [2.0, 3.5, 8.0], &[0]),
        activity("rough wall", [6.0, 9.0, 18.0], &[1]),
        activity("roof", [4.0, 5.5, 10.0], &[2]),
        activity("outside plumbing", [1.0, 4.5, 5.0], &[2]),
        activity("inside plumbing", [4.0, 4.0, 10.0], &[4]),
        activity("outside siding", [5.0, 6.5, 11.0], &[3]),
        activity("outside painting", [5.0, 8.0, 17.0], &[4, 6]),
        activity("electrical work", [3.0, 7.5, 9.0], &[2]),
        activity("wallboard", [3.0, 9.0, 9.0], &[5, 8]),
        activity("flooring", [4.0, 4.0, 4.0], &[9]),
        activity("inside painting", [1.0, 5.5, 7.0], &[9]),
        activity("outside fixtures", [1.0, 2.0, 3.0], &[7]),
        activity("inside fixtures", [5.0, 5.5, 9.0], &[10, 11]),
    ];
    let means = [2.0, 4.0, 10.0, 6.0, 4.0, 5.0, 7.0, 9.0, 7.0, 8.0, 4.0, 5.0, 2.0, 6.0];
    for (activity, mean) in network.iter().zip(means) {
        close(activity.length.mean(), mean, 1e-12);
    }
    let formula = critical_path(&network).unwrap();
    assert_eq!(formula.path, [0, 1, 2, 4, 5, 9, 11, 13]);
    close(formula.mean, 44.0, 1e-12);
    close(formula.variance, 9.0, 1e-12);
    // One standard deviation above the mean.
    close(formula.ends_by(47.0), 0.841_344_746_068_542_9, 1e-9);
    let simulated = simulate(&network, 47.0, 1 << 16, 7).unwrap();
    assert!(simulated.mean > 44.0 && simulated.ends_by < formula.ends_by(47.0), "{simulated:?}");
}

/// A beta law between its points: mean by the formula when the likeliest is in the middle, variance as the law has it.
#[test]
fn one_activity_has_its_own_mean_and_spread() {
    let simulated = simulate(&[activity("A", [2.0, 5.0, 8.0], &[])], 5.0, 1 << 14, 1).unwrap();
    // Beta(3, 3) on 2 to 8: variance 36/28.
    close(simulated.mean, 5.0, 1e-5);
    // The table of the law is straight between its points, which costs the tails a little.
    close(simulated.sd, (36.0f64 / 28.0).sqrt(), 5e-4);
}

#[test]
fn lengths_that_cannot_be_are_named() {
    assert_eq!(LogNormal::fit(&[3.0]), Err(BadLengths::TooFew { have: 1, need: 2 }));
    assert_eq!(LogNormal::fit(&[3.0, 0.0]), Err(BadLengths::NotPositive { number: 2 }));
    assert_eq!(LogNormal::fit(&[3.0, f64::NAN]), Err(BadLengths::NotPositive { number: 2 }));
}
