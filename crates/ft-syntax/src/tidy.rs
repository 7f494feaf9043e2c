//! Formats a text: one node a line, four spaces a level, every comment where it stood.
//! A single child that was written on the line of its parent stays there: `place "sink" { label es "fregadero" }`.
//!
//! Works on tokens, not on the tree: so nothing that the tree does not hold can get lost. What is written
//! the same way everywhere: names without quotes where they can be, texts of properties in quotes, texts
//! over several lines indented with their node. What stays the author's: quotes of arguments (`kit` is a
//! flag, `"left"` a text), lines broken with `\`, and single empty lines between nodes.

mod texts;

use ft_diag::Problem;
pub use texts::quote;

use crate::dedent::split_lines;
use crate::lexer::{Kind, Lexer, Token};
use crate::parser::{equals_follows, parse};

/// The same text in the one format of Fulltray. What it means stays the same, and so does every comment.
///
/// Formatting twice gives the same as once. Linear in the length of the text.
///
/// # Errors
/// The problems of the text, if it has any: what cannot be read cannot be formatted.
///
/// ```
/// let tidy = ft_syntax::tidy("step  \"Flush\" at=front{open draw // left\n}").expect("it is a good text");
/// assert_eq!(tidy, "step \"Flush\" at=\"front\" {\n    open draw // left\n}\n");
/// ```
pub fn tidy(text: &str) -> Result<String, Vec<Problem>> {
    let problems = parse(text).problems;
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut page = Page { out: String::with_capacity(text.len()), ..Page::default() };
    let mut lexer = Lexer::new(text);
    loop {
        let token = lexer.next();
        if token.kind == Kind::End {
            return Ok(page.finish());
        }
        page.token(text, token, lexer);
    }
}

/// A `\` that has been read and not yet written: it is needed only if its node goes on.
#[derive(Default)]
struct Carry<'t> {
    /// Line comments behind it, and behind others that follow it.
    comments: Vec<&'t str>,
    /// The end of its line has been read too.
    broken: bool,
}

/// What has been written, and what must be known of it to write on.
///
/// Line ends are written late, by what comes on the next line.
#[derive(Default)]
#[allow(clippy::struct_excessive_bools, reason = "each is a plain fact about the text so far")]
struct Page<'t> {
    out: String,
    /// Braces that are open.
    level: usize,
    /// Line ends read since the last thing written.
    line_ends: usize,
    /// A node has begun and not ended.
    in_node: bool,
    /// The node that has begun has its name.
    named: bool,
    /// Between round brackets.
    in_brackets: bool,
    /// The last thing written was an `=`, perhaps with a kind in brackets: a value of a property follows.
    after_equals: bool,
    /// The last thing written was a `/-`: line ends mean nothing.
    leaving_out: bool,
    /// No space goes before the next part.
    glue: bool,
    /// The last thing written was a `{`.
    opened: bool,
    /// Between braces that stay on one line.
    inline: bool,
    /// The last thing written was a line comment.
    must_break: bool,
    /// On the line are only comments.
    only_comments: bool,
    carry: Option<Carry<'t>>,
}

impl<'t> Page<'t> {
    fn token(&mut self, text: &'t str, token: Token, ahead: Lexer<'t>) {
        let said = &text[token.start..token.end];
        match token.kind {
            Kind::Space | Kind::End => {}
            Kind::Newline => self.line_end(),
            Kind::Semicolon => self.end_node(),
            Kind::Continuation => {
                if self.in_node && !self.leaving_out {
                    self.carry.get_or_insert_default().broken = false;
                }
            }
            Kind::LineComment => self.line_comment(said.trim_end()),
            Kind::BlockComment { .. } => self.block_comment(said),
            Kind::Slashdash => {
                self.begin_part();
                self.put("/-");
                self.leaving_out = true;
            }
            Kind::Open => {
                self.begin_part();
                self.put("{");
                self.level += 1;
                self.in_node = false;
                self.opened = true;
                self.inline = holds_one_node_on_its_line(ahead);
            }
            Kind::Close => self.close(),
            Kind::ParenOpen => {
                self.begin_part();
                self.put("(");
                self.in_brackets = true;
                self.glue = true;
            }
            Kind::ParenClose => {
                self.flush_carry();
                self.put(")");
                self.in_brackets = false;
                self.glue = true;
            }
            Kind::Equals => {
                self.flush_carry();
                self.put("=");
                self.after_equals = true;
                self.glue = true;
            }
            Kind::Word | Kind::BadWord | Kind::Foreign | Kind::Keyword | Kind::Quoted(_) => {
                self.begin_part();
                let is_name = self.in_brackets || !self.named || equals_follows(ahead);
                let indent = self.level + 1;
                let written = if is_name {
                    texts::name(text, token, indent)
                } else if self.after_equals {
                    texts::of_property(text, token, indent)
                } else {
                    texts::argument(text, token, indent)
                };
                self.named |= !self.in_brackets;
                self.after_equals &= self.in_brackets;
                self.put(&written);
            }
        }
    }

