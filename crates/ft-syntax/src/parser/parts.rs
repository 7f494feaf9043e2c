//! What follows the name of a node: values, properties, things left out, braces.

use std::ops::Range;

use ft_diag::Problem;

use super::Parser;
use crate::lexer::Kind;
use crate::tree::{Node, Text};

/// Whether the closing brace of a node has come, and whether it was told that something follows it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum AfterBraces {
    No,
    Yes,
    Told,
}

impl Parser<'_> {
    /// Reads up to what ends the node, and says where its last part ended.
    pub(super) fn rest_of_node(&mut self, node: &mut Node, depth: usize) -> usize {
        let mut end = self.token.start;
        let mut after_braces = AfterBraces::No;
        let mut glued = Vec::new();
        loop {
            let spaced = self.skip_node_space();
            let at = self.token.start..self.token.end;
            match self.token.kind {
                Kind::Newline | Kind::LineComment | Kind::Semicolon | Kind::Close | Kind::End => {
                    self.report_glued(&glued);
                    return end;
                }
                Kind::Open => {
                    if node.block.is_some() && after_braces != AfterBraces::Told {
                        let remedy = "put all children of a node between one pair of braces";
                        self.report("F0025", at, "this node has braces already", remedy);
                    }
                    self.children(node, depth);
                    after_braces = after_braces.max(AfterBraces::Yes);
                    end = self.token.start;
                }
                Kind::Slashdash => {
                    if !spaced {
                        glued.push(at);
                    }
                    let was_braces;
                    (was_braces, end) = self.left_out_part(&node.name.text, depth);
                    if was_braces {
                        after_braces = after_braces.max(AfterBraces::Yes);
                    } else {
                        self.report_after_braces(end..end, &mut after_braces);
                    }
                }
                Kind::Equals => self.stray_equals(),
                Kind::ParenClose => self.stray_bracket(),
                Kind::Word
                | Kind::BadWord
                | Kind::Foreign
                | Kind::Keyword
                | Kind::Quoted(_)
                | Kind::ParenOpen => {
                    if after_braces == AfterBraces::No && !spaced && !self.text[..at.start].ends_with('=') {
                        glued.push(at.clone());
                    }
                    self.report_after_braces(at, &mut after_braces);
                    end = self.entry(node).unwrap_or(end);
                }
                // `skip_node_space` has gone past these.
                Kind::Space | Kind::BlockComment { .. } | Kind::Continuation => {}
            }
        }
    }

    /// Reports, once for a node, that more of it follows its closing brace.
    fn report_after_braces(&mut self, at: Range<usize>, after_braces: &mut AfterBraces) {
        if *after_braces == AfterBraces::Yes {
            let message = "nothing more of a node can follow its closing brace";
            self.report("F0025", at, message, "begin a new line after the `}`, or move this before the `{`");
            *after_braces = AfterBraces::Told;
        }
    }

    /// A closing bracket with nothing to close.
    pub(super) fn stray_bracket(&mut self) {
        let at = self.token.start..self.token.end;
        self.report("F0020", at, "this `)` closes nothing", "take it away, or put the text in quotes");
        self.advance();
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
