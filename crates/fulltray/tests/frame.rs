//! Formatting, certificates, completions and manual pages, as a person at a terminal meets them.

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

#[track_caller]
fn ends(words: &[&str], code: i32) -> String {
    let output = run(words);
    let errors = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{words:?}: {errors}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder for tests")
}

const UNTIDY: &str = "machine  \"m\"{ // the only one\n  place front\n}\n";
const TIDY: &str = "machine \"m\" { // the only one\n    place front\n}\n";

#[test]
fn tidy_prints_and_leaves_the_file_alone() {
    let folder = folder();
    let file = folder.path().join("m.machine.kdl");
    std::fs::write(&file, UNTIDY).unwrap();
    let name = file.to_str().unwrap();
    assert_eq!(ends(&["tidy", name], 0), TIDY);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), UNTIDY);
}

#[test]
fn tidy_writes_in_place_and_then_has_nothing_to_do() {
    let folder = folder();
    let file = folder.path().join("m.machine.kdl");
    std::fs::write(&file, UNTIDY).unwrap();
    let name = file.to_str().unwrap();
    assert!(ends(&["tidy", name, "--check"], 1).contains("is not formatted"));
    assert_eq!(ends(&["tidy", name, "--write"], 0), "");
    let written = std::fs::read_to_string(&file).unwrap();
    assert_eq!(written, TIDY);
    assert_eq!(ends(&["tidy", name, "--check"], 0), "");
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "no file is left beside it");
}

#[test]
fn tidy_writes_nothing_where_a_problem_is() {
    let folder = folder();
    let file = folder.path().join("m.machine.kdl");
    let broken = "machine \"m\" {\n   place  \"front\n";
    std::fs::write(&file, broken).unwrap();
    let output = run(&["tidy", file.to_str().unwrap(), "--write"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("error F00"));
    assert_eq!(std::fs::read_to_string(&file).unwrap(), broken);
}

/// Permissions stay, and a link stays a link to the file that is rewritten.
#[cfg(unix)]
#[test]
fn tidy_follows_links_and_keeps_permissions() {
    use std::os::unix::fs::{PermissionsExt as _, symlink};
    let folder = folder();
    let (file, link) = (folder.path().join("real.kdl"), folder.path().join("link.kdl"));
    std::fs::write(&file, UNTIDY).unwrap();
    std::fs::set_permissions(&file, std::fs::Permissions::from_mode(0o640)).unwrap();
    symlink(&file, &link).unwrap();
    ends(&["tidy", link.to_str().unwrap(), "--write"], 0);
    assert!(link.is_symlink());
    assert_eq!(file.metadata().unwrap().permissions().mode() & 0o777, 0o640);
    assert!(std::fs::read_to_string(&file).unwrap() != UNTIDY);
}

/// The certificate of a proof holds for what it was made for, and for nothing else.
#[test]
fn a_certificate_is_verified_for_its_own_form_only() {
    let folder = folder();
    let certificate = folder.path().join("proof.json");
    let certificate = certificate.to_str().unwrap();
    let (safe, flawed) = ("tests/prover/safe_1x15_line.json", "tests/prover/flaw_door_press_1x15.json");
    ends(&["check", safe, "--certificate", certificate], 0);
    assert!(ends(&["verify", safe, certificate], 0).contains("The certificate holds"));
    assert!(ends(&["verify", flawed, certificate], 1).contains("does not prove this"));
    let answer = ends(&["verify", safe, certificate, "--json"], 0);
    assert!(answer.contains("\"holds\": true"), "{answer}");
    // A file that is no certificate is bad input, not a proof that fails.
    ends(&["verify", safe, "tests/prover/truth.json"], 2);
}

#[test]
fn completions_name_every_command_in_every_shell() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let script = ends(&["completions", shell], 0);
        for command in ["check", "tidy", "verify", "completions"] {
            assert!(script.contains(command), "{shell} lacks {command}");
        }
    }
    assert_eq!(run(&["completions", "cmd"]).status.code(), Some(2));
}

#[test]
fn manual_pages_are_of_the_program_and_of_each_command() {
    let page = ends(&["man"], 0);
    assert!(page.contains(".TH fulltray 1") && page.contains("advises people"), "{page}");
    let page = ends(&["man", "tidy"], 0);
    assert!(page.contains(".TH fulltray-tidy 1"), "{page}");
    let output = run(&["man", "tiddy"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("did you mean `tidy`?"));
}

#[test]
fn a_night_is_chosen_by_what_is_due() {
    let folder = folder();
    let certificate = folder.path().join("proof");
    let path = certificate.to_str().unwrap();
    let file = "demo/shake.machine.kdl";
    let refused = run(&["check", file, "--plain", "--certificate", path]);
    assert!(String::from_utf8_lossy(&refused.stderr).contains("F0074"), "two nights differ");
    for night in ["--due", "--not-due"] {
        let told = ends(&["check", file, "--plain", night, "--certificate", path], 0);
        assert_eq!(told.contains("with what is due this week"), night == "--due", "{told}");
        let verified = ends(&["verify", file, "--plain", night, path], 0);
        assert!(verified.contains("The certificate holds"), "{verified}");
    }
    let usual = ends(&["core", file], 0);
    assert_eq!(ends(&["core", file, "--not-due"], 0), usual);
    assert_ne!(ends(&["core", file, "--due"], 0), usual);
}
