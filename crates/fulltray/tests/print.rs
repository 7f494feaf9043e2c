//! `fulltray print` as a person at a terminal meets it. What the files hold is tested where they are made.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

#[track_caller]
fn run(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_fulltray"))
        .args(words)
        .current_dir(root())
        .output()
        .expect("the program starts")
}

fn said(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Runs `print` into a new folder and gives the file.
#[track_caller]
fn printed(words: &[&str]) -> Vec<u8> {
    let folder = tempfile::tempdir().expect("a folder for tests");
    let to = folder.path().join("out.pdf");
    let output = run(&[&["print"], words, &["--to", to.to_str().expect("plain")]].concat());
    assert_eq!(output.status.code(), Some(0), "{words:?}: {}", said(&output.stderr));
    assert!(output.stdout.is_empty() && output.stderr.is_empty(), "{words:?}: {}", said(&output.stderr));
    let left = std::fs::read_dir(folder.path()).expect("it is there").count();
    assert_eq!(left, 1, "no file is left beside it");
    std::fs::read(to).expect("it was written")
}

#[test]
fn every_document_of_a_file_is_written_in_both_sizes() {
    for paper in ["a4", "letter"] {
        for words in [
            &["tray", "demo/shake.machine.kdl", "--with", "fourth flavour", "--language", "es"][..],
            &["poster", "demo/slicer.machine.kdl"],
            &["labels", "examples/paper/labels.json"],
            &["labels", "examples/paper/labels.es.json", "--single"],
            &["packet", "examples/paper/packet.json"],
        ] {
            let bytes = printed(&[words, &["--paper", paper]].concat());
            assert!(bytes.starts_with(b"%PDF-1.") && 5_000 < bytes.len(), "{words:?}");
        }
    }
}

/// Few schedules, so that it is quick; the plan is the demo's.
#[test]
fn cards_of_one_person_are_fewer_than_those_of_all() {
    let quick = ["--work", "40", "--seconds", "3600"];
    let kitchen = tempfile::tempdir().expect("a folder for tests");
    let file = kitchen.path().join("small.kitchen.kdl");
    let machine = root().join("demo/slicer.machine.kdl");
    std::fs::copy(machine, kitchen.path().join("slicer.machine.kdl")).expect("the demo is there");
    let text = "fulltray 1\nkitchen \"small\" {\n    place \"bench\"\n    place \"sinks\"\n    walk \"bench\" \"sinks\" \"12 s\"\n    \
                skill \"blades\"\n    person \"Marisol\" { can \"blades\"; }\n    person \"Teo\"\n    closing from=\"21:30\"\n    \
                machine \"slicer\" file=\"slicer.machine.kdl\" at=\"bench\"\n    sink \"wash sink\" count=1 at=\"sinks\"\n    \
                sink \"rinse sink\" count=1 at=\"sinks\"\n    sink \"sanitiser sink\" count=1 at=\"sinks\"\n}\n";
    std::fs::write(&file, text).expect("a file for tests");
    let name = file.to_str().expect("plain");
    let all = printed(&[&["cards", name], &quick[..]].concat());
    let one = printed(&[&["cards", name, "--person", "Marisol"], &quick[..]].concat());
    assert!(one.len() < all.len());
    let nobody =
        run(&[&["print", "cards", name, "--person", "Marisal", "--to", "x.pdf"], &quick[..]].concat());
    assert_eq!(nobody.status.code(), Some(2));
    let told = said(&nobody.stderr);
    assert!(
        told.starts_with("error F0071: nobody here tonight is called `Marisal`\n  = did you mean `Marisol`?"),
        "{told}"
    );
}

#[test]
fn what_cannot_be_printed_leaves_the_old_file() {
    let folder = tempfile::tempdir().expect("a folder for tests");
    let path = |name: &str| folder.path().join(name).to_str().expect("plain").to_owned();
    let (to, labels) = (path("out.pdf"), path("labels.json"));
    std::fs::write(&to, "old").expect("a file for tests");
    for (text, wanted) in [
        ("{\"language\":\"en\",\"labels\":[{\"produkt\":\"mix\"}]}", "unknown field `produkt`"),
        ("{", "line 1"),
        ("{\"language\":\"en\",\"labels\":[]}", "there are no labels"),
        (
            "{\"language\":\"en\",\"sheet\":{\"label_mm\":[300,50]},\"labels\":[{\"product\":\"m\",\"lot\":\"l\",\"discard_by\":\"d\"}]}",
            "300 × 50 mm",
        ),
    ] {
        std::fs::write(&labels, text).expect("a file for tests");
        let output = run(&["print", "labels", &labels, "--to", &to]);
        assert_eq!(output.status.code(), Some(2), "{text}");
        let told = said(&output.stderr);
        assert!(told.starts_with("error F0079: ") && told.contains(wanted), "{told}");
        assert_eq!(std::fs::read_to_string(&to).expect("it is there"), "old");
    }
    let nowhere = path("no/such/folder.pdf");
    let output = run(&["print", "packet", "examples/paper/packet.json", "--to", &nowhere]);
    assert!(
        output.status.code() == Some(2) && said(&output.stderr).contains("F0073"),
        "{}",
        said(&output.stderr)
    );
}

/// Charts, curves and orders go onto paper as they are drawn for the screen.
#[test]
fn pictures_of_the_screen_go_into_a_packet() {
    let folder = tempfile::tempdir().expect("a folder for tests");
    let path = |name: &str| folder.path().join(name).to_str().expect("plain").to_owned();
    let svg = path("picture.svg");
    let mut pictures = Vec::new();
    for words in [
        &["chart", "demo/sanitiser.csv", "--column", "ppm", "--low", "50"][..],
        &["wear", "demo/replacements.csv", "--today", "2025-11-25", "--part", "Scraper blade"],
        &["growth", "tests/oracles/histories/power_cut.csv", "--since", "closing"],
        &["order", "demo/slicer.machine.kdl"],
    ] {
        let output = run(&[words, &["--svg", &svg]].concat());
        assert!(output.status.code().is_some_and(|code| code < 2), "{words:?}: {}", said(&output.stderr));
        let picture = std::fs::read_to_string(&svg).expect("it was drawn");
        pictures.push(serde_json::json!({"title": words[0], "alt": "a picture", "svg": picture}));
    }
    let packet = serde_json::json!({
        "kitchen": "k", "about": "a", "made": "m", "language": "en", "pictures": pictures,
    });
    std::fs::write(path("packet.json"), packet.to_string()).expect("a file for tests");
    assert!(10_000 < printed(&["packet", &path("packet.json")]).len());
}

/// A card that nobody can carry out safely.
#[test]
fn a_no_is_told_as_one() {
    let to = ["--to", "/nonexistent/x.pdf"];
    let unsafe_card = run(&[&["print", "poster", "demo/broken/goal-missed.machine.kdl"], &to[..]].concat());
    assert_eq!(unsafe_card.status.code(), Some(1), "{}", said(&unsafe_card.stderr));
    assert!(said(&unsafe_card.stdout).contains("there is no poster"));
}
