//! The measure in Rust against the tablet's own program, over every small tally.

use std::process::Command;

use ft_practice::measure::{MEASURE, Measure, Tally};

#[test]
fn the_tablet_passes_whom_the_measure_passes() {
    let Ok(true) = Command::new("node").arg("--version").output().map(|found| found.status.success()) else {
        println!("SKIPPED: there is no `node` to run the tablet's program");
        return;
    };
    let measures = [MEASURE, Measure { moves_per_slip: 3, dangers: 1 }];
    let mut tallies = Vec::new();
    for moves in 0..=31 {
        for slips in 0..=moves.min(11) {
            for dangers in 0..=slips.min(2) {
                for finished in [false, true] {
                    tallies.push(Tally { moves, slips, dangers, finished });
                }
            }
        }
    }
    let module = concat!(env!("CARGO_MANIFEST_DIR"), "/../ft-pages/client/practise.js");
    let script = format!(
        "import {{ isPassed }} from {module:?};
         const measures = {}; const tallies = {};
         console.log(measures.map(measure => tallies.map(tally => Number(isPassed(tally, measure))).join('')).join('\\n'));",
        json(&measures.map(|of| format!(r#"{{"moves_per_slip":{},"dangers":{}}}"#, of.moves_per_slip, of.dangers))),
        json(&tallies.iter().map(shown).collect::<Vec<_>>()),
    );
    let output =
        Command::new("node").args(["--input-type=module", "-e", &script]).output().expect("node runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let said = String::from_utf8(output.stdout).expect("digits");
    for (measure, line) in measures.iter().zip(said.lines()) {
        let here: String =
            tallies.iter().map(|tally| if measure.is_passed(tally) { '1' } else { '0' }).collect();
        assert_eq!(line, here, "{measure:?}");
        assert!(here.contains('0') && here.contains('1'), "both happen");
    }
    assert_eq!(said.lines().count(), measures.len());
}

fn json(all: &[String]) -> String {
    format!("[{}]", all.join(","))
}

fn shown(tally: &Tally) -> String {
    let Tally { moves, slips, dangers, finished } = tally;
    format!(r#"{{"moves":{moves},"slips":{slips},"dangers":{dangers},"finished":{finished}}}"#)
}
