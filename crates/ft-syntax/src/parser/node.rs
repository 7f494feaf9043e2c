//! A node: its name, and what must hold of it as a whole.

use std::ops::Range;

use ft_diag::{Problem, shorten};

use super::{Parser, entry};
use crate::chars::is_reserved;
use crate::lexer::Kind;
use crate::tree::{Node, Text, Value};

impl Parser<'_> {
    /// A node; none where it has no name that could be used.
    pub(super) fn node(&mut self, depth: usize) -> Option<Node> {
        if !self.count_item() {
            return None;
        }
        let start = self.token.start;
        let annotation = self.annotation();
        let name = self.node_name();
        let named = name.is_some();
        let mut node = Node::named(name.unwrap_or(Text { text: String::new(), span: start..start }));
        node.annotation = annotation;
        node.span.start = start;
        let end = self.rest_of_node(&mut node, depth);
        node.span.end = end;
        self.report_twice(&node);
        named.then_some(node)
    }

    fn node_name(&mut self) -> Option<Text> {
        let token = self.token;
        let span = token.start..token.end;
        match token.kind {
            Kind::Word if !is_reserved(self.slice(token)) => match self.value_of_word() {
                (Value::String(text), span) => return Some(Text { text, span }),
                (_, span) => {
                    let message = format!(
                        "a node begins with its name, but `{}` is a number",
                        shorten(&self.text[span.clone()])
                    );
                    self.report("F0021", span, &message, "write the name first: `vessel \"bucket\" 12`");
                }
            },
            Kind::Quoted(quotes) => {
                let (text, span) = self.quoted(quotes);
                return Some(Text { text, span });
            }
            Kind::Foreign => {
                let (text, span) = self.foreign();
                return Some(Text { text, span });
            }
            Kind::BadWord => {
                let (text, span) = self.bad_word();
                return Some(Text { text, span });
            }
            Kind::Keyword if self.slice(token) == "#" => {
                self.problems.add(span, |span| entry::unknown_keyword("#", span));
                self.skip_line();
            }
            Kind::Word | Kind::Keyword => {
                let message =
                    format!("a node begins with its name, but `{}` is a value", shorten(self.slice(token)));
                self.report("F0021", span, &message, "write the name first: `fragile #true`");
                self.advance();
            }
            Kind::Equals => {
                let message = "a node begins with its name, not with `=`";
                self.report("F0021", span, message, "write the name first: `step at=\"front\"`");
                self.advance();
            }
            Kind::ParenClose => self.stray_bracket(),
            // After an annotation, or a second one.
            _ => {
                let message = "a node begins with its name, which is missing here";
                self.report("F0021", span.start..span.start, message, "write the name of the node");
                if self.token.kind == Kind::ParenOpen {
                    self.advance();
                }
            }
        }
        None
    }

    /// Reports properties with one name. All of them stay in the tree.
    fn report_twice(&mut self, node: &Node) {
        if node.properties.len() < 2 {
            return;
        }
        let mut by_name: Vec<(&str, &Range<usize>)> = node
            .properties
            .iter()
            .map(|property| (property.name.text.as_str(), &property.name.span))
            .collect();
        by_name.sort_by_key(|(name, span)| (*name, span.start));
        for pair in by_name.windows(2) {
            let [(first, first_span), (second, second_span)] = [pair[0], pair[1]];
            if first == second {
                self.problems.add(second_span.clone(), |span| {
                    Problem::error("F0014", span, format!("`{}` is said twice of one node", shorten(first)))
                        .with_also(first_span.clone(), "the first time")
                        .with_remedy("take one of them away")
                });
            }
        }
    }
}
