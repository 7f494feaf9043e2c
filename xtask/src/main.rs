//! Chores of this repository: `cargo run -p xtask -- NAME`.
//!
//! Each chore compares the repository with what it says about itself and names every difference, with what would
//! be right. Nothing here is part of the product.

mod arrows;
mod licences;
mod metadata;
mod picture;
mod words;

use std::path::Path;
use std::process::ExitCode;

use metadata::Workspace;

const USE: &str = "\
cargo run -p xtask -- CHORE

  arrows             the crates use what the table in ARCHITECTURE.md allows, and nothing else
  licences           everything we depend on may be used and passed on freely
  picture [--check]  draws docs/crates.svg, or says whether it is current
  words              no tracked text names what does not belong in a repository
  tidy               arrows, picture --check and words: all that needs no network
  all                every chore, changing nothing";

/// What is wrong, a sentence each; empty when nothing is.
type Findings = Vec<String>;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match run(&words) {
        Ok(findings) if findings.is_empty() => ExitCode::SUCCESS,
        Ok(findings) => {
            for finding in &findings {
                eprintln!("{finding}");
            }
            ExitCode::from(1)
        }
        Err(error) => {
            eprintln!("xtask: {error}");
            ExitCode::from(2)
        }
    }
}

fn run(words: &[&str]) -> Result<Findings, String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).parent().ok_or("xtask lies in no workspace")?;
    let chores: &[&str] = match words {
        ["picture"] => {
            picture::write(root, &Workspace::read(root)?)?;
            return Ok(Vec::new());
        }
        ["arrows"] => &["arrows"],
        ["licences"] => &["licences"],
        ["picture", "--check"] => &["picture"],
        ["words"] => &["words"],
        ["tidy"] => &["arrows", "picture", "words"],
        ["all"] => &["arrows", "licences", "picture", "words"],
        _ => return Err(format!("one chore at a time, of these:\n\n{USE}")),
    };
    let workspace = Workspace::read(root)?;
    let mut findings = Vec::new();
    for &chore in chores {
        let found = match chore {
            "arrows" => arrows::check(root, &workspace)?,
            "licences" => licences::check(&workspace),
            "picture" => picture::check(root, &workspace)?,
            _ => words::check(root)?,
        };
        if found.is_empty() {
            println!("{chore}: nothing to say");
        }
        findings.extend(found.into_iter().map(|text| format!("{chore}: {text}")));
    }
    Ok(findings)
}
