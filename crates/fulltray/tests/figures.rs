//! `fulltray chart`, `sample` and `wear` as a person uses them: files in, text, JSON, pictures and exit codes out.

use std::path::PathBuf;
use std::process::{Command, Output};

/// A file in a folder of this test run.
fn file(name: &str, text: &str) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, text).expect("the test folder can be written");
    path
}

fn fulltray(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_fulltray")).args(arguments).output().expect("the program starts")
}

#[track_caller]
fn check(output: &Output, code: i32, says: &[&str]) {
    let told =
        format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(code), "{told}");
    for words in says {
        assert!(told.contains(words), "`{words}` is not in: {told}");
    }
}

/// Invented strengths: one below the label's limit, one gap, one cell that is no number.
const STRENGTHS: &str = "night,ppm\n1,92\n2,90\n3,91\n4,88\n5,93\n6,90\n7,\n8,89\n9,oops\n10,48\n";

#[test]
fn a_reading_outside_its_limit_is_a_no_whatever_the_chart_says() {
    let table = file("strengths.csv", STRENGTHS);
    let table = table.to_str().expect("a plain path");
    let svg = file("strengths.svg", "");
    let svg = svg.to_str().expect("a plain path");
    let arguments = ["chart", table, "--column", "ppm", "--low", "50", "--whose", "label", "--svg", svg];
    check(
        &fulltray(&arguments),
        1,
        &["outside at 10", "2 of them without a reading", "R0103", "does not replace"],
    );
    assert!(std::fs::read_to_string(svg).expect("a picture").starts_with("<svg"));
    check(&fulltray(&["chart", table, "--column", "ppm"]), 0, &["cumulative sum"]);
    let json = fulltray(&["chart", table, "--column", "ppm", "--json"]);
    let view: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    assert_eq!((view["gaps"].as_u64(), view["readings"].as_array().map(Vec::len)), (Some(2), Some(10)));
    check(&fulltray(&["chart", table]), 2, &["R0102", "`night`, `ppm`"]);
    check(&fulltray(&["chart", table, "--column", "ppm", "--weight", "0"]), 2, &["R0105"]);
    check(&fulltray(&["chart", table, "--column", "ppm", "--baseline", "1"]), 2, &["R0104", "at least 2"]);
}

#[test]
fn samples_are_judged() {
    check(
        &fulltray(&[
            "sample", "plan", "-n", "5", "-c", "2", "-m", "10", "-M", "100", "<10", "11", "5", "<10", "100",
        ]),
        0,
        &["acceptable"],
    );
    check(
        &fulltray(&[
            "sample", "plan", "-n", "5", "-c", "2", "-m", "10", "-M", "100", "<10", "11", "5", "<10", "101",
        ]),
        1,
        &["unsatisfactory"],
    );
    check(
        &fulltray(&["sample", "plan", "-n", "5", "-c", "5", "-m", "10"]),
        2,
        &["R0106", "c is not below n"],
    );
    check(
        &fulltray(&[
            "sample", "last", "-k", "3", "-n", "5", "--limit", "50000", "60000", "1", "70000", "51000",
        ]),
        1,
        &["fails"],
    );
    check(
        &fulltray(&["sample", "heads", "2", "--rounds", "pass,pass,pass"]),
        0,
        &["monthly", "twist of barrels 1 and 2"],
    );
    let rows: String = std::iter::once("light".to_owned())
        .chain((0..20).map(|i| (10 + i % 5).to_string()))
        .collect::<Vec<_>>()
        .join("\n");
    let table = file("swabs.csv", &rows);
    let table = table.to_str().expect("a plain path");
    check(&fulltray(&["sample", "swab", table, "--reading", "13"]), 1, &["caution", "swab again"]);
    check(&fulltray(&["sample", "swab", table, "--reading", "13", "--again"]), 1, &["verdict: fail"]);
    check(&fulltray(&["sample", "swab", table, "--reading", "11", "--json"]), 0, &["\"verdict\": \"pass\""]);
}

/// Invented lives of two kinds of part.
const LIVES: &str = "part,place,fitted,removed,end\n\
Scraper blade,left barrel,2025-01-10,2025-03-12,failed\n\
Scraper blade,right barrel,2025-01-10,2025-03-20,failed\n\
Scraper blade,left barrel,2025-03-12,2025-05-10,planned\n\
Scraper blade,right barrel,2025-03-20,2025-06-01,failed\n\
Scraper blade,left barrel,2025-05-10,2025-07-20,failed\n\
Scraper blade,right barrel,2025-06-01,2025-08-05,failed\n\
Scraper blade,left barrel,2025-07-20,,\n\
Pump seal,left pump,2025-02-01,2025-08-01,planned\n\
Pump seal,left pump,2025-08-01,,\n\
Pump seal,left pump,2025-13-01,,\n";

#[test]
fn wear_names_what_is_due_and_never_passes_the_makers_interval() {
    let table = file("lives.csv", LIVES);
    let table = table.to_str().expect("a plain path");
    let base = ["wear", table, "--today", "2025-08-20", "--planned-cost", "12", "--failure-cost", "160"];
    check(
        &fulltray(&[&base[..], &["--longest", "30"]].concat()),
        1,
        &["change at: 30 days", "maker's longest interval", "OVERDUE by 1 day", "W0103"],
    );
    check(&fulltray(&[&base[..], &["--part", "Scraper blade"]].concat()), 0, &["Least cost at", "spares"]);
    check(
        &fulltray(&[&base[..], &["--part", "Pump seal", "--shape", "2"]].concat()),
        0,
        &["nothing failed", "at least"],
    );
    check(&fulltray(&[&base[..], &["--part", "Blade"]].concat()), 2, &["W0111", "Scraper blade"]);
    check(&fulltray(&[&base[..], &["--svg", "x.svg"]].concat()), 2, &["W0110"]);
    check(&fulltray(&["wear", table, "--today", "soon"]), 2, &["W0103"]);
    check(&fulltray(&["wear", table, "--service", "1"]), 2, &["W0112"]);
}
