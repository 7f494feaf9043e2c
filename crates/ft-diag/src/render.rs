//! Shows problems on a terminal: what, where, the line itself with carets, and what would be right.

use std::fmt::Write as _;
use std::ops::Range;

use unicode_width::UnicodeWidthChar;

use crate::lines::{Lines, floor};
use crate::{Problem, Severity};

/// Widest excerpt of a line, in terminal cells; longer lines are cut around the place.
const EXCERPT: usize = 100;

/// Whether to colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Colour {
    /// Plain text, for files and pipes.
    Never,
    /// With the terminal's own red, yellow, blue and green.
    Ansi,
}

/// Shows problems one after the other with an empty line between. Ends with a line end unless empty.
///
/// `file` is the name to show; `lines` belong to the text in which the problems were found.
pub fn render(problems: &[Problem], file: &str, lines: &Lines<'_>, colour: Colour) -> String {
    let mut out = String::new();
    for (index, problem) in problems.iter().enumerate() {
        if index > 0 {
            out.push('\n');
        }
        Page { out: &mut out, lines, colour }.problem(problem, file);
    }
    out
}

/// The text that is being put together. Writing to it cannot fail, so its results are let go.
struct Page<'p, 't> {
    out: &'p mut String,
    lines: &'p Lines<'t>,
    colour: Colour,
}

impl Page<'_, '_> {
    fn problem(&mut self, problem: &Problem, file: &str) {
        let word = problem.severity.word();
        let paint = match problem.severity {
            Severity::Error => "1;31",
            Severity::Warning => "1;33",
        };
        let head = self.painted(paint, &format!("{word} {}", problem.code));
        let place = self.lines.place(problem.span.start);
        let also = problem.also.as_ref().map(|(span, why)| (span, why, self.lines.place(span.start)));
        let widest = also.as_ref().map_or(place.line, |(_, _, also)| place.line.max(also.line));
        let margin = widest.to_string().len();

        let _ = writeln!(self.out, "{head}: {}", visible(&problem.message));
        let arrow = self.painted("1;34", "-->");
        let _ = writeln!(self.out, "{:margin$}{arrow} {file}:{}:{}", "", place.line, place.column);
        self.excerpt(&problem.span, place.line, margin, ('^', paint), "");
        if let Some((span, why, place)) = also {
            let dots = self.painted("1;34", ":::");
            let _ = writeln!(self.out, "{:margin$}{dots} {file}:{}:{}", "", place.line, place.column);
            self.excerpt(span, place.line, margin, ('-', "1;34"), why);
        }
        if let Some(remedy) = &problem.remedy {
            let sign = self.painted("1;32", "=");
            let _ = writeln!(self.out, "{:margin$} {sign} {}", "", visible(remedy));
        }
    }

    /// The line of a place with a mark under it.
    fn excerpt(&mut self, span: &Range<usize>, number: usize, margin: usize, mark: (char, &str), why: &str) {
        let (line, start) = self.lines.line(number);
        let from = floor(line, span.start.saturating_sub(start));
        let to = floor(self.lines.text(), span.end).saturating_sub(start).clamp(from, line.len());
        let (shown, before, under) = cut(line, from, to);
        let bar = self.painted("1;34", "|");
        let count = self.painted("1;34", &format!("{number:>margin$}"));
        let marks = self.painted(mark.1, &mark.0.to_string().repeat(under.max(1)));
        let _ = writeln!(self.out, "{count} {bar} {}", shown.trim_end());
        let _ = writeln!(self.out, "{:margin$} {bar} {:before$}{marks} {}", "", "", visible(why));
        let trimmed = self.out.trim_end().len();
        self.out.truncate(trimmed);
        self.out.push('\n');
    }

    fn painted(&self, paint: &str, text: &str) -> String {
        match self.colour {
            Colour::Never => text.to_owned(),
            Colour::Ansi => format!("\u{1b}[{paint}m{text}\u{1b}[0m"),
        }
    }
}

