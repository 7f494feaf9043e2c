//! Builds the tree, reporting what is wrong and going on behind it.
//!
//! One token of look-ahead, each token looked at a bounded number of times: the time is linear in the
//! length of the text whatever it holds. Nesting is bounded, so that recursion is too.

mod block;
mod entry;
mod node;
mod parts;

use std::ops::Range;

use ft_diag::{Collector, Problem};

use crate::chars::is_disallowed;
use crate::lexer::{Kind, Lexer, Token};
use crate::tree::{Document, Node};
use block::Brace;
pub use entry::equals_follows;

/// Deepest nesting of braces; a machine file needs five or six.
pub const DEEPEST: usize = 64;

/// Most nodes and values of a text; the largest machine that we know of needs a hundredth of it.
pub const MOST_ITEMS: usize = 500_000;

/// What came of a text.
#[derive(Debug, Clone, PartialEq)]
pub struct Parsed {
    /// All that could be read. What has a problem is left out or holds the best guess.
    pub document: Document,
    /// What is wrong, in the order of the text; empty for a good text.
    pub problems: Vec<Problem>,
}

/// Reads a text. Never fails and never panics; linear in its length.
///
/// At most 100 problems are told, with one more that says how many are left.
///
/// ```
/// let parsed = ft_syntax::parse("step \"Flush\" time=\"3 min\" { switch drive to=off }");
/// assert!(parsed.problems.is_empty());
/// assert_eq!(parsed.document.nodes[0].children()[0].name.text, "switch");
///
/// let parsed = ft_syntax::parse("step \"Flush { }");
/// assert_eq!(parsed.problems[0].code, "F0003");
/// ```
pub fn parse(text: &str) -> Parsed {
    let mut parser = Parser::new(text);
    parser.report_disallowed();
    let nodes = parser.nodes(0);
    Parsed { document: Document { nodes }, problems: parser.problems.finish("F0027") }
}

struct Parser<'t> {
    text: &'t str,
    lexer: Lexer<'t>,
    token: Token,
    problems: Collector,
    /// Nodes and values that may still come.
    items_left: usize,
    /// Indentation of the line, in characters, and whether nothing but space has stood on it so far.
    indent: usize,
    line_is_blank: bool,
    /// The first closing brace that does not stand under the line of its opening one.
    crooked: Option<(Brace, Brace)>,
    /// The end of the text has been explained, by something unclosed or by too many items.
    end_is_explained: bool,
}

impl<'t> Parser<'t> {
    fn new(text: &'t str) -> Self {
        let mut lexer = Lexer::new(text);
        let token = lexer.next();
        let mut parser = Self {
            text,
            lexer,
            token,
            problems: Collector::default(),
            items_left: MOST_ITEMS,
            indent: 0,
            line_is_blank: true,
            crooked: None,
            end_is_explained: false,
        };
        parser.note_line();
        parser
    }

    /// Goes on to the next token.
    fn advance(&mut self) {
        if self.token.kind == Kind::Newline {
            self.indent = 0;
            self.line_is_blank = true;
        } else if self.token.kind != Kind::Space {
            self.line_is_blank = false;
        }
        self.token = self.lexer.next();
        self.note_line();
    }

    fn note_line(&mut self) {
        if self.token.kind == Kind::Space && self.line_is_blank {
            self.indent = self.slice(self.token).chars().count();
        }
        if self.token.kind == (Kind::BlockComment { closed: false }) {
            self.end_is_explained = true;
            self.problems.add(self.token.start..self.token.start + 2, |span| {
                Problem::error(
                    "F0016",
                    span,
                    "this comment is never closed: the rest of the file belongs to it",
                )
                .with_remedy("write `*/` where the comment ends")
            });
        }
    }

