//! The machine-readable view of a problem.

use serde::Serialize;

use crate::{Lines, Problem};

/// A problem for other programs: `--json` prints a list of these.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ProblemView {
    /// Stable code, such as `F0012`.
    pub code: &'static str,
    /// `error` or `warning`.
    pub severity: &'static str,
    /// The file as it was named to the program.
    pub file: String,
    /// Line of the first character, counted from 1.
    pub line: usize,
    /// Column of the first character, counted from 1 in characters.
    pub column: usize,
    /// Line of the place after the last character.
    pub end_line: usize,
    /// Column of the place after the last character.
    pub end_column: usize,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub remedy: Option<String>,
    /// A second place that belongs to it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub also: Option<AlsoView>,
}

/// The second place of a problem.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AlsoView {
    /// Counted from 1.
    pub line: usize,
    /// Counted from 1 in characters.
    pub column: usize,
    /// Why it belongs to the problem.
    pub why: String,
}

impl ProblemView {
    /// The view of a problem in the text that `lines` were made from.
    pub fn new(problem: &Problem, file: &str, lines: &Lines<'_>) -> Self {
        let start = lines.place(problem.span.start);
        let end = lines.place(problem.span.end);
        let also = problem.also.as_ref().map(|(span, why)| {
            let place = lines.place(span.start);
            AlsoView { line: place.line, column: place.column, why: why.clone() }
        });
        Self {
            code: problem.code,
            severity: problem.severity.word(),
            file: file.to_owned(),
            line: start.line,
            column: start.column,
            end_line: end.line,
            end_column: end.column,
            message: problem.message.clone(),
            remedy: problem.remedy.clone(),
            also,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lines and columns count from 1, columns in characters; the end is the place after the last one.
    #[test]
    fn places_are_as_editors_show_them() {
        let lines = Lines::new("é\nsay \"ñ\" x\n");
        let problem = Problem::warning("F0103", 7..11, "text").with_also(0..2, "first");
        let view = ProblemView::new(&problem, "a.kdl", &lines);
        assert_eq!((view.line, view.column, view.end_line, view.end_column), (2, 5, 2, 8));
        assert_eq!((view.severity, view.file.as_str(), view.remedy), ("warning", "a.kdl", None));
        assert_eq!(view.also, Some(AlsoView { line: 1, column: 1, why: "first".to_owned() }));
    }
}
