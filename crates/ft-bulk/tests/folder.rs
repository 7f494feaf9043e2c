//! Folders of logs, good and bad: nothing is dropped in silence.
// A helper of a test may stop the test.
#![allow(clippy::unwrap_used)]

use std::fmt::Write as _;
use std::path::Path;

use ft_bulk::{Accumulator, Columns, Outcome, Subject, run_folder};
use ft_growth::{GapRule, History, Question, Reading, report, shipped};
use proptest::prelude::*;

fn outcomes(files: &[(&str, &str)], columns: &Columns) -> Vec<Result<Outcome, String>> {
    let folder = tempfile::tempdir().unwrap();
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    run(folder.path(), columns)
}

fn run(folder: &Path, columns: &Columns) -> Vec<Result<Outcome, String>> {
    let subjects = Subject::all(&shipped());
    let mut all = Vec::new();
    run_folder(folder, columns, &subjects, GapRule::USUAL, |outcome, done, of| {
        assert!(done <= of);
        all.push(outcome.map_err(|why| why.to_string()));
        Ok(())
    })
    .unwrap();
    all
}

#[test]
fn outcomes_come_in_the_order_of_names_and_a_bad_file_stops_none() {
    let good = "minute,temp_c\n0,3.0\n5,3.5\n10,4.0\n";
    let all = outcomes(
        &[("b.csv", "minute,celsius\n0,3\n"), ("c.csv", good), ("a.csv", good), ("x.txt", "")],
        &Columns::usual(),
    );
    assert_eq!(all.len(), 3);
    assert_eq!(all[0].as_ref().unwrap().name, "a");
    assert_eq!(all[0].as_ref().unwrap().advice, "nothing to add");
    let why = all[1].as_ref().unwrap_err();
    assert!(why.ends_with("b.csv: no column `temp_c`; there are: minute, celsius"), "{why}");
    assert_eq!(all[2].as_ref().unwrap().name, "c");
}

#[test]
fn what_is_left_out_is_counted_and_listed() {
    let log = "\u{feff}minute,temp_c\n0,3.0\n5,warm\n10,3.0\n10,3.0\n7,3.0\n15,400\n20\n25,3.0\n";
    let all = outcomes(&[("a.csv", log)], &Columns::usual());
    let outcome = all[0].as_ref().unwrap();
    assert_eq!((outcome.readings, outcome.left_out_count), (3, 5));
    let listed: Vec<(u64, &str)> = outcome.left_out.iter().map(|l| (l.line, l.why.as_str())).collect();
    assert_eq!(
        listed,
        [
            (3, "no number under `temp_c`"),
            (5, "the same time as the reading before it"),
            (6, "3 min earlier than the reading before it"),
            (7, "400 °C is not plausible; is the log in °F?"),
            (8, "no number under `temp_c`"),
        ]
    );
    assert_eq!(outcome.advice, "hold for a decision", "an incomplete log is not a good one");
}

#[test]
fn fahrenheit_and_hours_are_read_as_such() {
    let columns =
        Columns { time: "h".into(), hours_per_unit: 1.0, temperature: "F".into(), is_fahrenheit: true };
    let all = outcomes(&[("a.csv", "F,h\n41,0\n41,0.1\n")], &columns);
    let outcome = all[0].as_ref().unwrap();
    assert_eq!(outcome.warmest_c, Some(5.0));
    assert!((outcome.hours - 0.1).abs() < 1e-12);
}

#[test]
fn a_folder_without_logs_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let why =
        run_folder(folder.path(), &Columns::usual(), &[], GapRule::USUAL, |_, _, _| Ok(())).unwrap_err();
    assert!(why.to_string().ends_with("no file that ends in .csv"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Bulk work and the single answer are the same, gaps and all, for logs with two decimals.
    #[test]
    fn a_log_in_bulk_is_the_log_alone(steps in prop::collection::vec((1_u32..40, -1000_i32..4000), 2..60)) {
        let mut minute = 0;
        let mut text = String::from("minute,temp_c\n");
        let mut readings = Vec::new();
        for (step, centi) in steps {
            minute += step;
            let celsius = f64::from(centi) / 100.0;
            let _ = writeln!(text, "{minute},{celsius:.2}");
            readings.push(Reading { hours: f64::from(minute) / 60.0, celsius });
        }
        let all = outcomes(&[("a.csv", &text)], &Columns::usual());
        let bulk = all[0].as_ref().unwrap();
        let history = History::new(&readings, GapRule::USUAL).unwrap();
        let single = report(&history, &shipped(), &Question::default());
        prop_assert_eq!(bulk.warmest_c, Some(single.warmest_c));
        prop_assert_eq!(bulk.gaps, single.gaps.len() as u64);
        let subjects = Subject::all(&shipped());
        for line in &single.growth {
            let place = subjects.iter().position(|subject| subject.id == line.id).unwrap();
            let error = (bulk.increase_log10[place] - line.increase_log10).abs();
            prop_assert!(error < 1e-9 * line.increase_log10.max(1.0), "{}: {error:e}", line.id);
        }
        prop_assert_eq!(bulk.advice, single.advice.words());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]
    /// Readings in one go are readings one by one, whatever is wrong with them.
    #[test]
    fn in_one_go_is_one_by_one(
        parts in prop::collection::vec((0_i32..400, prop::collection::vec(-1000_i32..4000, 1..20), 1_i32..20), 1..6),
    ) {
        let subjects = Subject::all(&shipped());
        let (mut at_once, mut single) = (Accumulator::new(&subjects, GapRule::USUAL), Accumulator::new(&subjects, GapRule::USUAL));
        let mut line = 1;
        for (start, centi, step) in parts {
            let hours: Vec<f64> = (0..centi.len() as i32).map(|n| f64::from(start + n * step) / 60.0).collect();
            let celsius: Vec<f64> = centi.iter().map(|centi| f64::from(*centi) / 100.0).collect();
            at_once.push_all(line, &hours, &celsius);
            for (hours, celsius) in hours.iter().zip(&celsius) {
                single.push(line, *hours, *celsius);
                line += 1;
            }
        }
        let (one, two) = (at_once.finish("x".into()), single.finish("x".into()));
        prop_assert_eq!((one.readings, one.gaps, one.warmest_c), (two.readings, two.gaps, two.warmest_c));
        prop_assert_eq!((one.left_out, one.left_out_count), (two.left_out, two.left_out_count));
        prop_assert!((one.hours - two.hours).abs() < 1e-9);
        for (x, y) in one.increase_log10.iter().zip(&two.increase_log10) {
            prop_assert!((x - y).abs() < 1e-10 * y.max(1.0), "{x} {y}");
        }
    }
}

/// A run of readings that begins at the time of the last one: its first reading is left out, the others count.
/// Once the first was taken for accepted.
#[test]
fn a_run_that_begins_at_the_last_time_joins_on() {
    let subjects = Subject::all(&shipped());
    let mut sums = Accumulator::new(&subjects, GapRule::USUAL);
    sums.push_all(1, &[0.0, 0.1, 0.2], &[3.0, 3.0, 3.0]);
    sums.push_all(4, &[0.2, 0.3, 0.4], &[9.0, 3.0, 3.0]);
    let outcome = sums.finish("x".into());
    assert_eq!((outcome.readings, outcome.left_out_count, outcome.warmest_c), (5, 1, Some(3.0)));
}