    fn slice(&self, token: Token) -> &'t str {
        &self.text[token.start..token.end]
    }

    fn report(&mut self, code: &'static str, span: Range<usize>, message: &str, remedy: &str) {
        self.problems.add(span, |span| Problem::error(code, span, message).with_remedy(remedy));
    }

    /// One problem for each run of characters that may not stand in a text at all.
    fn report_disallowed(&mut self) {
        let text = self.text;
        let mut from = if text.starts_with('\u{FEFF}') { 3 } else { 0 };
        while let Some(found) = text[from..].find(is_disallowed) {
            let start = from + found;
            let length = text[start..].find(|c| !is_disallowed(c)).unwrap_or(text.len() - start);
            from = start + length;
            self.problems.add(start..from, |span| disallowed(&text[span.clone()], span));
        }
    }

    /// Takes one node or value off what may still come; where nothing is left, says so and ends the reading.
    fn count_item(&mut self) -> bool {
        if self.items_left > 0 {
            self.items_left -= 1;
            return true;
        }
        if !self.end_is_explained {
            let message = format!("this file has more than {MOST_ITEMS} nodes and values");
            self.report("F0028", self.token.start..self.token.end, &message, "split it into several files");
            self.end_is_explained = true;
        }
        self.lexer.jump_to(self.text.len());
        self.advance();
        false
    }

    /// Skips spaces, comments, line ends and semicolons between nodes.
    fn skip_line_space(&mut self) {
        loop {
            match self.token.kind {
                Kind::Space | Kind::Newline | Kind::LineComment | Kind::BlockComment { .. } => self.advance(),
                Kind::Continuation => self.continuation(),
                _ => return,
            }
        }
    }

    /// Skips spaces, comments and continued line ends within a node; says whether there were any.
    fn skip_node_space(&mut self) -> bool {
        let before = self.token.start;
        loop {
            match self.token.kind {
                Kind::Space | Kind::BlockComment { .. } => self.advance(),
                Kind::Continuation => self.continuation(),
                _ => return self.token.start > before,
            }
        }
    }

    /// `\` and the end of the line that it takes away.
    fn continuation(&mut self) {
        let sign = self.token;
        self.advance();
        while matches!(self.token.kind, Kind::Space | Kind::BlockComment { .. }) {
            self.advance();
        }
        if self.token.kind == Kind::LineComment {
            self.advance();
        }
        match self.token.kind {
            Kind::Newline => self.advance(),
            Kind::End => {}
            _ => self.report(
                "F0019",
                sign.start..sign.end,
                "a `\\` outside quotes carries a node on to the next line, but the line does not end here",
                "end the line after the `\\`, take it away, or put the text in quotes",
            ),
        }
    }

    /// Nodes up to a closing brace or the end.
    fn nodes(&mut self, depth: usize) -> Vec<Node> {
        let mut nodes: Vec<Node> = Vec::new();
        loop {
            self.skip_line_space();
            match self.token.kind {
                Kind::End => return nodes,
                Kind::Close if depth > 0 => return nodes,
                Kind::Close => self.stray_close(),
                Kind::Semicolon => self.advance(),
                Kind::Open => self.block_without_node(nodes.last_mut(), depth),
                Kind::Slashdash => self.left_out_node(depth),
                _ => nodes.extend(self.node(depth)),
            }
        }
    }

    fn left_out_node(&mut self, depth: usize) {
        let sign = self.token.start..self.token.end;
        self.advance();
        self.skip_line_space();
        match self.token.kind {
            Kind::End | Kind::Close | Kind::Open | Kind::Semicolon | Kind::Slashdash => {
                self.nothing_left_out(sign);
            }
            _ => drop(self.node(depth)),
        }
    }

    fn nothing_left_out(&mut self, sign: Range<usize>) {
        self.report(
            "F0018",
            sign,
            "`/-` leaves out what follows it, but nothing follows that could be left out",
            "write `/-` straight before a node, a value, a property or the braces of a node; `//` begins a comment",
        );
    }
}

fn disallowed(run: &str, span: Range<usize>) -> Problem {
    let code = run.chars().next().map_or(0, u32::from);
    let (what, remedy) = match code {
        0 => ("a NUL", "this may be no text file, or one saved as UTF-16; save it as plain UTF-8 text"),
        0xFEFF => ("a byte-order mark", "take it away; it may stand only at the start of a file"),
        0x200E.. => (
            "an unseen mark for the direction of writing",
            "take it away; inside quotes it can be written as an escape",
        ),
        _ => ("an unseen control character", "take it away; inside quotes it can be written as an escape"),
    };
    let count = run.chars().count();
    let message = if count == 1 {
        format!("{what} (U+{code:04X}) may not stand in a text")
    } else {
        format!("{count} unseen characters, the first of them {what} (U+{code:04X}), may not stand in a text")
    };
    Problem::error("F0002", span, message).with_remedy(remedy)
}
