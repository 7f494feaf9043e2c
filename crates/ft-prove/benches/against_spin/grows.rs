//! How check and order grow: sides 1 to 4, steps 10 to 80 a side, people 1 to 6, in a line and loose, with no
//! mistake planted.

use std::collections::BTreeSet;
use std::time::Instant;

use ft_chart::{Panels, Series, panels_svg};
use ft_form::Form;
use ft_prove::{Limits, Verdict, check, order};
use ft_testkit::kiosk::{self, Size};

use crate::{ms, time_check};

/// Parts and rinses of a side of about 10, 20, 30, ... 80 steps.
const STEPS: [(usize, usize); 8] = [(0, 0), (1, 0), (2, 1), (3, 2), (4, 3), (5, 4), (6, 5), (7, 5)];

const SIDES: std::ops::RangeInclusive<usize> = 1..=4;
const PEOPLE: std::ops::RangeInclusive<usize> = 1..=6;

/// Steps of the first side; a step that begins and ends is one.
pub fn steps_a_side(form: &Form) -> usize {
    let steps = form.events.iter().filter(|event| event.name.starts_with("b1.")).map(|event| &event.step);
    steps.collect::<BTreeSet<_>>().len()
}

/// Prints a row for every size, with the time of its order for two people, and draws the picture if one is asked for.
pub fn table() {
    println!("\n## How it grows (no mistake planted)\n");
    println!("| people | sides | steps a side | loose | events | verdict | states | check, ms | order, ms |");
    println!("| ---: | ---: | ---: | --- | ---: | --- | ---: | ---: | ---: |");
    let names = [(true, "loose, all shared"), (false, "in a line")];
    let mut panels: Vec<Vec<Vec<Series>>> = Vec::new();
    for people in PEOPLE {
        let panel = |sides| {
            let series = |(is_loose, name)| {
                let size = |(parts, rinses)| Size { sides, parts, rinses, people, is_loose };
                Series { name, points: STEPS.map(size).into_iter().map(row).collect() }
            };
            names.map(series).to_vec()
        };
        panels.push(SIDES.map(panel).collect());
    }
    if let Ok(path) = std::env::var("FULLTRAY_BENCH_CHART") {
        let count = |number: usize, one: &str, more: &str| {
            if number == 1 { format!("1 {one}") } else { format!("{number} {more}") }
        };
        let svg = panels_svg(&Panels {
            title: "How check grows",
            x: "steps a side",
            x_ticks: &[10.0, 20.0, 40.0, 60.0, 80.0],
            y: "check, ms",
            columns: &SIDES.map(|sides| count(sides, "side", "sides")).collect::<Vec<_>>(),
            rows: &PEOPLE.map(|people| count(people, "person", "people")).collect::<Vec<_>>(),
            panels: &panels,
        });
        std::fs::write(&path, svg).unwrap_or_else(|error| panic!("{path}: {error}"));
    }
}

/// Prints one row; gives steps a side and milliseconds.
fn row(size: Size) -> (f64, f64) {
    let form = kiosk::whole(1, size);
    let (time, text) = time_check(&form);
    let states = match check(&form, &Limits::default()) {
        Verdict::Proved(proof) => proof.states,
        Verdict::Flaw(_) => 0,
        Verdict::TooLarge(covered) => covered.states,
    };
    let ordered = (size.people == 2).then(|| {
        let begin = Instant::now();
        order(&form, &Limits::default()).map_or("none".to_string(), |_| format!("{:.1}", ms(begin.elapsed())))
    });
    let (Size { sides, people, is_loose, .. }, steps) = (size, steps_a_side(&form));
    let (events, check, ordered) = (form.events.len(), ms(time), ordered.unwrap_or("-".into()));
    println!(
        "| {people} | {sides} | {steps} | {is_loose} | {events} | {text} | {states} | {check:.2} | {ordered} |"
    );
    (steps as f64, check)
}
