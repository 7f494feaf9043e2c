//! Takes the margin off a text over several lines.

use std::ops::Range;

use ft_diag::{Collector, Problem, shorten};

use crate::chars::{is_newline, is_space};

/// The lines of a text without the margin that its closing quotes set, joined with line feeds.
///
/// `body` is what stands between the quotes, and `place` is where. Escaped spaces and line ends go before
/// the margin is taken off, all other escapes stay for later (KDL 2, "Interaction with Whitespace Escapes").
pub fn dedent(body: &str, place: Range<usize>, raw: bool, problems: &mut Collector) -> String {
    if !body.starts_with(is_newline) {
        problems.add(place, |span| {
            Problem::error("F0005", span, "a text between `\"\"\"` begins on the line after them")
                .with_remedy("end the line after the opening `\"\"\"`, or use one quote `\"` at each end")
        });
        return body.to_owned();
    }
    let resolved = if raw { body.to_owned() } else { drop_escaped_spaces(body) };
    let mut lines = split_lines(&resolved);
    let margin = lines.pop().unwrap_or_default();
    if !margin.chars().all(is_space) {
        problems.add(place.end..place.end + 3, |span| {
            Problem::error("F0005", span, "the closing `\"\"\"` needs a line of its own")
                .with_remedy("end the line before the closing `\"\"\"`")
        });
        return resolved;
    }
    let mut out = String::with_capacity(resolved.len());
    let mut shallow = None;
    for (index, line) in lines.iter().skip(1).enumerate() {
        if index > 0 {
            out.push('\n');
        }
        if line.chars().all(is_space) {
            continue;
        }
        if let Some(inner) = line.strip_prefix(margin) {
            out.push_str(inner);
        } else {
            shallow.get_or_insert(*line);
            out.push_str(line.trim_start_matches(is_space));
        }
    }
    if let Some(line) = shallow {
        problems.add(place.clone(), |place| {
            // With escaped spaces, lines of the text are no longer lines of the file.
            let at = if resolved.len() == body.len() {
                let start = place.start + (line.as_ptr() as usize - resolved.as_ptr() as usize);
                start..start + line.len()
            } else {
                place.clone()
            };
            let said = shorten(line.trim_matches(is_space));
            Problem::error("F0006", at, format!("the line `{said}` begins left of its closing `\"\"\"`"))
                .with_also(place.end..place.end + 3, "the spaces or tabs before this begin every line")
                .with_remedy("indent the line as the closing `\"\"\"`, with the same spaces or tabs")
        });
    }
    out
}

/// The text without each `\` and the spaces and line ends after it.
fn drop_escaped_spaces(body: &str) -> String {
    let mut out = String::with_capacity(body.len());
    let mut rest = body;
    while let Some(at) = rest.find('\\') {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        match rest[1..].chars().next() {
            Some(c) if is_space(c) || is_newline(c) => {
                rest = rest[1..].trim_start_matches(|c| is_space(c) || is_newline(c));
            }
            Some(c) => {
                let length = 1 + c.len_utf8();
                out.push_str(&rest[..length]);
                rest = &rest[length..];
            }
            None => break,
        }
    }
    out.push_str(rest);
    out
}

/// Lines without their ends; carriage return and line feed together are one end.
pub fn split_lines(text: &str) -> Vec<&str> {
    let mut lines = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(is_newline) {
        lines.push(&rest[..at]);
        rest = &rest[at..];
        let end = if rest.starts_with("\r\n") { 2 } else { rest.chars().next().map_or(0, char::len_utf8) };
        rest = &rest[end..];
    }
    lines.push(rest);
    lines
}
