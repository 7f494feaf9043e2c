//! What the program says to bad input: `tests/suite/*.case` holds files and the whole answer to each.
//!
//! A case is a title after `====`, a file, and after `----` the exit code and what stands on standard error.
//! `FULLTRAY_BLESS=1 cargo test -p fulltray --test bad_inputs` writes the answers anew: read them before you keep them.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tempfile::TempDir;

/// One case of the suite.
struct Case {
    title: String,
    input: String,
    expected: String,
}

fn suite() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/suite");
    let entries = std::fs::read_dir(folder).expect("the suite is there");
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.expect("it can be listed").path()).collect();
    files.retain(|path| path.extension().is_some_and(|extension| extension == "case"));
    files.sort();
    files
}

fn cases(path: &Path) -> Vec<Case> {
    let text = std::fs::read_to_string(path).expect("a case file is text");
    let parts = text.split("==== ").skip(1);
    parts
        .map(|part| {
            let (title, rest) = part.split_once('\n').expect("a title has its line");
            let (input, expected) = rest.split_once("---- ").expect("an answer follows the file");
            Case { title: title.to_owned(), input: input.to_owned(), expected: expected.to_owned() }
        })
        .collect()
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_fulltray"));
    command
        .args(arguments)
        .current_dir(folder)
        .env_remove("RUST_BACKTRACE")
        .output()
        .expect("the program starts")
}

/// The exit code and what is told, as a case has it.
fn answer(output: &Output) -> String {
    let code = output.status.code().expect("it ends by itself");
    format!("exit {code}\n{}", String::from_utf8_lossy(&output.stderr))
}

/// Checks one text in a file of its own.
fn check(text: impl AsRef<[u8]>, name: &str) -> Output {
    let folder = TempDir::new().expect("there is room for a file");
    std::fs::write(folder.path().join(name), text).expect("there is room for a file");
    run(folder.path(), &["check", name])
}

#[test]
fn every_bad_input_gets_its_whole_answer() {
    let bless = std::env::var_os("FULLTRAY_BLESS").is_some();
    let (mut count, mut wrong) = (0, Vec::new());
    for path in suite() {
        let mut text = String::new();
        for case in cases(&path) {
            count += 1;
            let output = check(&case.input, "file.kdl");
            let answer = answer(&output);
            if answer.starts_with("exit 2") {
                assert!(output.stdout.is_empty(), "{}: nothing is answered to bad input", case.title);
            }
            if answer.trim_end() != case.expected.trim_end() {
                wrong.push(format!("{}: instead of\n{}\nit says\n{answer}", case.title, case.expected));
            }
            let whole = ["==== ", &case.title, "\n", &case.input, "---- ", &answer, "\n"];
            text.extend(whole);
        }
        if bless {
            std::fs::write(&path, text).expect("the suite can be written");
        }
    }
    assert!(count >= 60, "only {count} bad inputs");
    assert!(bless || wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Bad input is told on standard error, with exit code 2, a code, and nothing on standard output.
fn assert_bad(output: &Output, said: &[&str]) {
    let told = answer(output);
    assert!(told.starts_with("exit 2\n"), "{told}");
    assert!(output.stdout.is_empty(), "nothing is answered: {told}");
    for part in said {
        assert!(told.contains(part), "`{part}` is not in: {told}");
    }
}

#[test]
fn a_file_that_is_none_is_told_plainly() {
    let folder = TempDir::new().expect("there is room for a folder");
    std::fs::create_dir(folder.path().join("machines")).expect("there is room for a folder");
    assert_bad(
        &run(folder.path(), &["check", "machines"]),
        &["error F0073: machines is a folder", "name a file in it"],
    );
    assert_bad(
        &run(folder.path(), &["check", "freezer.kdl"]),
        &["error F0073: freezer.kdl: there is no such file", "check the name and the folder"],
    );
    assert_bad(&run(folder.path(), &["core", "freezer.kdl"]), &["error F0073"]);
}

/// Who runs as the administrator may read everything; then the place of the refusal is a path through a file.
#[cfg(unix)]
#[test]
fn a_file_that_may_not_be_read_is_told_plainly() {
    use std::os::unix::fs::PermissionsExt as _;

    let folder = TempDir::new().expect("there is room for a folder");
    let path = folder.path().join("freezer.kdl");
    std::fs::write(&path, "fulltray 1\n").expect("there is room for a file");
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o000)).expect("the file is ours");
    if std::fs::read(&path).is_err() {
        assert_bad(
            &run(folder.path(), &["check", "freezer.kdl"]),
            &["error F0073: freezer.kdl: it may not be read", "ask for permission to read it"],
        );
    }
    assert_bad(
        &run(folder.path(), &["check", "freezer.kdl/machine.kdl"]),
        &["error F0073: freezer.kdl/machine.kdl: "],
    );
}

