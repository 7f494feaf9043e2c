//! Values and properties, and the kind in brackets before them.

use std::ops::Range;

use ft_diag::{Problem, shorten};

use super::Parser;
use crate::chars::{is_disallowed, is_foreign_quote, is_word};
use crate::lexer::{Kind, Lexer, Quotes};
use crate::tidy::quote;
use crate::tree::{Entry, Node, Property, Text, Value};
use crate::{quoted, value};

impl Parser<'_> {
    /// A value or a property; puts it into the node and says where it ended.
    pub(super) fn entry(&mut self, node: &mut Node) -> Option<usize> {
        if !self.count_item() {
            return None;
        }
        let annotation = self.annotation();
        let is_name = matches!(self.token.kind, Kind::Word | Kind::BadWord | Kind::Foreign | Kind::Quoted(_));
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
        if self.token.kind == Kind::Equals {
            self.report("F0013", self.token.start..self.token.end, "one `=` is enough", "take one away");
            self.advance();
            self.skip_node_space();
        }
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
        !matches!(
            self.token.kind,
            Kind::Word | Kind::BadWord | Kind::Foreign | Kind::Keyword | Kind::Quoted(_)
        )
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
            Kind::Foreign => {
                let (text, span) = self.foreign();
                entry(Value::String(text), false, span)
            }
            Kind::Quoted(quotes) => {
                let (text, span) = self.quoted(quotes);
                entry(Value::String(text), false, span)
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

    /// The text of the quoted token at hand.
    pub(super) fn quoted(&mut self, quotes: Quotes) -> (String, Range<usize>) {
        let token = self.token;
        self.end_is_explained |= quotes.multi && !quotes.closed;
        let text = quoted::read(self.text, token, quotes, &mut self.problems);
        self.advance();
        (text, token.start..token.end)
    }

    fn keyword(&mut self) -> Value {
        let token = self.token;
        let said = self.slice(token);
        self.advance();
        if let Some(value) = value::of_keyword(said) {
            return value;
        }
        self.problems.add(token.start..token.end, |span| unknown_keyword(&shorten(said), span));
        if said == "#" {
            self.skip_line();
        }
        Value::String(said.to_owned())
    }

    /// Goes to the end of the line, over what was meant as a comment.
    pub(super) fn skip_line(&mut self) {
        while !matches!(self.token.kind, Kind::Newline | Kind::LineComment | Kind::End) {
            self.advance();
        }
    }

    /// The value of the word at hand.
    pub(super) fn value_of_word(&mut self) -> (Value, Range<usize>) {
        let token = self.token;
        self.advance();
        let value = value::of_word(self.slice(token), token.start, &mut self.problems);
        (value, token.start..token.end)
    }

    /// `“Stop”`: the text between the marks.
    pub(super) fn foreign(&mut self) -> (String, Range<usize>) {
        let token = self.token;
        let mut said = self.slice(token).chars();
        let open = said.next().unwrap_or('“');
        let inner = said.as_str();
        let inner = inner.strip_suffix(|c| c == '"' || is_foreign_quote(c)).unwrap_or(inner);
        self.advance();
        self.problems.add(token.start..token.end, |span| {
            let message = format!("a text stands between straight quotes `\"`, not after `{open}`");
            Problem::error("F0024", span, message).with_remedy(format!("write `\"{}\"`", shorten(inner)))
        });
        (inner.to_owned(), token.start..token.end)
    }

    /// A word that needs quotes.
    pub(super) fn bad_word(&mut self) -> (String, Range<usize>) {
        let token = self.token;
        let word = self.slice(token);
        self.advance();
        if !word.contains(is_disallowed) {
            self.problems.add(token.start..token.end, |span| needs_quotes(word, span));
        }
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
            Kind::Word | Kind::BadWord | Kind::Foreign | Kind::Quoted(_) => self.value(false),
            _ => None,
        };
        self.skip_node_space();
        let closed = self.token.kind == Kind::ParenClose;
        let text = match inner {
            Some(Entry { value: Value::String(text), span, .. }) if closed => Some(Text { text, span }),
            _ => None,
        };
        if text.is_none() {
            let message = "brackets hold the kind of what follows, one word";
            let remedy = "write one word between the brackets, or put all of it in quotes";
            self.report("F0020", open.start..open.end, message, remedy);
            self.skip_brackets();
        }
        if self.token.kind == Kind::ParenClose {
            self.advance();
            self.skip_node_space();
        }
        text
    }

    /// Goes to the closing bracket, if there is one before the end of the node.
    fn skip_brackets(&mut self) {
        while !matches!(
            self.token.kind,
            Kind::ParenClose
                | Kind::Newline
                | Kind::LineComment
                | Kind::Semicolon
                | Kind::Open
                | Kind::Close
                | Kind::End
        ) {
            self.advance();
        }
    }
}

/// Whether, after the token at hand, an `=` follows that makes it the name of a property.
pub fn equals_follows(mut ahead: Lexer<'_>) -> bool {
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

fn needs_quotes(word: &str, span: Range<usize>) -> Problem {
    let bad = word.chars().find(|c| !is_word(*c)).unwrap_or('/');
    let remedy = if word.starts_with('[') || word.ends_with(']') {
        "a list has no brackets: write its values one after the other".to_owned()
    } else {
        format!("write `{}`", quote(&shorten(word)))
    };
    Problem::error("F0022", span, format!("a text with `{bad}` in it needs quotes")).with_remedy(remedy)
}

pub fn unknown_keyword(said: &str, span: Range<usize>) -> Problem {
    if said == "#" {
        return Problem::error("F0010", span, "a `#` alone means nothing")
            .with_remedy("a comment begins with `//`");
    }
    let remedy = match ft_diag::nearest(said, ["#true", "#false", "#null", "#inf", "#-inf", "#nan"]) {
        Some(near) => format!("write `{near}`, or put the text in quotes: `\"{said}\"`"),
        None => format!("put the text in quotes: `\"{said}\"`"),
    };
    Problem::error("F0010", span, format!("there is no value called `{said}`")).with_remedy(remedy)
}

/// A value where a name should be.
fn bad_name(word: &str, span: Range<usize>) -> Option<Problem> {
    (crate::chars::is_reserved(word) || crate::chars::looks_like_number(word)).then(|| {
        Problem::error("F0013", span, format!("`{}` cannot be the name of a property", shorten(word)))
            .with_remedy("begin the name with a letter")
    })
}
