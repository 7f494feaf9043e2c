//! The pages on readings and wear show what the commands print: every `$ fulltray …` is run, and what stands under it
//! is compared. `FULLTRAY_WRITE_PAGES=1 cargo test -p fulltray --test pages` writes the pages anew.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Words of a command line: separated by spaces, or held together by double quotes.
fn words(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for letter in line.chars() {
        match letter {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            other => words.last_mut().expect("never empty").push(other),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

fn printed(line: &str) -> String {
    let words = words(line);
    assert_eq!(words[0], "fulltray", "{line}");
    let output = Command::new(env!("CARGO_BIN_EXE_fulltray"))
        .args(&words[1..])
        .current_dir(root())
        .output()
        .expect("the program starts");
    assert!(output.stderr.is_empty(), "{line}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// The page with what the commands print now.
fn renewed(page: &str) -> String {
    let mut out = String::new();
    let mut in_answer = false;
    for line in page.lines() {
        if line == "```" {
            in_answer = false;
        }
        if in_answer {
            continue;
        }
        let _ = writeln!(out, "{line}");
        if let Some(command) = line.strip_prefix("$ ") {
            out.push_str(&printed(command));
            in_answer = true;
        }
    }
    out
}

#[test]
fn pages_show_what_the_commands_print() {
    for name in ["readings.md", "wear.md"] {
        let path = root().join("docs").join(name);
        let page = std::fs::read_to_string(&path).expect("the page is there");
        let renewed = renewed(&page);
        if std::env::var_os("FULLTRAY_WRITE_PAGES").is_some() {
            std::fs::write(&path, &renewed).expect("the page can be written");
        } else {
            assert!(page == renewed, "docs/{name} is out of date:\n{renewed}");
        }
    }
}