/// What is shown of a line so that `from..to` is in sight, the cells before it and the cells under it.
///
/// Looks only at the neighbourhood of the place, so that a line of ten million characters costs nothing.
fn cut(line: &str, from: usize, to: usize) -> (String, usize, usize) {
    let mut shown = String::new();
    let mut before = 0;
    let begin = begin_of_excerpt(line, from);
    if begin > 0 {
        shown.push('…');
        before += 1;
    }
    before += push_cells(&mut shown, &line[begin..from], usize::MAX).0;
    let room = EXCERPT.saturating_sub(before).max(EXCERPT / 3);
    let (under, all) = push_cells(&mut shown, &line[from..to], room);
    let (after, rest) = push_cells(&mut shown, &line[to..], if all { room - under } else { 0 });
    debug_assert!(under + after <= room, "no more cells than there is room for");
    if !(all && rest) {
        shown.push('…');
    }
    (shown, before, under)
}

/// The start of the line, or of its last 60 characters before `from` where more stand before it.
fn begin_of_excerpt(line: &str, from: usize) -> usize {
    const BEFORE: usize = EXCERPT * 3 / 5;
    match line[..from].char_indices().rev().nth(BEFORE) {
        Some((at, _)) => line[at..].chars().next().map_or(at, |c| at + c.len_utf8()),
        None => 0,
    }
}

/// Adds as much of `text` as goes into `room` cells; says how many it took and whether it was all.
fn push_cells(shown: &mut String, text: &str, room: usize) -> (usize, bool) {
    let mut cells = 0;
    for c in text.chars() {
        let (width, c) = match c {
            '\t' => (1, ' '),
            c if is_hidden(c) => (1, '·'),
            c => (c.width().unwrap_or(0), c),
        };
        if cells + width > room {
            return (cells, false);
        }
        cells += width;
        shown.push(c);
    }
    (cells, true)
}

/// A sentence with nothing in it that could steer the terminal or turn the direction of writing.
fn visible(text: &str) -> String {
    text.chars().map(|c| if is_hidden(c) { '·' } else { c }).collect()
}

fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{2069}' | '\u{FEFF}')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str, problem: Problem) -> String {
        render(&[problem], "demo/x.machine.kdl", &Lines::new(text), Colour::Never)
    }

    #[test]
    fn shows_place_second_place_and_remedy() {
        let text = "vessel \"a\"\n\tpour \"barell\"\n";
        let problem = Problem::error("F0112", 17..25, "there is no vessel called `barell`")
            .with_also(7..10, "the only vessel")
            .with_remedy("write `a`");
        let expected = "\
error F0112: there is no vessel called `barell`
 --> demo/x.machine.kdl:2:7
2 |  pour \"barell\"
  |       ^^^^^^^^
 ::: demo/x.machine.kdl:1:8
1 | vessel \"a\"
  |        --- the only vessel
  = write `a`
";
        assert_eq!(shown(text, problem), expected);
    }

    /// A character that takes two cells moves the caret by two.
    #[test]
    fn carets_stand_under_wide_characters() {
        let text = "say \"洗う\" x";
        let at = text.find('x').expect("it is there");
        let page = shown(text, Problem::warning("F0100", at..at + 1, "no"));
        assert!(page.contains("1 | say \"洗う\" x\n  |            ^\n"), "{page}");
    }

    /// Of a very long line only the neighbourhood is shown, and nothing in it can steer the terminal.
    #[test]
    fn long_and_hostile_lines_are_tamed() {
        let text = format!("{}\u{1b}[31m{}", "a".repeat(500), "b".repeat(5_000_000));
        let page = shown(&text, Problem::error("F0100", 500..5_000_000, "a \u{1b}[2J b"));
        assert!(page.lines().all(|line| line.chars().count() < 120), "{page}");
        assert!(!page.contains('\u{1b}'));
    }

    /// Without the colours, the coloured page is the plain one.
    #[test]
    fn colour_is_only_colour() {
        let problem = Problem::error("F0100", 0..1, "no").with_remedy("yes").with_also(2..3, "here");
        let page = |colour| render(std::slice::from_ref(&problem), "x", &Lines::new("a b"), colour);
        let coloured = page(Colour::Ansi);
        let stripped = ["1;31", "1;34", "1;32", "0"]
            .iter()
            .fold(coloured.clone(), |text, paint| text.replace(&format!("\u{1b}[{paint}m"), ""));
        assert_ne!(coloured, stripped);
        assert_eq!(stripped, page(Colour::Never));
    }

    /// Any span gives a page: past the end, backwards, inside a character.
    #[test]
    fn no_span_is_too_odd() {
        let text = "é\n\nü";
        for start in 0..8 {
            for end in 0..8 {
                shown(text, Problem::error("F0100", start..end, "odd"));
            }
        }
    }
}
