//! Bad texts and what is said of them: the files in `suite/`.
//!
//! A case is a file: its first line says what is shown and why, then comes the text, then `---`, then the
//! problems as they are shown. A case whose first line ends in `(bytes)` writes odd bytes as `\xNN`.
//! `FULLTRAY_ACCEPT=1 cargo test -p ft-syntax --test suite` writes the answers anew; read them before keeping them.

use std::fs;
use std::path::Path;

use ft_diag::{Colour, Lines, render};
use ft_syntax::{decode, parse};

const FILE: &str = "kiosk.machine.kdl";

#[test]
fn bad_texts_are_explained() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/suite");
    let accept = std::env::var_os("FULLTRAY_ACCEPT").is_some();
    let mut paths: Vec<_> = fs::read_dir(&folder)
        .expect("the cases are there")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .collect();
    paths.sort();
    assert!(paths.len() >= 40, "only {} cases", paths.len());
    let mut wrong = Vec::new();
    for path in paths {
        let case = fs::read_to_string(&path).expect("a case is text");
        let (question, expected) = case.split_once("\n---\n").expect("a case has a line `---`");
        let (comment, input) = question.split_once('\n').unwrap_or((question, ""));
        let bytes = if comment.ends_with("(bytes)") { unescape(input) } else { input.as_bytes().to_vec() };
        let answer = explain(&bytes);
        if answer != expected {
            if accept {
                fs::write(&path, format!("{question}\n---\n{answer}")).expect("the case can be written");
            }
            wrong.push(format!("{}:\n{answer}", path.display()));
        }
    }
    assert!(wrong.is_empty() || accept, "{}", wrong.join("\n"));
}

fn explain(bytes: &[u8]) -> String {
    let answer = match decode(bytes) {
        Ok(text) => render(&parse(text).problems, FILE, &Lines::new(text), Colour::Never),
        Err(bad) => render(std::slice::from_ref(&bad.problem), FILE, &Lines::new(&bad.shown), Colour::Never),
    };
    if answer.is_empty() { "no problem\n".to_owned() } else { answer }
}

/// `\xNN` to its byte.
fn unescape(input: &str) -> Vec<u8> {
    let mut parts = input.split("\\x");
    let mut bytes = parts.next().unwrap_or_default().as_bytes().to_vec();
    for part in parts {
        bytes.push(u8::from_str_radix(&part[..2], 16).expect("two hexadecimal digits follow `\\x`"));
        bytes.extend_from_slice(&part.as_bytes()[2..]);
    }
    bytes
}
