//! SPIN referees verdicts, which flaws can be reached, and that no story is longer than it need be.
//!
//! By default a sample runs; `FULLTRAY_SPIN_CASES=150` asks for so many of each sort, 300 in all. Each needs a
//! C compiler for about a second. Where `spin` or `gcc` is missing the tests say so and skip.

use std::path::PathBuf;

use ft_form::Form;
use ft_form::promela::Ask;
use ft_prove::{FlawKind, Limits, check};
use ft_testkit::chance::Chance;
use ft_testkit::spin::{self, Search};
use ft_testkit::{kiosk, tiny};

fn cases(default: u64) -> u64 {
    std::env::var("FULLTRAY_SPIN_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

fn can_ask() -> bool {
    let there = spin::is_there();
    if !there {
        println!("skipped: SPIN and gcc are not installed (Debian: apt-get install spin gcc)");
    }
    there
}

/// SPIN's question for a kind of flaw, and by how much its depth exceeds the story's length: the goal is one more
/// transition, a dead end two, `else` and the assertion.
fn question(kind: FlawKind) -> (Ask, usize) {
    match kind {
        FlawKind::Hazard(index) => (Ask::Hazard(index), 0),
        FlawKind::Deadlock => (Ask::Deadlock, 2),
        FlawKind::Goal => (Ask::Goal, 1),
    }
}

/// Asks SPIN for the whole verdict, and breadth first for the shortest story of one kind of flaw.
fn compare(form: &Form, which: usize, tag: &str) -> bool {
    let verdict = check(form, &Limits::default());
    let flaws = verdict.flaws();
    if flaws.is_empty() {
        let said = spin::ask(form, Ask::All, Search::BreadthFirst, 120, tag).expect("SPIN runs");
        assert!(said.is_finished && !said.is_flawed, "{tag}: {verdict:?} {said:?}");
    } else {
        let flaw = &flaws[which % flaws.len()];
        let (ask, more) = question(flaw.kind);
        let said = spin::ask(form, ask, Search::BreadthFirst, 120, tag).expect("SPIN runs");
        assert!(said.is_finished && said.is_flawed, "{tag}: {flaw:?} {said:?}");
        assert_eq!(flaw.story.len() + more, said.depth, "{tag}: {flaw:?}");
        // A kind that was not reported cannot be reached.
        let kinds = FlawKind::all(form);
        let reported = |kind: &FlawKind| flaws.iter().any(|flaw| flaw.kind == *kind);
        if let Some(kind) = kinds.into_iter().filter(|kind| !reported(kind)).cycle().nth(which) {
            let said = spin::ask(form, question(kind).0, Search::BreadthFirst, 120, tag).expect("SPIN runs");
            assert!(said.is_finished && !said.is_flawed, "{tag}: {kind:?} {said:?}");
        }
    }
    verdict.is_proved()
}

#[test]
fn on_drawn_kiosks() {
    if !can_ask() {
        return;
    }
    let mut chance = Chance::new(2024);
    let count = cases(4);
    let mut safe = 0;
    for seed in 0..count {
        let size = kiosk::small(&mut chance);
        let form = kiosk::form(1_000_000 + seed, size);
        safe += u64::from(compare(&form, seed as usize, &format!("kiosk-{seed}")));
    }
    println!("{count} kiosks, {safe} safe: SPIN agrees");
}

#[test]
fn on_tiny_forms() {
    if !can_ask() {
        return;
    }
    let count = cases(4);
    let mut safe = 0;
    for seed in 0..count {
        let form = tiny::form(1_000_000 + seed, 8);
        safe += u64::from(compare(&form, seed as usize, &format!("tiny-{seed}")));
    }
    println!("{count} tiny forms, {safe} safe: SPIN agrees");
}

/// Every kind of every flawed one of the ten, since their truth says that not every length was refereed.
#[test]
fn on_the_flawed_of_the_ten_procedures() {
    if !can_ask() {
        return;
    }
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/prover");
    let mut count = 0;
    for name in ["bucketdl_2x15", "door_press_1x15", "early_fit_1x40", "overflow_2x15", "power_early_2x15"] {
        let text = std::fs::read_to_string(folder.join(format!("flaw_{name}.json"))).expect("it is there");
        let form = ft_form::json::parse(&text).expect("it is in core form");
        for flaw in check(&form, &Limits::default()).flaws() {
            let (ask, more) = question(flaw.kind);
            let said = spin::ask(&form, ask, Search::BreadthFirst, 120, name).expect("SPIN runs");
            assert!(said.is_finished && said.is_flawed, "{name}: {said:?}");
            assert_eq!(flaw.story.len() + more, said.depth, "{name}: {flaw:?}");
            count += 1;
        }
    }
    println!("{count} shortest stories: SPIN agrees");
    assert_eq!(count, 9);
}
