//! What follows the name of a node: values, properties, things left out, braces.

use std::ops::Range;

use ft_diag::Problem;

use super::Parser;
use crate::chars::is_foreign_quote;
use crate::lexer::{Kind, Lexer};
use crate::problems::shorten;
use crate::tree::{Entry, Node, Property, Text, Value};
use crate::{quoted, value};

impl Parser<'_> {
    /// Reads up to what ends the node, and says where its last part ended.
    pub(super) fn rest_of_node(&mut self, node: &mut Node, depth: usize) -> usize {
        let mut end = self.token.start;
        let mut braces_seen = false;
        let mut told_after_braces = false;
        loop {
            let spaced = self.skip_node_space();
            match self.token.kind {
                Kind::Newline | Kind::LineComment | Kind::Semicolon | Kind::Close | Kind::End => return end,
                Kind::Open => {
                    self.children(node, depth);
                    braces_seen = true;
                    end = self.token.start;
                    continue;
                }
                Kind::Slashdash => {
                    braces_seen |= self.left_out_part(&node.name.text, depth);
                    continue;
                }
                Kind::Equals => {
                    self.stray_equals();
                    continue;
                }
                Kind::ParenClose => {
                    let span = self.token.start..self.token.end;
                    self.report(
                        "F0020",
                        span,
                        "this `)` closes nothing",
                        "take it away, or put the text in quotes",
                    );
                    self.advance();
                    continue;
                }
                _ => {}
            }
            let at = self.token.start..self.token.end;
            if braces_seen {
                if !told_after_braces {
                    self.report(
                        "F0025",
                        at,
                        "nothing more of a node can follow its closing brace",
                        "begin a new line after the `}`, or move this before the `{`",
                    );
                }
                told_after_braces = true;
            } else if !spaced {
                self.missing_space(at);
            }
            end = self.entry(node).unwrap_or(end);
        }
    }

    fn missing_space(&mut self, at: Range<usize>) {
        let before = self.text[..at.start].chars().next_back();
        if before == Some('r') && self.text[at.start..].starts_with(['"', '#']) {
            let remedy = "write `#\"` before and `\"#` after a text without escapes";
            self.report(
                "F0023",
                at.start - 1..at.end,
                "a text without escapes no longer begins with `r`",
                remedy,
            );
        } else {
            self.report(
                "F0015",
                at.start..at.start,
                "a space is missing here",
                "write a space between two values",
            );
        }
    }

    fn stray_equals(&mut self) {
        let span = self.token.start..self.token.end;
        self.report(
            "F0013",
            span,
            "this `=` has no name before it",
            "write `name=value`, as in `at=\"front\"`",
        );
        self.advance();
    }

    /// `/-` within a node: a value, a property or braces that are left out. Says whether it was braces.
    fn left_out_part(&mut self, name: &str, depth: usize) -> bool {
        let sign = self.token.start..self.token.end;
        self.advance();
        self.skip_line_space();
        // A throw-away node takes what is left out.
        let mut bin = Node {
            name: Text { text: name.to_owned(), span: sign.clone() },
            annotation: None,
            arguments: Vec::new(),
            properties: Vec::new(),
            children: None,
            span: sign.clone(),
            block: None,
        };
        match self.token.kind {
            Kind::Open => {
                self.children(&mut bin, depth);
                return true;
            }
            Kind::Word | Kind::BadWord | Kind::Keyword | Kind::Quoted(_) | Kind::ParenOpen => {
                self.entry(&mut bin);
            }
            _ => self.nothing_left_out(sign),
        }
        false
    }

    /// A value or a property; puts it into the node and says where it ended.
    fn entry(&mut self, node: &mut Node) -> Option<usize> {
        if !self.count_item() {
            return None;
        }
        let annotation = self.annotation();
        let is_name = matches!(self.token.kind, Kind::Word | Kind::BadWord | Kind::Quoted(_));
        if is_name && equals_follows(self.lexer) {
            return self.property(annotation, node);
        }
        let mut entry = self.value(annotation.is_some())?;
        let end = entry.span.end;
        entry.annotation = annotation;
        node.arguments.push(entry);
        Some(end)
    }

    fn property(&mut self, annotation: Option<Text>, node: &mut Node) -> Option<usize> {
        if let Some(annotation) = annotation {
            let remedy = "write it after the `=`, before the value";
            self.report("F0020", annotation.span, "a name before `=` takes no kind in brackets", remedy);
        }
        let name = self.property_name();
        self.skip_node_space();
        let sign = self.token.start..self.token.end;
        self.advance();
        self.skip_node_space();
        let annotation = self.annotation();
        if self.value_is_missing() {
            let said = shorten(&name.text);
            let message = format!("the value of `{said}` is missing");
            self.report("F0013", sign, &message, &format!("write it after the sign: `{said}=\"…\"`"));
            return None;
        }
        let mut value = self.value(annotation.is_some())?;
        value.annotation = annotation;
        let span = name.span.start..value.span.end;
        let end = span.end;
        node.properties.push(Property { name, value, span });
        Some(end)
    }

    fn value_is_missing(&self) -> bool {
        !matches!(self.token.kind, Kind::Word | Kind::BadWord | Kind::Keyword | Kind::Quoted(_))
    }

    fn property_name(&mut self) -> Text {
        let token = self.token;
        let said = self.slice(token);
        if let Kind::Word = token.kind
            && let Some(problem) = bad_name(said, token.start..token.end)
        {
            self.problems.add(token.start..token.end, |_| problem);
            self.advance();
            return Text { text: said.to_owned(), span: token.start..token.end };
        }
        let Entry { value, span, .. } = self.value(false).unwrap_or(Entry {
            annotation: None,
            value: Value::Null,
            bare: false,
            span: token.start..token.end,
        });
        let text = match value {
            Value::String(text) => text,
            Value::Number(_) | Value::Bool(_) | Value::Null => said.to_owned(),
        };
        Text { text, span }
    }

    /// A value without its annotation; none, and nothing read, where there is none.
    fn value(&mut self, annotated: bool) -> Option<Entry> {
        let token = self.token;
        let entry = |value, bare, span| Some(Entry { annotation: None, value, bare, span });
        match token.kind {
            Kind::Word => {
                let (value, span) = self.value_of_word();
                let bare = matches!(value, Value::String(_));
                entry(value, bare, span)
            }
            Kind::BadWord => {
                let (text, span) = self.bad_word();
                entry(Value::String(text), true, span)
            }
            Kind::Quoted(quotes) => {
                self.end_is_explained |= quotes.multi && !quotes.closed;
                let text = quoted::read(self.text, token, quotes, &mut self.problems);
                self.advance();
                entry(Value::String(text), false, token.start..token.end)
            }
            Kind::Keyword => {
                let value = self.keyword();
                entry(value, false, token.start..token.end)
            }
            _ => {
                // Without an annotation the brackets before have been reported already.
                if annotated {
                    let remedy = "write a value after the bracket, or put all of it in quotes";
                    let at = self.token.start..self.token.start;
                    self.report("F0020", at, "a value is missing after this kind in brackets", remedy);
                }
                None
            }
        }
    }

    fn keyword(&mut self) -> Value {
        let token = self.token;
        let said = self.slice(token);
        self.advance();
        value::of_keyword(said).unwrap_or_else(|| {
            let known = ["#true", "#false", "#null", "#inf", "#-inf", "#nan"];
            let near = ft_diag::nearest(&shorten(said), known).unwrap_or("#true");
            let quoted = shorten(said);
            self.problems.add(token.start..token.end, |span| {
                Problem::error("F0010", span, format!("there is no value called `{quoted}`"))
                    .with_remedy(format!("write `{near}`, or put the text in quotes: `\"{quoted}\"`"))
            });
            Value::String(said.to_owned())
        })
    }

    /// The value of the word at hand; a text in foreign quotes is taken whole.
    pub(super) fn value_of_word(&mut self) -> (Value, Range<usize>) {
        let token = self.token;
        let word = self.slice(token);
        if word.starts_with(is_foreign_quote) {
            return self.foreign_quotes();
        }
        self.advance();
        (value::of_word(word, token.start, &mut self.problems), token.start..token.end)
    }

    /// `“Stop”`: up to the closing mark on the same line, or else the one word.
    fn foreign_quotes(&mut self) -> (Value, Range<usize>) {
        let token = self.token;
        let rest = &self.text[token.start..];
        let open = rest.chars().next().unwrap_or('“');
        let inner = &rest[open.len_utf8()..];
        let is_double = |c| matches!(c, '“' | '”' | '„' | '‟' | '«' | '»' | '"');
        let closes = |c: char| {
            if is_double(open) { is_double(c) } else { c != '"' && is_foreign_quote(c) && !is_double(c) }
        };
        let close = inner.find(|c| closes(c) || crate::chars::is_newline(c));
        let (text, end) = match close.and_then(|at| Some((at, inner[at..].chars().next()?))) {
            Some((at, c)) if closes(c) => (&inner[..at], token.start + open.len_utf8() + at + c.len_utf8()),
            _ => (&self.text[token.start + open.len_utf8()..token.end], token.end),
        };
        self.lexer.jump_to(end);
        self.advance();
        self.problems.add(token.start..end, |span| {
            Problem::error(
                "F0024",
                span,
                format!("a text stands between straight quotes `\"`, not after `{open}`"),
            )
            .with_remedy(format!("write `\"{}\"`", shorten(text)))
        });
        (Value::String(text.to_owned()), token.start..end)
    }

    /// A word that needs quotes.
    pub(super) fn bad_word(&mut self) -> (String, Range<usize>) {
        let token = self.token;
        let word = self.slice(token);
        self.advance();
        self.problems.add(token.start..token.end, |span| {
            let bad = word.chars().find(|c| matches!(c, '[' | ']' | '/' | '#')).unwrap_or('/');
            Problem::error("F0022", span, format!("a text with `{bad}` in it needs quotes"))
                .with_remedy(format!("write `\"{}\"`", shorten(word)))
        });
        (word.to_owned(), token.start..token.end)
    }

    /// `(kind)`, if there is one.
    pub(super) fn annotation(&mut self) -> Option<Text> {
        if self.token.kind != Kind::ParenOpen {
            return None;
        }
        let open = self.token;
        self.advance();
        self.skip_node_space();
        let inner = match self.token.kind {
            Kind::Word | Kind::BadWord | Kind::Quoted(_) => self.value(false),
            _ => None,
        };
        self.skip_node_space();
        let closed = self.token.kind == Kind::ParenClose;
        let text = match inner {
            Some(Entry { value: Value::String(text), span, .. }) if closed => Some(Text { text, span }),
            _ => None,
        };
        if text.is_none() {
            let remedy = "write one word between the brackets, or put all of it in quotes";
            self.report(
                "F0020",
                open.start..open.end,
                "brackets hold the kind of what follows, one word",
                remedy,
            );
        }
        if closed {
            self.advance();
            self.skip_node_space();
        }
        text
    }
}

/// Whether, after the token at hand, an `=` follows that makes it the name of a property.
fn equals_follows(mut ahead: Lexer<'_>) -> bool {
    loop {
        match ahead.next().kind {
            Kind::Equals => return true,
            Kind::Space | Kind::BlockComment { closed: true } => {}
            Kind::Continuation => {
                let mut line = ahead;
                loop {
                    match line.next().kind {
                        Kind::Space | Kind::BlockComment { closed: true } | Kind::LineComment => {}
                        Kind::Newline => break,
                        _ => return false,
                    }
                }
                ahead = line;
            }
            _ => return false,
        }
    }
}

/// A value where a name should be.
fn bad_name(word: &str, span: Range<usize>) -> Option<Problem> {
    (crate::chars::is_reserved(word) || crate::chars::looks_like_number(word)).then(|| {
        Problem::error("F0013", span, format!("`{}` cannot be the name of a property", shorten(word)))
            .with_remedy("begin the name with a letter")
    })
}