#[test]
fn bytes_that_are_no_text_are_shown_in_their_line() {
    assert_bad(
        &check(b"fulltray 1\nmachine \"caf\xE9\" {\n}\n", "file.kdl"),
        &["error F0001: the byte 0xE9 at offset 23 of this file is no UTF-8", "--> file.kdl:2:13", "`é`"],
    );
    assert_bad(&check(b"\xFF\xFEf\0u\0", "file.kdl"), &["error F0001: this file is UTF-16"]);
    // A mark at the beginning, as some editors write it, is no problem.
    assert_bad(&check("\u{feff}fulltray 1\n", "file.kdl"), &["error F0046"]);
}

/// Ten megabytes of noise, the same every time: letters, braces, quotes, bytes that are no text.
fn noise(text_only: bool) -> Vec<u8> {
    const SIGNS: &[u8] = b"abc {}()[]\"=;#/\\\n\t -019.,*";
    let mut state = 0x2545_F491_4F6C_DD1D_u64;
    let mut bytes = Vec::with_capacity(10 << 20);
    while bytes.len() < 10 << 20 {
        // Marsaglia's xorshift: enough for noise.
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        let byte = (state >> 32) as u8;
        bytes.push(if text_only { SIGNS[usize::from(byte) % SIGNS.len()] } else { byte });
    }
    bytes
}

#[test]
fn ten_megabytes_of_noise_are_answered() {
    assert_bad(&check(noise(true), "file.kdl"), &["error F00"]);
    assert_bad(&check(noise(false), "file.kdl"), &["error F0001"]);
}

#[test]
fn a_core_form_that_makes_no_sense_is_told_in_sentences() {
    let form = |vars: &str, goal: &str| {
        format!(r#"{{"name":"tap","people":1,"vars":[{vars}],"events":[],"hazards":[],"goal":[{goal}]}}"#)
    };
    let var = r#"{"name":"tap","lo":0,"hi":1,"init":0,"kind":"enum"}"#;
    let good = check(form(var, "[0,1]"), "tap.json");
    assert_eq!(good.status.code(), Some(0), "{}", answer(&good));
    assert_bad(
        &check(form(var, "[7,1]"), "tap.json"),
        &["error F0070: tap.json: ", "7", "docs/core-form.md"],
    );
    let coloured = var.replace("\"kind\"", "\"colour\":\"red\",\"kind\"");
    assert_bad(&check(form(&coloured, ""), "tap.json"), &["error F0070: tap.json: ", "colour"]);
    let outside = var.replace("\"init\":0", "\"init\":5");
    assert_bad(&check(form(&outside, ""), "tap.json"), &["error F0070: tap.json: "]);
    assert_bad(&check("{\"name\":", "tap.json"), &["error F0070: tap.json: ", "line 1"]);
    // Keys that begin with `x-` are anybody's own.
    let own = var.replace("\"kind\"", "\"x-colour\":\"red\",\"kind\"");
    assert_eq!(check(form(&own, ""), "tap.json").status.code(), Some(0));
}

#[test]
fn a_choice_that_the_file_does_not_have_is_told_with_what_it_has() {
    let folder = TempDir::new().expect("there is room for a folder");
    assert_eq!(run(folder.path(), &["new", "--to", "my.kdl"]).status.code(), Some(0));
    let choice = |arguments: &[&str], said: &[&str]| {
        let all: Vec<&str> = ["check", "my.kdl"].iter().chain(arguments).copied().collect();
        assert_bad(&run(folder.path(), &all), said);
    };
    choice(&["--procedure", "monthly"], &["error F0071", "there are: `closing`, `opening`"]);
    choice(&["--with", "tall cup"], &["error F0071", "it has no options"]);
    choice(&["--people", "9"], &["9"]);
    choice(&["--procedur", "closing"], &["--procedure"]);
    assert_bad(&run(folder.path(), &["chek", "my.kdl"]), &["check"]);
}

#[test]
fn the_exit_code_says_how_it_ended() {
    let folder = TempDir::new().expect("there is room for a folder");
    let starter = run(folder.path(), &["new"]);
    let starter = String::from_utf8(starter.stdout).expect("it is text");
    let of = |text: &str, more: &[&str]| {
        std::fs::write(folder.path().join("my.kdl"), text).expect("there is room for a file");
        let all: Vec<&str> = ["check", "my.kdl"].iter().chain(more).copied().collect();
        run(folder.path(), &all).status.code()
    };
    assert_eq!(of(&starter, &[]), Some(0), "proved");
    let hasty = starter.replace("stand \"barrel\" for=\"60 s\"", "stand \"barrel\" for=\"6 s\"");
    assert_ne!(hasty, starter);
    assert_eq!(of(&hasty, &[]), Some(1), "unsafe");
    assert_eq!(of("fulltray 1\n", &[]), Some(2), "bad input");
    assert_eq!(of(&starter, &["--states", "1"]), Some(3), "could not finish");
}
