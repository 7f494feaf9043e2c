//! The exact solution against a general solver: `SciPy`'s `solve_ivp` on random polyline histories.
//!
//! A thousand histories for each secondary model, solved anew by `reference.py` where Python with `SciPy` is
//! installed; the test says aloud when it is not. `sample.json` holds a few of them with the counts that `SciPy`
//! 1.17.1 gave, so that a clone alone tests something; `FULLTRAY_WRITE_SAMPLE=1` writes it anew.
// A helper of a test may stop the test.
#![allow(clippy::unwrap_used)]

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use ft_growth::primary::{dose_after_lag, ln_count};
use ft_growth::{GapRule, History, RateCurve, Reading, SecondaryModel, dose};
use serde::{Deserialize, Serialize};

/// What the two may differ by, log10.
const ALLOWED: f64 = 1e-8;

#[derive(Debug, Serialize, Deserialize)]
struct Case {
    model: SecondaryModel,
    hours: Vec<f64>,
    celsius: Vec<f64>,
    h0: f64,
    log10_n0: f64,
    log10_nmax: f64,
    m: f64,
}

#[derive(Serialize, Deserialize)]
struct Sample {
    case: Case,
    log10_n: f64,
}

fn models() -> [SecondaryModel; 3] {
    [
        SecondaryModel::SquareRoot { b: 0.027_911, t_min: -1.6273 },
        SecondaryModel::ExtendedSquareRoot { b: 0.03, t_min: -3.0, c: 0.25, t_max: 42.0 },
        SecondaryModel::Cardinal { t_min: 3.7, t_opt: 40.8, t_max: 46.6, mu_opt: 2.3 },
    ]
}

fn ours(case: &Case) -> f64 {
    let readings: Vec<Reading> =
        case.hours.iter().zip(&case.celsius).map(|(&hours, &celsius)| Reading { hours, celsius }).collect();
    let history = History::new(&readings, GapRule::NONE).unwrap();
    let curve = RateCurve::new(vec![case.model]).unwrap();
    let ln10 = std::f64::consts::LN_10;
    let grown = dose_after_lag(dose(&history, &curve), case.h0);
    ln_count(case.log10_n0 * ln10, case.log10_nmax * ln10, case.m, grown) / ln10
}

/// Histories of 2 to 12 nodes over 1 to 72 h between -10 and 50 °C, every third with a jump of minutes.
fn cases(model: SecondaryModel, count: usize, seed: u64) -> Vec<Case> {
    let mut state = seed;
    let mut unit = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut cases = Vec::new();
    for number in 0..count {
        let nodes = 2 + (unit() * 11.0) as usize;
        let mut at = 0.0;
        let mut hours = vec![0.0];
        for node in 1..nodes {
            at += if number % 3 == 0 && node % 2 == 0 { 0.02 + unit() * 0.2 } else { 0.1 + unit() * 6.0 };
            hours.push(at);
        }
        let spread = if unit() < 0.5 { 12.0 } else { 60.0 };
        let celsius = hours.iter().map(|_| (-10.0 + unit() * spread).min(50.0)).collect();
        let log10_n0 = unit() * 4.0;
        cases.push(Case {
            model,
            hours,
            celsius,
            h0: if unit() < 0.4 { 0.0 } else { 0.05 + unit() * 8.0 },
            log10_n0,
            log10_nmax: log10_n0 + 0.5 + unit() * 8.0,
            m: if unit() < 0.3 { 2.0 } else { 1.0 },
        });
    }
    cases
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/solve_ivp")
}

fn has_scipy() -> bool {
    let check = Command::new("python3").args(["-c", "import scipy"]).stderr(Stdio::null()).status();
    check.is_ok_and(|status| status.success())
}

/// Counts by `solve_ivp`.
fn theirs(cases: &[Case]) -> Vec<f64> {
    let mut child = Command::new("python3")
        .arg(folder().join("reference.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("python3 ran a moment ago");
    let input = serde_json::to_vec(cases).unwrap();
    child.stdin.take().unwrap().write_all(&input).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success(), "reference.py failed");
    serde_json::from_slice(&output.stdout).unwrap()
}

fn worst(cases: &[Case], expected: &[f64]) -> f64 {
    assert_eq!(cases.len(), expected.len());
    let mut worst: f64 = 0.0;
    for (case, expected) in cases.iter().zip(expected) {
        let error = (ours(case) - expected).abs();
        assert!(error < ALLOWED, "off by {error:e} log10: {}", serde_json::to_string(case).unwrap());
        worst = worst.max(error);
    }
    worst
}

#[test]
fn agrees_with_solve_ivp_on_a_thousand_histories_for_each_model() {
    if !has_scipy() {
        eprintln!("SKIPPED: python3 with SciPy is not installed, so nothing was compared with solve_ivp");
        return;
    }
    for (model, seed) in models().into_iter().zip([11, 12, 13]) {
        let cases = cases(model, 1000, seed);
        println!("{model:?}: worst of 1,000 is {:.1e} log10", worst(&cases, &theirs(&cases)));
    }
}

#[test]
fn agrees_with_the_sample_that_solve_ivp_gave() {
    let file = folder().join("sample.json");
    if std::env::var_os("FULLTRAY_WRITE_SAMPLE").is_some() {
        write_sample(&file);
    }
    let samples: Vec<Sample> = serde_json::from_str(&std::fs::read_to_string(file).unwrap()).unwrap();
    assert!(samples.len() >= 30);
    for sample in samples {
        worst(std::slice::from_ref(&sample.case), &[sample.log10_n]);
    }
}

fn write_sample(file: &Path) {
    let mut samples = Vec::new();
    for (model, seed) in models().into_iter().zip([21, 22, 23]) {
        let cases = cases(model, 12, seed);
        let expected = theirs(&cases);
        samples.extend(cases.into_iter().zip(expected).map(|(case, log10_n)| Sample { case, log10_n }));
    }
    std::fs::write(file, serde_json::to_string_pretty(&samples).unwrap()).unwrap();
}

/// A day at 3 °C with 22 minutes up to 25 °C: general solvers step over the excursion at every tolerance and lose
/// all of its growth. The count without it is written out by hand.
#[test]
fn a_short_excursion_is_not_lost() {
    let flat = |hours: f64| Reading { hours, celsius: 3.0 };
    let warm = |hours: f64| Reading { hours, celsius: 25.0 };
    let minute = 1.0 / 60.0;
    let readings = [
        flat(0.0),
        flat(13.0),
        warm(13.0 + minute),
        warm(13.0 + 21.0 * minute),
        flat(13.0 + 22.0 * minute),
        flat(24.0),
    ];
    let line = SecondaryModel::SquareRoot { b: 0.039_432_591_971_706_15, t_min: -3.62 };
    let curve = RateCurve::new(vec![line]).unwrap();
    let whole = dose(&History::new(&readings, GapRule::NONE).unwrap(), &curve);
    let b2 = 0.039_432_591_971_706_15_f64.powi(2);
    let (cold, hot) = (6.62_f64, 28.62_f64);
    let ramp = 2.0 * minute * (cold * cold + cold * hot + hot * hot) / 3.0;
    let by_hand = b2 * ((24.0 - 22.0 * minute) * cold * cold + 20.0 * minute * hot * hot + ramp);
    assert!((whole - by_hand).abs() < 1e-12);
    let lost = whole - b2 * 24.0 * cold * cold;
    assert!(lost > 0.4, "the excursion adds {lost} natural logs");
}
