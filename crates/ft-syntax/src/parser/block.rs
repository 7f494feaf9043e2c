//! Braces: the children of a node, and what is wrong when braces do not match.

use ft_diag::{Problem, shorten};

use super::{DEEPEST, Parser};
use crate::lexer::Kind;
use crate::tree::{Node, Text};

/// A brace, and how far the line on which it stands is indented.
#[derive(Debug, Clone)]
pub(super) struct Brace {
    at: usize,
    indent: usize,
    /// The node that an opening brace belongs to.
    name: String,
}

impl Parser<'_> {
    /// The braces of a node and what is in them.
    pub(super) fn children(&mut self, node: &mut Node, depth: usize) {
        let open = self.brace(&node.name.text);
        self.advance();
        let mut nodes = Vec::new();
        if depth < DEEPEST {
            nodes = self.nodes(depth + 1);
        } else {
            let message = format!("braces are nested deeper than {DEEPEST} levels here");
            self.report(
                "F0017",
                open.at..open.at + 1,
                &message,
                "close the braces that are no longer needed",
            );
            self.skip_block();
        }
        let end = if self.token.kind == Kind::Close {
            self.note_crooked(&open);
            self.advance_past_close()
        } else {
            self.unclosed(&open);
            self.token.start
        };
        node.children.get_or_insert_default().extend(nodes);
        node.block.get_or_insert(open.at..end);
    }

    fn advance_past_close(&mut self) -> usize {
        let end = self.token.end;
        self.advance();
        end
    }

    fn brace(&self, name: &str) -> Brace {
        Brace { at: self.token.start, indent: self.indent, name: shorten(name) }
    }

    /// Goes to the brace that closes the block at hand, however deep what is between.
    fn skip_block(&mut self) {
        let mut open = 0_usize;
        loop {
            match self.token.kind {
                Kind::End => return,
                Kind::Close if open == 0 => return,
                Kind::Close => open -= 1,
                Kind::Open => open += 1,
                _ => {}
            }
            self.advance();
        }
    }

    /// Remembers the first closing brace that begins a line and does not stand under its opening line:
    /// the likeliest place of a brace too few or too many.
    fn note_crooked(&mut self, open: &Brace) {
        if self.crooked.is_none() && self.line_is_blank && self.indent != open.indent {
            self.crooked = Some((open.clone(), self.brace("")));
        }
    }

    fn unclosed(&mut self, open: &Brace) {
        if self.end_is_explained {
            return;
        }
        self.end_is_explained = true;
        let (blamed, also) = match &self.crooked {
            Some((open, close)) if close.indent < open.indent => (open.clone(), Some(close.at)),
            _ => (open.clone(), None),
        };
        self.problems.add(blamed.at..blamed.at + 1, |span| {
            let remedy = format!("write `}}` after the last line that belongs to `{}`", blamed.name);
            let problem =
                Problem::error("F0011", span, format!("the braces of `{}` are never closed", blamed.name))
                    .with_remedy(remedy);
            match also {
                Some(at) => {
                    problem.with_also(at..at + 1, "this was taken for their end, but it stands further left")
                }
                None => problem,
            }
        });
    }

    /// A closing brace with nothing to close.
    pub(super) fn stray_close(&mut self) {
        let at = self.token.start..self.token.end;
        let early = self.crooked.take().filter(|(open, close)| close.indent > open.indent);
        self.problems.add(at, |span| {
            let problem = Problem::error("F0012", span, "this `}` closes nothing");
            match early {
                Some((_, close)) => problem
                    .with_also(close.at..close.at + 1, "this stands further right than what it closes")
                    .with_remedy("take away the one that is too many"),
                None => problem.with_remedy("take it away, or write the `{` that it belongs to"),
            }
        });
        self.advance();
    }

    /// A line that begins with `{`: read as the children of the node before it, where that has none.
    pub(super) fn block_without_node(&mut self, before: Option<&mut Node>, depth: usize) {
        let at = self.token.start..self.token.end;
        let message = "a `{` belongs on the line of its node";
        self.report("F0026", at.clone(), message, "write it behind the node: `step \"Flush\" {`");
        let mut bin = Node::named(Text { text: "{".to_owned(), span: at });
        match before {
            Some(node) if node.block.is_none() => {
                self.children(node, depth);
                node.span.end = node.block.as_ref().map_or(node.span.end, |block| block.end);
            }
            _ => self.children(&mut bin, depth),
        }
    }
}
