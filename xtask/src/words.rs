//! Words that name a place or a tool of whoever wrote a file, and so mean nothing to whoever reads it.

use std::path::Path;
use std::process::Command;

use crate::Findings;

/// What must not stand in a tracked text, in small letters, and why.
const WORDS: [(&str, &str); 19] = [
    ("/work/", "a folder of one machine"),
    ("/root/", "a folder of one machine"),
    ("/home/", "a folder of one machine"),
    ("/users/", "a folder of one machine"),
    ("c:\\users", "a folder of one machine"),
    ("pypi.org", "where packages come from is for the reader's own tools to know"),
    ("pythonhosted", "where packages come from is for the reader's own tools to know"),
    ("index.crates.io", "where packages come from is for the reader's own tools to know"),
    ("static.crates.io", "where packages come from is for the reader's own tools to know"),
    ("proxy.golang.org", "where packages come from is for the reader's own tools to know"),
    ("deb.debian.org", "where packages come from is for the reader's own tools to know"),
    ("artifactory", "where packages come from is for the reader's own tools to know"),
    ("claude", "a tool of whoever wrote it"),
    ("anthropic", "a tool of whoever wrote it"),
    ("chatgpt", "a tool of whoever wrote it"),
    ("openai", "a tool of whoever wrote it"),
    ("copilot", "a tool of whoever wrote it"),
    ("language model", "a tool of whoever wrote it"),
    ("subagent", "a tool of whoever wrote it"),
];

/// The one file that must name them.
const HERE: &str = "xtask/src/words.rs";

/// Every line of a tracked text that holds one of the words.
///
/// # Errors
/// When git cannot say what is tracked.
pub fn check(root: &Path) -> Result<Findings, String> {
    let output = Command::new("git")
        .args(["ls-files", "-z"])
        .current_dir(root)
        .output()
        .map_err(|error| format!("failed to run git: {error}"))?;
    if !output.status.success() {
        return Err(format!("git ls-files: {}", String::from_utf8_lossy(&output.stderr)));
    }
    let files = String::from_utf8_lossy(&output.stdout).into_owned();
    let mut found = Vec::new();
    for file in files.split('\0').filter(|file| !file.is_empty() && *file != HERE) {
        // What is no text, or tracked and taken away, has no lines.
        if let Ok(text) = std::fs::read_to_string(root.join(file)) {
            found.extend(lines(&text).map(|(line, word, why)| format!("{file}:{line} has `{word}`: {why}")));
        }
    }
    Ok(found)
}

fn lines(text: &str) -> impl Iterator<Item = (usize, &'static str, &'static str)> {
    text.lines().enumerate().flat_map(|(index, line)| {
        let line = line.to_lowercase();
        let hits = WORDS.iter().filter(move |(word, _)| line.contains(word));
        hits.map(move |(word, why)| (index + 1, *word, *why))
    })
}

#[cfg(test)]
mod tests {
    use super::lines;

    #[test]
    fn a_line_is_named_with_its_word() {
        let found: Vec<_> = lines("fine\nsee /Work/notes\n").map(|(line, word, _)| (line, word)).collect();
        assert_eq!(found, [(2, "/work/")]);
    }

    #[test]
    fn working_is_no_folder() {
        assert_eq!(lines("what is working/worked out").count(), 0);
    }
}
