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
    command.args(arguments).current_dir(folder).env_remove("RUST_BACKTRACE").output().expect("the program starts")
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
            text.push_str(&format!("==== {}\n{}---- {}\n", case.title, case.input, answer));
        }
        if bless {
            std::fs::write(&path, text).expect("the suite can be written");
        }
    }
    assert!(count >= 60, "only {count} bad inputs");
    assert!(bless || wrong.is_empty(), "{}", wrong.join("\n"));
}
