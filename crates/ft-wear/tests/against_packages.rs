//! Life curves and fits against `lifelines` 0.30.3, `reliability` 0.9.0 and `scipy`.
//!
//! The kept values were made by `tests/reference/statistics_reference.py`; where the packages are installed, the data
//! sets that come with them are compared too.
// Helpers of tests: a file that is not as it was made is a failure.
#![allow(clippy::unwrap_used)]

use std::path::PathBuf;
use std::process::Command;

use ft_wear::replacement::{Costs, optimum};
use ft_wear::weibull::{Weibull, fit};
use ft_wear::{Lives, kaplan_meier, lognormal, spares};
use serde_json::Value;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference")
}

fn kept() -> Value {
    let text = std::fs::read_to_string(folder().join("statistics.json")).unwrap();
    serde_json::from_str(&text).unwrap()
}

fn floats(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
}

#[track_caller]
fn close(what: &str, answer: f64, expected: f64, relative: f64) {
    let off = (answer - expected).abs() / expected.abs().max(1e-12);
    assert!(off <= relative, "{what} is {answer}, expected {expected}: off by {off:e} of itself");
}

/// Compares two parameters and a log-likelihood with the two packages. A package's search may stop where the likelihood is
/// flat (one release is off by 5e-3 where the one before was not), so that the likelier of the two is the one to agree with;
/// neither may have found anything likelier than we.
fn agree(name: &str, ours: [f64; 3], theirs: &Value, law: &str) {
    let of = |package: &str| floats(&theirs[format!("{law}{package}")]);
    let [one, other] = ["lifelines", "reliability"].map(of);
    let best = if one[2] > other[2] { &one } else { &other };
    close(name, ours[0], best[0], 5e-5);
    close(name, ours[1], best[1], 5e-5);
    close(name, ours[2], best[2], 1e-7);
    assert!(best[2] <= ours[2] + 1e-7, "{name}: a package found a likelier law");
}

/// Compares curve, fits and bounds of each list of lives.
fn compare(lists: &Value) -> usize {
    for list in lists.as_array().unwrap() {
        let name = list["name"].as_str().unwrap();
        let lives = Lives::from_ages(&floats(&list["failed"]), &floats(&list["unfailed"])).unwrap();
        for (step, row) in
            kaplan_meier::kaplan_meier(&lives).iter().zip(list["kaplan_meier"].as_array().unwrap())
        {
            let row = floats(row);
            let (low, high) = step.bounds(0.95);
            close(name, step.age, row[0], 0.0);
            assert!((step.survival - row[1]).abs() < 1e-9, "{name}: survival at {}", step.age);
            assert!(
                (low - row[2]).abs() < 1e-6 && (high - row[3]).abs() < 1e-6,
                "{name}: bounds at {}",
                step.age
            );
        }
        let fit = fit(&lives).unwrap();
        let normal = lognormal::fit(&lives).unwrap();
        agree(name, [fit.law.scale, fit.law.shape, fit.log_likelihood], &list["weibull"], "");
        agree(name, [normal.log_mean, normal.log_sd, normal.log_likelihood], &list["weibull"], "lognormal_");
        let (low, high) = fit.shape_bounds(0.95);
        let theirs = floats(&list["weibull"]["bounds"]);
        close(name, low, theirs[0], 1e-6);
        close(name, high, theirs[1], 1e-6);
    }
    lists.as_array().unwrap().len()
}

#[test]
fn invented_lives_agree_with_the_kept_values() {
    assert_eq!(compare(&kept()["lives"]), 4);
}

#[test]
fn data_sets_of_the_packages_agree_where_they_are_installed() {
    let python = std::env::var("FULLTRAY_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let script = folder().join("statistics_reference.py");
    let output = match Command::new(&python).arg(&script).arg("--package-data").output() {
        Ok(output) if output.status.success() => output.stdout,
        Ok(output) if output.status.code() == Some(2) => {
            eprintln!("SKIPPED: {}", String::from_utf8_lossy(&output.stderr).trim());
            return;
        }
        Ok(output) => panic!("{python} failed: {}", String::from_utf8_lossy(&output.stderr)),
        Err(error) => {
            eprintln!("SKIPPED: {python} cannot be run: {error}");
            return;
        }
    };
    let answer: Value = serde_json::from_slice(&output).unwrap();
    assert_eq!(compare(&answer["lives"]), 7);
}

/// `reliability` searches the age on a grid, so that ages agree to its step and costs, which are flat there, closely.
#[test]
fn change_ages_agree_with_reliability() {
    for row in kept()["replacement"].as_array().unwrap() {
        let row = floats(row);
        let law = Weibull { shape: row[0], scale: row[1] };
        let best = optimum(law, Costs { planned: row[2], failure: row[3] }).unwrap();
        close("age", best.age, row[4], 2e-3);
        close("cost", best.cost_rate, row[5], 1e-6);
        assert!(best.cost_rate <= row[5] * (1.0 + 1e-9), "a grid found a cheaper age than the root");
    }
}

#[test]
fn stocks_agree_with_poisson_quantiles_of_scipy() {
    for row in kept()["stock"].as_array().unwrap() {
        let row = floats(row);
        assert_eq!(spares::stock_for(row[0], row[1]), row[2] as u64, "mean {} service {}", row[0], row[1]);
    }
}