    fn put(&mut self, text: &str) {
        self.out.push_str(text);
        self.line_ends = 0;
        self.opened = false;
        self.leaving_out = false;
        self.glue = false;
    }

    fn break_line(&mut self, level: usize) {
        self.out.push('\n');
        self.out.extend(std::iter::repeat_n("    ", level));
        self.must_break = false;
        self.only_comments = false;
    }

    /// A new line for a node or comment, after an empty one where the author left some.
    fn new_line(&mut self) {
        if self.out.is_empty() {
            return;
        }
        if self.line_ends > 1 && !self.opened {
            self.out.push('\n');
        }
        self.break_line(self.level);
    }

    /// Gets ready for a part of a node, or for its beginning.
    fn begin_part(&mut self) {
        if !self.in_node {
            if self.inline || self.only_comments && self.line_ends == 0 && !self.must_break {
                self.out.push(' ');
            } else {
                self.new_line();
            }
            self.only_comments = false;
            self.in_node = true;
            self.named = false;
        } else if self.carry.is_some() {
            self.flush_carry();
        } else if self.must_break {
            self.break_line(self.level + 1);
        } else if !self.glue {
            self.out.push(' ');
        }
    }

    /// Writes the `\` that is needed, since the node goes on.
    fn flush_carry(&mut self) {
        let Some(carry) = self.carry.take() else { return };
        self.out.push_str(" \\");
        for (index, comment) in carry.comments.iter().enumerate() {
            if index > 0 {
                self.break_line(self.level + 1);
                self.out.push('\\');
            }
            self.out.push(' ');
            self.out.push_str(comment);
        }
        self.break_line(self.level + 1);
    }

    fn line_end(&mut self) {
        match &mut self.carry {
            Some(carry) if !carry.broken => {
                carry.broken = true;
                return;
            }
            _ => {}
        }
        if !self.leaving_out {
            self.end_node();
            self.line_ends += 1;
        }
    }

    fn end_node(&mut self) {
        self.in_node = false;
        for (index, comment) in self.carry.take().unwrap_or_default().comments.iter().enumerate() {
            if index > 0 {
                self.break_line(self.level);
            } else {
                self.out.push(' ');
            }
            self.out.push_str(comment);
            self.must_break = true;
        }
    }

    fn close(&mut self) {
        self.end_node();
        self.level = self.level.saturating_sub(1);
        if self.inline {
            self.out.push(' ');
        } else if !self.opened {
            self.break_line(self.level);
        }
        self.inline = false;
        self.put("}");
        self.in_node = true;
        self.named = true;
    }

    fn line_comment(&mut self, said: &'t str) {
        match &mut self.carry {
            Some(carry) if !carry.broken => {
                carry.comments.push(said);
                return;
            }
            _ => {}
        }
        let leaving_out = self.leaving_out;
        if !leaving_out {
            self.end_node();
        }
        if self.must_break && leaving_out {
            self.break_line(self.level + 1);
        } else if self.must_break || self.line_ends > 0 {
            self.new_line();
        } else if !self.out.is_empty() {
            self.out.push(' ');
        }
        self.put(said);
        self.must_break = true;
        self.leaving_out = leaving_out;
    }

    fn block_comment(&mut self, said: &'t str) {
        let (leaving_out, after_equals) = (self.leaving_out, self.after_equals);
        if self.in_node {
            if self.carry.as_ref().is_some_and(|carry| carry.broken) {
                self.flush_carry();
            } else if self.must_break {
                self.break_line(self.level + 1);
            } else if !self.glue {
                self.out.push(' ');
            }
        } else if self.must_break || self.line_ends > 0 || self.out.is_empty() {
            self.new_line();
            self.only_comments = true;
        } else {
            self.out.push(' ');
        }
        self.put(&split_lines(said).join("\n"));
        (self.leaving_out, self.after_equals) = (leaving_out, after_equals);
    }

    fn finish(mut self) -> String {
        self.end_node();
        if !self.out.is_empty() {
            self.out.push('\n');
        }
        self.out
    }
}

/// Whether, after an opening brace, one node without comments and braces of its own stands before the
/// closing one, all on one line.
fn holds_one_node_on_its_line(mut ahead: Lexer<'_>) -> bool {
    let mut has_node = false;
    let mut has_ended = false;
    loop {
        match ahead.next().kind {
            Kind::Space => {}
            Kind::Close => return has_node,
            Kind::Semicolon if has_node && !has_ended => has_ended = true,
            Kind::Word | Kind::Keyword | Kind::Equals | Kind::ParenOpen | Kind::ParenClose if !has_ended => {
                has_node = true;
            }
            Kind::Quoted(quotes) if !quotes.multi && !has_ended => has_node = true,
            _ => return false,
        }
    }
}
