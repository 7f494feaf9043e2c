//! What follows the name of a node: values, properties, things left out, braces.

use std::ops::Range;

use ft_diag::Problem;

use super::Parser;
use crate::lexer::Kind;
use crate::tree::{Node, Text};

impl Parser<'_> {
    /// Reads up to what ends the node, and says where its last part ended.
    pub(super) fn rest_of_node(&mut self, node: &mut Node, depth: usize) -> usize {
        let mut end = self.token.start;
        let mut braces_seen = false;
        let mut told_after_braces = false;
        let mut glued = Vec::new();
        loop {
            let spaced = self.skip_node_space();
            match self.token.kind {
                Kind::Newline | Kind::LineComment | Kind::Semicolon | Kind::Close | Kind::End => {
                    self.report_glued(&glued);
                    return end;
                }
                Kind::Open => {
                    if node.block.is_some() && !told_after_braces {
                        let at = self.token.start..self.token.end;
                        let remedy = "put all children of a node between one pair of braces";
                        self.report("F0025", at, "this node has braces already", remedy);
                    }
                    self.children(node, depth);
                    braces_seen = true;
                    end = self.token.start;
                    continue;
                }
                Kind::Slashdash => {
                    if !spaced {
                        glued.push(self.token.start..self.token.end);
                    }
                    let was_braces;
                    (was_braces, end) = self.left_out_part(&node.name.text, depth);
                    if braces_seen && !was_braces {
                        let message = "of a node, only braces can be left out after its closing brace";
                        self.report("F0025", end..end, message, "move what is left out before the `{`");
                    }
                    braces_seen |= was_braces;
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
            } else if !spaced && !self.text[..at.start].ends_with('=') {
                glued.push(at);
            }
            end = self.entry(node).unwrap_or(end);
        }
    }

    /// Reports values that follow one another without a space.
    ///
    /// Where the line also has a text without closing quote, one missing quote explains both.
    fn report_glued(&mut self, glued: &[Range<usize>]) {
        let Some(first) = glued.first() else { return };
        if let Some(unclosed) = self.problems.last_told()
            && unclosed.code == "F0003"
            && unclosed.span.start >= first.start
        {
            if unclosed.span.start > first.start {
                let why = "or a quote is missing before this".to_owned();
                unclosed.also = Some((first.start..first.start, why));
            } else {
                *unclosed = Problem::error(
                    "F0003",
                    unclosed.span.clone(),
                    "this quote closes a text that never began",
                )
                .with_remedy("write `\"` where the text begins");
            }
            return;
        }
        for at in glued {
            let before = self.text[..at.start].chars().next_back();
            if before == Some('r') && self.text[at.start..].starts_with(['"', '#']) {
                self.report(
                    "F0023",
                    at.start - 1..at.end,
                    "a text without escapes no longer begins with `r`",
                    "write `#\"` before and `\"#` after a text without escapes",
                );
            } else if before == Some(':') {
                let message = "a property is written with `=`, not with `:`";
                self.report(
                    "F0013",
                    at.start - 1..at.start,
                    message,
                    "write `name=value`, as in `at=\"front\"`",
                );
            } else if self.text[at.start..].starts_with(',') {
                let message = "values are kept apart by a space, without a comma";
                self.report("F0015", at.start..at.start + 1, message, "take the comma away");
            } else {
                let message = "a space is missing here";
                self.report("F0015", at.start..at.start, message, "write a space between two values");
            }
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

    /// `/-` within a node: a value, a property or braces that are left out.
    ///
    /// Says whether it was braces, and where it ended.
    fn left_out_part(&mut self, name: &str, depth: usize) -> (bool, usize) {
        let sign = self.token.start..self.token.end;
        self.advance();
        self.skip_line_space();
        // A throw-away node takes what is left out.
        let mut bin = Node::named(Text { text: name.to_owned(), span: sign.clone() });
        match self.token.kind {
            Kind::Open => {
                self.children(&mut bin, depth);
                (true, self.token.start)
            }
            Kind::Word
            | Kind::BadWord
            | Kind::Foreign
            | Kind::Keyword
            | Kind::Quoted(_)
            | Kind::ParenOpen => (false, self.entry(&mut bin).unwrap_or(sign.end)),
            _ => {
                let end = sign.end;
                self.nothing_left_out(sign);
                (false, end)
            }
        }
    }
}
