//! Small changes to a text that leave everything else in it as it was.

use crate::chars::{is_newline, is_space};
use crate::lexer::{Kind, Lexer};
use crate::tree::Node;

/// Where a new child goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Position {
    /// Before the first child.
    First,
    /// After the last child, and after a comment on its line.
    Last,
    /// Before the child of this index; as `Last` where there is none.
    Before(usize),
}

/// The text with one more line among the children of a node. Nothing else changes, not even a space.
///
/// `node` must come from parsing `text` without problems. `line` is a node without its line end. It is
/// indented like its neighbours; braces that stand on one line stay on one line, and a node without
/// braces gets them.
///
/// ```
/// use ft_syntax::{Position, insert_child, parse};
///
/// let text = "step \"Flush\" {\n    open \"draw\" // slowly\n}\n";
/// let node = &parse(text).document.nodes[0];
/// assert_eq!(
///     insert_child(text, node, Position::Last, "shut \"draw\""),
///     "step \"Flush\" {\n    open \"draw\" // slowly\n    shut \"draw\"\n}\n"
/// );
/// ```
pub fn insert_child(text: &str, node: &Node, position: Position, line: &str) -> String {
    let end = line_end(text);
    let Some(block) = node.block.clone() else {
        let margin = margin_of(text, node.span.start);
        let at = node.span.end;
        return spliced(text, at, &format!(" {{{end}{margin}    {line}{end}{margin}}}"));
    };
    let children = node.children();
    let before = match position {
        Position::First => children.first(),
        Position::Before(index) => children.get(index),
        Position::Last => None,
    };
    if let Some(next) = before {
        let at = next.span.start;
        return if begins_its_line(text, at) {
            let margin = margin_of(text, at);
            spliced(text, at, &format!("{line}{end}{margin}"))
        } else {
            spliced(text, at, &format!("{line}; "))
        };
    }
    let inner_end = block.end.saturating_sub(1);
    if !text[block.start..block.end].contains(is_newline) {
        let inner = text[block.start + 1..inner_end].trim_end_matches(is_space);
        let at = block.start + 1 + inner.len();
        let separator = if inner.is_empty() || inner.ends_with(';') { " " } else { "; " };
        let gap = if at == inner_end { " " } else { "" };
        return spliced(text, at, &format!("{separator}{line}{gap}"));
    }
    let after_last = children.last().map_or(block.start + 1, |last| last.span.end);
    if is_carried_on(text, after_last, inner_end) {
        let new = if children.is_empty() { format!(" {line};") } else { format!("; {line}") };
        return spliced(text, after_last, &new);
    }
    let margin = match children.last().map(|last| last.span.start) {
        Some(start) if begins_its_line(text, start) => margin_of(text, start).to_owned(),
        _ => format!("{}    ", margin_of(text, node.span.start)),
    };
    if begins_its_line(text, inner_end) {
        let at = inner_end - margin_of(text, inner_end).len();
        return spliced(text, at, &format!("{margin}{line}{end}"));
    }
    spliced(text, inner_end, &format!("{end}{margin}{line}{end}{}", margin_of(text, node.span.start)))
}

fn spliced(text: &str, at: usize, new: &str) -> String {
    let mut out = String::with_capacity(text.len() + new.len());
    out.push_str(&text[..at]);
    out.push_str(new);
    out.push_str(&text[at..]);
    out
}

/// Whether a `\` stands between two places outside quotes and comments: then the next line may belong to
/// the node before it.
fn is_carried_on(text: &str, from: usize, to: usize) -> bool {
    let mut lexer = Lexer::new(text);
    lexer.jump_to(from);
    loop {
        let token = lexer.next();
        if token.start >= to || token.kind == Kind::End {
            return false;
        }
        if token.kind == Kind::Continuation {
            return true;
        }
    }
}

/// The line end that the text uses.
fn line_end(text: &str) -> &'static str {
    match text.find('\n') {
        Some(at) if text[..at].ends_with('\r') => "\r\n",
        _ => "\n",
    }
}

fn line_start(text: &str, at: usize) -> usize {
    text[..at].char_indices().rev().find(|(_, c)| is_newline(*c)).map_or(0, |(at, c)| at + c.len_utf8())
}

/// The spaces at the start of the line of a place.
fn margin_of(text: &str, at: usize) -> &str {
    let line = text[line_start(text, at)..].trim_start_matches('\u{FEFF}');
    &line[..line.len() - line.trim_start_matches(is_space).len()]
}

fn begins_its_line(text: &str, at: usize) -> bool {
    text[line_start(text, at)..at].chars().all(|c| is_space(c) || c == '\u{FEFF}')
}
