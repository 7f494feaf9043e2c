//! What a quoted text says: escapes resolved, the indentation of multi-line texts taken off.

use ft_diag::{Collector, Problem, shorten};

use crate::chars::{is_newline, is_space};
use crate::dedent::dedent;
use crate::lexer::{Quotes, Token};

/// The text that a quoted token stands for. Where something is wrong, what can be read of it.
pub fn read(text: &str, token: Token, quotes: Quotes, problems: &mut Collector) -> String {
    let opening = quotes.hashes + if quotes.multi { 3 } else { 1 };
    let body_start = token.start + opening;
    let body_end = if quotes.closed { token.end - opening } else { token.end };
    let body = &text[body_start..body_end];
    if quotes.hashes == 0 {
        check_escapes(body, body_start, problems);
    }
    if !quotes.closed {
        problems.add(token.start..body_start, |span| unclosed(span, quotes));
        return body.to_owned();
    }
    let raw = quotes.hashes > 0;
    if quotes.multi {
        let lines = dedent(body, body_start..body_end, raw, problems);
        return if raw { lines } else { unescape(&lines) };
    }
    if raw { body.to_owned() } else { unescape(body) }
}

fn unclosed(span: std::ops::Range<usize>, quotes: Quotes) -> Problem {
    let hashes = "#".repeat(quotes.hashes.min(8));
    if quotes.multi {
        return Problem::error(
            "F0003",
            span,
            "this text is never closed: the rest of the file belongs to it",
        )
        .with_remedy(format!("write `\"\"\"{hashes}` on a line of its own after its last line"));
    }
    Problem::error("F0003", span, "this text has no closing quote on its line").with_remedy(format!(
        "write `\"{hashes}` where the text ends; a text over several lines stands between `\"\"\"`"
    ))
}

/// Reports each `\` that means nothing.
fn check_escapes(body: &str, body_start: usize, problems: &mut Collector) {
    let mut at = 0;
    while let Some(found) = body[at..].find('\\') {
        let start = at + found;
        let Some(next) = body[start + 1..].chars().next() else { return };
        at = start + 1 + next.len_utf8();
        match next {
            'n' | 'r' | 't' | '\\' | '"' | 'b' | 'f' | 's' => {}
            'u' => {
                if unicode_escape(&body[start..]).is_none() {
                    let digits = body[at..].get(..4).filter(|four| four.bytes().all(|b| b.is_ascii_hexdigit()));
                    problems.add(body_start + start..body_start + at, |span| {
                        let remedy = match digits {
                            Some(digits) => format!("write its digits in braces: `\\u{{{digits}}}`"),
                            None => "write one to six hexadecimal digits in braces: `\\u{e9}` is é".to_owned(),
                        };
                        Problem::error("F0004", span, "this escape names no character").with_remedy(remedy)
                    });
                }
            }
            c if is_space(c) || is_newline(c) => {}
            c => problems.add(body_start + start..body_start + at, |span| {
                let remedy = if matches!(c, '\'' | '/') {
                    format!("write `{c}` alone")
                } else {
                    "write `\\\\` for a backslash, or put the text between `#\"` and `\"#`, where nothing is escaped"
                        .to_owned()
                };
                Problem::error("F0004", span, format!("`\\{}` is no escape", shorten(&c.to_string())))
                    .with_remedy(remedy)
            }),
        }
    }
}

/// The character of `\u{…}` at the start of `text`, and how many bytes it takes there.
fn unicode_escape(text: &str) -> Option<(char, usize)> {
    let digits_start = text.strip_prefix("\\u{")?;
    // Looks at seven bytes at most: a brace that never comes must not cost a walk through the file.
    let close = digits_start.bytes().take(7).position(|byte| byte == b'}')?;
    let digits = &digits_start[..close];
    if !digits.bytes().all(|byte| byte.is_ascii_hexdigit()) {
        return None;
    }
    let c = char::from_u32(u32::from_str_radix(digits, 16).ok()?)?;
    Some((c, close + 4))
}

/// Resolves all escapes; what is no escape stays as it stands.
fn unescape(body: &str) -> String {
    let mut out = String::with_capacity(body.len());
    let mut rest = body;
    while let Some(at) = rest.find('\\') {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        let Some(next) = rest[1..].chars().next() else { break };
        let simple = match next {
            'n' => Some('\n'),
            'r' => Some('\r'),
            't' => Some('\t'),
            'b' => Some('\u{8}'),
            'f' => Some('\u{C}'),
            's' => Some(' '),
            '\\' | '"' => Some(next),
            _ => None,
        };
        if let Some(c) = simple {
            out.push(c);
            rest = &rest[2..];
        } else if let Some((c, length)) = unicode_escape(rest) {
            out.push(c);
            rest = &rest[length..];
        } else if is_space(next) || is_newline(next) {
            rest = rest[1..].trim_start_matches(|c| is_space(c) || is_newline(c));
        } else {
            out.push('\\');
            rest = &rest[1..];
        }
    }
    out.push_str(rest);
    out
}
