//! Writes a tree as text: for trees that were built, not read. To format a text, use [`crate::tidy`].

use std::fmt::{self, Display, Formatter};

use crate::chars::is_plain_word;
use crate::tidy::quote;
use crate::tree::{Document, Entry, Node, Property, Text, Value};

/// A text that parses to the same tree, places aside, and is tidy.
impl Display for Document {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        self.nodes.iter().try_for_each(|node| write_node(f, node, 0))
    }
}

fn write_node(f: &mut Formatter<'_>, node: &Node, level: usize) -> fmt::Result {
    let margin = 4 * level;
    write!(f, "{:margin$}", "")?;
    write_annotation(f, node.annotation.as_ref())?;
    write_name(f, &node.name)?;
    for argument in &node.arguments {
        write!(f, " ")?;
        write_entry(f, argument, argument.bare)?;
    }
    for Property { name, value, .. } in &node.properties {
        write!(f, " ")?;
        write_name(f, name)?;
        write!(f, "=")?;
        write_entry(f, value, false)?;
    }
    match node.children.as_deref() {
        None => writeln!(f),
        Some([]) => writeln!(f, " {{}}"),
        Some(children) => {
            writeln!(f, " {{")?;
            children.iter().try_for_each(|child| write_node(f, child, level + 1))?;
            writeln!(f, "{:margin$}}}", "")
        }
    }
}

fn write_annotation(f: &mut Formatter<'_>, annotation: Option<&Text>) -> fmt::Result {
    let Some(annotation) = annotation else { return Ok(()) };
    write!(f, "(")?;
    write_name(f, annotation)?;
    write!(f, ")")
}

fn write_name(f: &mut Formatter<'_>, name: &Text) -> fmt::Result {
    if is_plain_word(&name.text) { f.write_str(&name.text) } else { f.write_str(&quote(&name.text)) }
}

fn write_entry(f: &mut Formatter<'_>, entry: &Entry, bare: bool) -> fmt::Result {
    write_annotation(f, entry.annotation.as_ref())?;
    match &entry.value {
        Value::String(text) if bare && is_plain_word(text) => f.write_str(text),
        Value::String(text) => f.write_str(&quote(text)),
        Value::Number(number) => f.write_str(&number.raw),
        Value::Bool(true) => f.write_str("#true"),
        Value::Bool(false) => f.write_str("#false"),
        Value::Null => f.write_str("#null"),
    }
}
