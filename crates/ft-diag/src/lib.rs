//! A problem or a remark about a text: its code, its place, what is wrong, and what would be right.
//!
//! Knows nothing of machines or of any language: the codes and sentences come from whoever found the problem.

mod collector;
mod lines;
mod nearest;
mod render;
mod view;

use std::collections::BTreeSet;
use std::ops::Range;

pub use collector::{Collector, MOST_TOLD};
pub use lines::{Lines, Place};
pub use nearest::nearest;
pub use render::{Colour, render};
pub use view::{AlsoView, ProblemView};

/// How much a problem matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The text has no meaning until this is put right.
    Error,
    /// The text has a meaning, but probably not the one that was wanted.
    Warning,
}

impl Severity {
    /// The word for it in messages and in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
        }
    }
}

/// A problem at a place in one text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Stable code, such as `F0012`; `fulltray explain` has a page for each.
    pub code: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// Bytes of the text that it is about; both ends on character boundaries, possibly empty.
    pub span: Range<usize>,
    /// What is wrong: one plain sentence, no full stop, in the reader's words.
    pub message: String,
    /// What would be right, if that can be said.
    pub remedy: Option<String>,
    /// Another place that belongs to it, with a few words on why.
    pub also: Option<(Range<usize>, String)>,
}

impl Problem {
    /// An error with neither remedy nor second place.
    pub fn error(code: &'static str, span: Range<usize>, message: impl Into<String>) -> Self {
        Self { code, severity: Severity::Error, span, message: message.into(), remedy: None, also: None }
    }

    /// A warning with neither remedy nor second place.
    pub fn warning(code: &'static str, span: Range<usize>, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(code, span, message) }
    }

    /// The same with what would be right.
    #[must_use]
    pub fn with_remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = Some(remedy.into());
        self
    }

    /// The same with a second place.
    #[must_use]
    pub fn with_also(mut self, span: Range<usize>, why: impl Into<String>) -> Self {
        self.also = Some((span, why.into()));
        self
    }
}

/// Puts problems in the order of the text and leaves out those that say the same of the same place.
///
/// Among problems of one place errors come first; otherwise the order in which they were found is kept.
pub fn sort(problems: &mut Vec<Problem>) {
    problems.sort_by_key(|p| (p.span.start, p.severity, p.span.end));
    let mut said = BTreeSet::new();
    problems.retain(|p| said.insert((p.code, p.span.start, p.span.end, p.message.clone())));
}

/// Words of the reader for a sentence: one line of at most 40 characters.
pub fn shorten(words: &str) -> String {
    let mut short: String = words.chars().take(40).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if words.chars().nth(40).is_some() {
        short.push('…');
    }
    short
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_words_are_shortened() {
        assert_eq!(shorten("a\u{85}é\n"), "a é ");
        assert_eq!(shorten(&"é".repeat(40)), "é".repeat(40));
        assert_eq!(shorten(&"é".repeat(41)), "é".repeat(40) + "…");
    }

    /// In the order of the text; errors before warnings at one place; nothing said twice of one place.
    #[test]
    fn sorted_and_said_once() {
        let mut problems = vec![
            Problem::warning("F0103", 4..6, "c"),
            Problem::error("F0101", 4..6, "a"),
            Problem::error("F0102", 0..1, "b"),
            Problem::error("F0101", 4..6, "a").with_remedy("found by another rule"),
            Problem::error("F0101", 4..6, "another sentence"),
        ];
        sort(&mut problems);
        let said: Vec<&str> = problems.iter().map(|problem| problem.message.as_str()).collect();
        assert_eq!(said, ["b", "a", "another sentence", "c"]);
    }
}
