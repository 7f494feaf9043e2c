//! How names and values are written in a tidy text.

use std::borrow::Cow;

use ft_diag::Collector;

use crate::chars::{is_disallowed, is_newline, is_plain_word, is_space};
use crate::dedent::split_lines;
use crate::lexer::{Kind, Quotes, Token};
use crate::quoted;

/// A name: without quotes where it can be.
pub fn name(text: &str, token: Token, level: usize) -> Cow<'_, str> {
    match token.kind {
        Kind::Quoted(quotes) => {
            let says = read(text, token, quotes);
            if is_plain_word(&says) { Cow::Owned(says) } else { argument(text, token, level) }
        }
        _ => Cow::Borrowed(&text[token.start..token.end]),
    }
}

/// A value after `=`: a text always in quotes.
pub fn of_property(text: &str, token: Token, level: usize) -> Cow<'_, str> {
    let said = &text[token.start..token.end];
    if token.kind == Kind::Word && is_plain_word(said) {
        return Cow::Owned(format!("\"{said}\""));
    }
    argument(text, token, level)
}

/// Any other value: with or without quotes as its author wrote it.
pub fn argument(text: &str, token: Token, level: usize) -> Cow<'_, str> {
    let said = &text[token.start..token.end];
    match token.kind {
        Kind::Quoted(quotes) if quotes.multi => indent(said, quotes, level),
        Kind::Quoted(quotes) if quotes.hashes > 0 => {
            let says = read(text, token, quotes);
            let needs_no_escape = !says.contains(['"', '\\']);
            if needs_no_escape { Cow::Owned(format!("\"{says}\"")) } else { Cow::Borrowed(said) }
        }
        Kind::Quoted(_) if said.contains(is_newline) => Cow::Owned(split_lines(said).join("\n")),
        _ => Cow::Borrowed(said),
    }
}

fn read(text: &str, token: Token, quotes: Quotes) -> String {
    // The text has no problems: that was seen before formatting began.
    quoted::read(text, token, quotes, &mut Collector::default())
}

/// A text over several lines, indented to a level. One with escaped spaces stays as it is: there,
/// indentation and text cannot be told apart line by line.
fn indent(said: &str, quotes: Quotes, level: usize) -> Cow<'_, str> {
    let opening = quotes.hashes + 3;
    let body = &said[opening..said.len() - opening];
    if quotes.hashes == 0 && has_escaped_spaces(body) {
        return Cow::Borrowed(said);
    }
    let margin = "    ".repeat(level);
    let mut lines = split_lines(body);
    let old_margin = lines.pop().unwrap_or_default();
    let mut out = said[..opening].to_owned();
    for line in lines.iter().skip(1) {
        out.push('\n');
        if !line.chars().all(is_space) {
            out.push_str(&margin);
            out.push_str(line.strip_prefix(old_margin).unwrap_or(line));
        }
    }
    out.push('\n');
    out.push_str(&margin);
    out.push_str(&said[said.len() - opening..]);
    Cow::Owned(out)
}

fn has_escaped_spaces(body: &str) -> bool {
    let mut chars = body.chars();
    while let Some(c) = chars.next() {
        if c == '\\' && chars.next().is_some_and(|next| is_space(next) || is_newline(next)) {
            return true;
        }
    }
    false
}

/// A text in quotes, escaped where it must be.
pub fn quote(says: &str) -> String {
    use std::fmt::Write as _;
    let mut out = String::with_capacity(says.len() + 2);
    out.push('"');
    for c in says.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            c if is_newline(c) || is_disallowed(c) => {
                let _ = write!(out, "\\u{{{:x}}}", u32::from(c)); // writing to a string cannot fail
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
