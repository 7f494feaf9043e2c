//! `fulltray growth`, `kill` and `rerun` from the outside.
// A helper of a test may stop the test.
#![allow(clippy::unwrap_used)]

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

/// Runs the program in the repository's root: exit code, standard output, standard error.
fn run(arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_fulltray"))
        .args(arguments)
        .current_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("../.."))
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

const HISTORIES: &str = "tests/oracles/histories";

#[test]
fn a_log_is_answered_with_its_sources_its_caution_and_the_earliest_date() {
    let folder = tempfile::tempdir().unwrap();
    let svg = folder.path().join("chart.svg");
    let log = format!("{HISTORIES}/slow_cooling_20L.csv");
    let svg_name = svg.display().to_string();
    let (code, out, _) =
        run(&["growth", &log, "--since", "preparation", "--discard-by", "72", "--svg", &svg_name]);
    assert_eq!(code, 1);
    assert!(out.contains("Advice: discard earlier: "), "{out}");
    assert!(out.contains("2.5 log10 more (band 1.5 to 3.5)"), "the spoilage line of the profile, {out}");
    assert!(out.contains("from memory") && out.contains("A low prediction gives no permission"));
    let date: f64 = out.split("Discard by ").nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
    assert!(date < 24.0, "the prediction came before the date given");
    assert!(std::fs::read_to_string(&svg).unwrap().starts_with("<svg"));
}

#[test]
fn a_date_given_that_is_earlier_stays() {
    let log = format!("{HISTORIES}/slow_cooling_20L.csv");
    let (_, out, _) = run(&["growth", &log, "--discard-by", "2"]);
    assert!(out.contains("Discard by 2.0 h at the latest (date given)."), "{out}");
}

#[test]
fn a_bad_log_is_named_with_what_would_be_right() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("log.csv");
    std::fs::write(&file, "minute,temp_c\n0,3\n10,3\n5,3\n").unwrap();
    let name = file.display().to_string();
    let (code, out, err) = run(&["growth", &name]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(err.contains("reading 3 is 5 min earlier than the reading before it"), "{err}");
    std::fs::write(&file, "minute,celsius\n0,3\n").unwrap();
    let (code, _, err) = run(&["growth", &name]);
    assert_eq!(code, 2);
    assert!(err.contains("no column `temp_c`; there are: minute, celsius"), "{err}");
    let (code, _, err) = run(&["growth", &name, "--count", "listeria=lots"]);
    assert_eq!(code, 2);
    assert!(err.contains("error F00"), "{err}");
}

#[test]
fn a_folder_gives_a_line_for_each_log() {
    let (code, out, err) = run(&["growth", "--bulk", HISTORIES]);
    assert_eq!(code, 1);
    let lines: Vec<&str> = out.lines().collect();
    assert!(lines[0].starts_with("name,readings,hours,warmest_c,listeria_log10,gram-negative_log10"));
    assert!(lines[1].starts_with("door_ajar,121,10.00,10.79,"));
    assert!(lines[2].ends_with("hold for a decision"), "power cut: {}", lines[2]);
    assert!(lines[3].ends_with("discard earlier"), "slow cooling: {}", lines[3]);
    assert!(err.contains("A low prediction gives no permission"));
}

#[test]
fn a_short_dip_is_a_breach_whatever_the_logs_say() {
    let (code, out, _) = run(&["kill", "--k", "0.4605", "--written", "50x0.5", "--done", "200x0.4"]);
    assert_eq!(code, 1);
    assert!(out.contains("This is a breach"), "{out}");
    let (code, out, _) = run(&["kill", "--k", "0.4605", "--written", "50x0.5", "--done", "50x0.5", "--json"]);
    assert_eq!(code, 0);
    assert!(out.contains("\"is_breach\": false") && out.contains("\"caution\""));
}

#[test]
fn a_week_of_rerun_is_told_with_its_variants() {
    let (code, out, _) = run(&["rerun", "examples/rerun/week.json"]);
    assert_eq!(code, 1);
    assert!(out.contains("Day 6: 20.0 L, 30 % carried over; oldest part: lot M1, 5.0 days, 0.24 %"), "{out}");
    assert!(out.contains("the whole blend goes by hour 168, the date of its oldest part"));
    assert!(out.contains("discarded every day: ") && out.contains("shelf 2 °C colder: "));
}

/// The chart in docs/growth.md is the one that the program draws; `FULLTRAY_WRITE_DOCS=1` draws it anew.
#[test]
fn the_chart_in_the_docs_is_current() {
    let folder = tempfile::tempdir().unwrap();
    let drawn = folder.path().join("chart.svg");
    let log = format!("{HISTORIES}/power_cut.csv");
    let name = drawn.display().to_string();
    let (_, out, err) = run(&["growth", &log, "--since", "closing", "--svg", &name]);
    assert!(out.contains("since closing"), "{err}");
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/img/growth-power-cut.svg");
    if std::env::var_os("FULLTRAY_WRITE_DOCS").is_some() {
        std::fs::copy(&drawn, &kept).unwrap();
    }
    let same = std::fs::read_to_string(&drawn).unwrap() == std::fs::read_to_string(&kept).unwrap_or_default();
    assert!(same, "docs/img/growth-power-cut.svg is out of date: run this test with FULLTRAY_WRITE_DOCS=1");
}

/// A log too long for memory is refused with a way out; the way out takes it.
#[test]
fn a_very_long_log_is_for_bulk() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("long.csv");
    let mut text = String::from("minute,temp_c\n");
    // A thousand good lines, then empty ones: what counts is the number of lines.
    for minute in 0..1000 {
        writeln!(text, "{minute},3").unwrap();
    }
    text += &"x\n".repeat(5_000_100);
    std::fs::write(&file, text).unwrap();
    let name = file.display().to_string();
    let (code, _, err) = run(&["growth", &name]);
    assert_eq!(code, 2);
    assert!(err.contains("more than 5 million lines; use `--bulk`"), "{err}");
    let (code, out, err) = run(&["growth", "--bulk", &name]);
    assert_eq!(code, 1);
    assert!(out.lines().nth(1).unwrap().contains(",5000100,hold for a decision"), "{out}");
    assert!(err.contains("long: 5000080 more lines"), "{err}");
}

#[test]
fn columns_are_remembered_and_used_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).display().to_string();
    let (log, mapping) = (path("log.csv"), path("mapping.json"));
    std::fs::write(&log, "hour,f\n0,40\n0.1,40\n").unwrap();
    let first = run(&[
        "growth",
        &log,
        "--time",
        "hour",
        "--unit",
        "hours",
        "--temperature",
        "f",
        "--fahrenheit",
        "--remember",
        &mapping,
    ]);
    assert_eq!(first.0, 0, "{}{}", first.1, first.2);
    assert_eq!(run(&["growth", &log, "--mapping", &mapping]), first);
    assert_eq!(run(&["growth", &log]).0, 2, "the log has no usual columns");
    std::fs::write(&mapping, "{}").unwrap();
    let (code, _, err) = run(&["growth", &log, "--mapping", &mapping]);
    assert!(code == 2 && err.contains("R0011") && err.contains("is not a column mapping"), "{err}");
}
