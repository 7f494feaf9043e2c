//! The demo kitchen: its machines are proved, and each broken one shows the flaw that was planted and no other.

use std::fs;
use std::path::{Path, PathBuf};

use ft_app::check::{CheckView, check};
use ft_app::{Choice, Forms, Source, Trouble, prepare};
use ft_prove::Limits;

/// Each broken machine, the procedure with the flaw, and what has to be found.
const BROKEN: &[(&str, &str, &[&str])] = &[
    ("deadlock-two-buckets", "closing", &["deadlock"]),
    ("goal-missed", "closing", &["goal"]),
    ("h01-door-off-under-pressure", "closing", &["hazard:H1 door"]),
    ("h01-line-off-at-the-wrong-end", "closing", &["hazard:H1 syrup line, source"]),
    ("h02-door-before-its-nuts", "closing", &["deadlock"]),
    ("h03-drive-not-off", "closing", &["hazard:H3 door, drive"]),
    ("h04-bucket-runs-over", "closing", &["hazard:H4 bucket"]),
    ("h05-cleaner-into-the-mix", "closing", &["hazard:H5 barrel, in Cleaner"]),
    ("h06-acid-meets-chlorine", "closing", &["hazard:H6 bucket, in Descaler into the bucket"]),
    ("h07-sanitiser-before-the-rinse", "closing", &["hazard:H7 barrel, in Sanitise too early"]),
    ("h08-sanitiser-out-too-early", "closing", &["hazard:H8 barrel, in Sanitise in a hurry"]),
    ("h08-valve-left-open", "closing", &["hazard:H8 draw, in Sanitise"]),
    ("h09-plastic-with-metal", "closing", &["hazard:H9 Wash door and beater, in Wash door and beater"]),
    // A part that is nowhere is not in its slot either.
    ("h10-air-tube-nowhere", "closing", &["hazard:H10 air tube, in Look over the tray", "goal"]),
    ("h11-water-on-a-live-plate", "closing", &["hazard:H11 heater plate, in Scrub the plate"]),
    ("h12-chiller-off-too-early", "closing", &["hazard:H12 barrel"]),
    ("h13-ring-fitted-dry", "opening", &["hazard:H13 core ring, in Core in"]),
    ("h13-ring-left-on", "closing", &["hazard:H13 core ring, in Load 1, wash"]),
    ("h14-door-off-with-mix-behind-it", "closing", &["hazard:H14 door"]),
];

/// A broken machine with a step that nothing can ever allow: no form, but a problem.
const NEVER_ALLOWED: &str = "bucket-nobody-holds";

const MACHINES: [&str; 4] = ["shake", "twist", "slicer", "juice"];

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo")
}

fn source(file: &str) -> Source {
    let path = demo().join(file);
    let text = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    Source { name: file.to_owned(), text }
}

fn forms(file: &str, procedure: &str, people: u32) -> Result<Forms, Trouble> {
    let choice = Choice { procedure: Some(procedure.to_owned()), people, ..Choice::default() };
    prepare(&source(&format!("{file}.machine.kdl")), &choice)
}

fn views(file: &str, procedure: &str, people: u32) -> Vec<CheckView> {
    let forms = forms(file, procedure, people).unwrap_or_else(|trouble| panic!("{file}: {trouble:?}"));
    assert!(forms.warnings.is_empty(), "{file}: {:?}", forms.warnings);
    forms.prepared.iter().map(|prepared| check(prepared, &Limits::default(), "en")).collect()
}

#[test]
fn every_variant_of_every_machine_is_proved() {
    for machine in MACHINES {
        for procedure in ["closing", "opening"] {
            for view in views(machine, procedure, 2) {
                assert_eq!(view.verdict, "proved", "{machine}, {}: {:?}", view.title, view.flaws);
            }
        }
    }
}

#[test]
fn fewer_and_more_people_are_safe_too() {
    for machine in MACHINES {
        for people in [1, 3] {
            let choice = Choice { fitted: Some(Vec::new()), due: Some(false), people, ..Choice::default() };
            let forms =
                prepare(&source(&format!("{machine}.machine.kdl")), &choice).expect("the file is good");
            let view = check(&forms.prepared[0], &Limits::default(), "en");
            assert_eq!(view.verdict, "proved", "{machine}, {people} people: {:?}", view.flaws);
        }
    }
}

#[test]
fn each_broken_machine_shows_what_was_planted() {
    for (file, procedure, expected) in BROKEN {
        let views = views(&format!("broken/{file}"), procedure, 2);
        let found: Vec<&str> =
            views.iter().flat_map(|view| view.flaws.iter().map(|flaw| flaw.kind.as_str())).collect();
        assert_eq!(found, *expected, "{file}");
    }
    let trouble =
        forms(&format!("broken/{NEVER_ALLOWED}"), "closing", 2).expect_err("nobody holds the bucket");
    let Trouble::Problems(problems) = trouble else { panic!("{trouble:?}") };
    assert!(problems.iter().all(|problem| problem.code == "F0051"), "{problems:?}");
}

#[test]
fn no_broken_machine_is_left_out() {
    let mut files: Vec<String> = fs::read_dir(demo().join("broken"))
        .expect("the folder is part of the repository")
        .filter_map(|entry| entry.ok()?.file_name().to_str()?.strip_suffix(".machine.kdl").map(str::to_owned))
        .collect();
    files.sort();
    let mut listed: Vec<&str> = BROKEN.iter().map(|(file, ..)| *file).chain([NEVER_ALLOWED]).collect();
    listed.sort_unstable();
    assert_eq!(files, listed);
}

#[test]
fn the_kitchen_reads_without_a_remark_and_its_machines_are_there() {
    let (file, problems) = ft_compile::read(&source("pier.kitchen.kdl").text);
    assert!(problems.is_empty(), "{problems:?}");
    let kitchen = file.kitchen.expect("the file has a kitchen");
    for machine in &kitchen.machines {
        assert!(demo().join(&machine.file).is_file(), "{}", machine.file);
    }
}

#[test]
fn the_shake_freezer_is_a_real_one() {
    let forms = forms("shake", "closing", 2).expect("the file is good");
    let file = forms.file.expect("it is a machine file");
    let machine = file.machine.expect("it has a machine");
    let steps = &file.procedures[0].steps;
    let every_night = steps.iter().filter(|step| step.every.is_none() && step.named.only_with.is_none());
    let a_night: usize = every_night.map(|step| if step.each_side { machine.sides.len() } else { 1 }).sum();
    let parts = machine.parts.len();
    println!("{parts} parts declared, {a_night} steps a night");
    assert!(parts >= 60, "{parts} parts");
    assert!(a_night >= 45, "{a_night} steps a night");
}

/// Each built-in hazard, and the one built-in need, is planted in a machine of its own.
#[test]
fn every_built_in_hazard_is_planted_somewhere() {
    for hazard in ft_compile::lower::hazards::BUILT_IN {
        let number: u32 = hazard.number[1..].parse().expect("a hazard's number");
        let planted = BROKEN.iter().any(|(file, _, found)| {
            let told = found.iter().any(|found| found.starts_with(&format!("hazard:{} ", hazard.number)));
            file.starts_with(&format!("h{number:02}-")) && (told || hazard.need)
        });
        assert!(planted, "{} is in no broken machine", hazard.number);
    }
}
