//! The tree of a text: nodes with arguments, properties and children, each with its place.
//!
//! All places are byte ranges of the text that was parsed, on character boundaries.

use std::ops::Range;

/// A whole text.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Document {
    /// Top-level nodes in the order of the text.
    pub nodes: Vec<Node>,
}

/// A node: `step "Flush" time="3 min" { … }`.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Its first word.
    pub name: Text,
    /// The `(kind)` before the name.
    pub annotation: Option<Text>,
    /// Values without a name, in order.
    pub arguments: Vec<Entry>,
    /// Values with a name, in order. A name said twice is a problem; the tree keeps both.
    pub properties: Vec<Property>,
    /// What stands in braces; `Some` of nothing for `{}`.
    pub children: Option<Vec<Node>>,
    /// From its annotation or name to its last value, closing brace or left-out part.
    pub span: Range<usize>,
    /// The braces and what is between them.
    pub block: Option<Range<usize>>,
}

/// A name or annotation, without its quotes.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// What it says.
    pub text: String,
    /// Where it stands, quotes included.
    pub span: Range<usize>,
}

/// A value, as an argument or in a property.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The `(kind)` before the value.
    pub annotation: Option<Text>,
    /// What it is.
    pub value: Value,
    /// A text without quotes, as flags are written: `kit`, `unattended`.
    pub bare: bool,
    /// Where the value stands, quotes included, annotation not.
    pub span: Range<usize>,
}

/// A value with a name: `time="3 min"`.
#[derive(Debug, Clone, PartialEq)]
pub struct Property {
    /// What stands before the `=`.
    pub name: Text,
    /// What stands after it.
    pub value: Entry,
    /// From the name to the end of the value.
    pub span: Range<usize>,
}

/// What a value is.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A text, with or without quotes, escapes resolved.
    String(String),
    /// A number.
    Number(Number),
    /// `#true` or `#false`.
    Bool(bool),
    /// `#null`.
    Null,
}

/// A number as it was written and what it comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    /// Nearest double; may be infinite or not a number (`#inf`, `#-inf`, `#nan`).
    pub value: f64,
    /// As written.
    pub raw: String,
}

impl Node {
    /// A node that so far is only a name.
    pub(crate) fn named(name: Text) -> Self {
        let span = name.span.clone();
        Self {
            name,
            annotation: None,
            arguments: Vec::new(),
            properties: Vec::new(),
            children: None,
            span,
            block: None,
        }
    }

    /// The value of the property of this name.
    pub fn property(&self, name: &str) -> Option<&Entry> {
        self.properties.iter().find(|property| property.name.text == name).map(|property| &property.value)
    }

    /// The children; none where there are no braces.
    pub fn children(&self) -> &[Node] {
        self.children.as_deref().unwrap_or_default()
    }
}

impl Entry {
    /// The text, if it is one.
    pub fn as_text(&self) -> Option<&str> {
        match &self.value {
            Value::String(text) => Some(text),
            Value::Number(_) | Value::Bool(_) | Value::Null => None,
        }
    }
}

impl Value {
    /// What it is, for a sentence: "a number".
    pub fn kind(&self) -> &'static str {
        match self {
            Value::String(_) => "a text",
            Value::Number(_) => "a number",
            Value::Bool(_) => "a yes or no",
            Value::Null => "nothing",
        }
    }
}

impl Number {
    /// The whole number that it is; none where it has a fraction or more than 53 bits.
    pub fn as_integer(&self) -> Option<i64> {
        const EXACT: f64 = 9_007_199_254_740_992.0; // 2^53: every whole number up to it is a double
        (self.value.fract() == 0.0 && self.value.abs() <= EXACT).then_some(self.value as i64)
    }
}
