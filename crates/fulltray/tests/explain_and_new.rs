//! `explain` and `new`, run as a person runs them.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::{Command, Output};

use tempfile::TempDir;

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_fulltray"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the program starts")
}

fn said(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("the program speaks UTF-8")
}

#[test]
fn explain_lists_every_code_and_tells_each() {
    let here = Path::new(".");
    let list = said(&run(here, &["explain"]).stdout);
    let codes: Vec<&str> = list.lines().filter_map(|line| line.split(' ').next()).collect();
    assert!(
        codes.contains(&"F0001")
            && codes.contains(&"F0030")
            && codes.contains(&"F0071")
            && codes.contains(&"H14")
    );
    for code in codes {
        let page = run(here, &["explain", code]);
        assert_eq!(page.status.code(), Some(0), "{code}");
        assert!(said(&page.stdout).starts_with(&format!("{code}: ")), "{code}");
    }
}

#[test]
fn explain_answers_in_json() {
    let page = said(&run(Path::new("."), &["explain", "f0030", "--json"]).stdout);
    let page: serde_json::Value = serde_json::from_str(&page).expect("it is JSON");
    assert_eq!(page["code"], "F0030");
    assert!(page["wrong"].as_str().is_some_and(|wrong| !wrong.is_empty()));
    let all = said(&run(Path::new("."), &["explain", "--json"]).stdout);
    let all: Vec<serde_json::Value> = serde_json::from_str(&all).expect("it is JSON");
    let codes: BTreeSet<&str> = all.iter().filter_map(|page| page["code"].as_str()).collect();
    assert_eq!(codes.len(), all.len());
}

#[test]
fn explain_offers_the_nearest_code() {
    let page = run(Path::new("."), &["explain", "F31"]);
    assert_eq!(page.status.code(), Some(2));
    assert!(page.stdout.is_empty());
    assert_eq!(
        said(&page.stderr),
        "error F0077: there is no code `F31`\n  = did you mean `F0031`? `fulltray explain` lists all codes\n"
    );
}

#[test]
fn the_starter_is_proved_in_every_procedure_without_a_warning() {
    let folder = TempDir::new().expect("there is room for a folder");
    assert_eq!(run(folder.path(), &["new", "--to", "my.kdl"]).status.code(), Some(0));
    for procedure in ["closing", "opening"] {
        for people in ["1", "2", "3"] {
            let check =
                run(folder.path(), &["check", "my.kdl", "--procedure", procedure, "--people", people]);
            assert_eq!(check.status.code(), Some(0), "{}", said(&check.stdout));
            assert!(check.stderr.is_empty(), "{}", said(&check.stderr));
        }
    }
}

#[test]
fn new_prints_what_it_would_write_and_never_writes_over_a_file() {
    let folder = TempDir::new().expect("there is room for a folder");
    let path = folder.path().join("my.kdl");
    std::fs::write(&path, "mine").expect("there is room for a file");
    let refused = run(folder.path(), &["new", "--to", "my.kdl"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(said(&refused.stderr).starts_with("error F0078: my.kdl is there already"));
    assert_eq!(std::fs::read_to_string(&path).expect("it is still there"), "mine");
    std::fs::remove_file(&path).expect("it is ours");
    assert_eq!(run(folder.path(), &["new", "--to", "my.kdl"]).status.code(), Some(0));
    assert_eq!(std::fs::read(&path).expect("it was written"), run(folder.path(), &["new"]).stdout);
}
