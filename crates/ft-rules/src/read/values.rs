//! Takes values out of nodes and says what is wrong with them.

use std::ops::Range;

use ft_diag::{Problem, nearest};
use ft_syntax::{Entry, Node, Value};
use ft_units::{BadQuantity, Quantity, Unit};
use jiff::civil::Date;

use crate::amount::{Amount, Dimension};

/// The problems so far, and ways to add to them.
pub struct Values {
    /// In the order of finding.
    pub problems: Vec<Problem>,
}

impl Values {
    /// Notes an error.
    pub fn error(&mut self, code: &'static str, span: Range<usize>, message: &str, remedy: &str) {
        self.problems.push(Problem::error(code, span, message).with_remedy(remedy));
    }

    /// Notes a word that is not known, and offers the nearest that is.
    pub fn unknown<'c>(
        &mut self,
        word: &str,
        span: Range<usize>,
        known: impl IntoIterator<Item = &'c str> + Clone,
        what: &str,
    ) {
        let remedy = match nearest(word, known.clone()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("write one of: {}", known.into_iter().collect::<Vec<_>>().join(", ")),
        };
        self.error("R0002", span, &format!("`{word}` is not {what}"), &remedy);
    }

    /// The one argument, a text.
    pub fn argument(&mut self, node: &Node, what: &str) -> Option<String> {
        let text = node.arguments.first().and_then(Entry::as_text).filter(|text| !text.trim().is_empty());
        if text.is_none() {
            let message = format!("`{}` needs {what}", node.name.text);
            self.error("R0003", node.name.span.clone(), &message, "write it in quotes after the word");
        }
        text.map(str::to_owned)
    }

    /// The one argument, a word of a table.
    pub fn word<T: Copy>(&mut self, node: &Node, table: &[(T, &'static str)]) -> Option<T> {
        let word = self.argument(node, "a word")?;
        let known = table.iter().find(|(_, known)| *known == word);
        if known.is_none() {
            let span = node.arguments[0].span.clone();
            let words: Vec<&str> = table.iter().map(|(_, word)| *word).collect();
            self.unknown(&word, span, words, &format!("a {} of a set", node.name.text));
        }
        known.map(|(value, _)| *value)
    }

    /// A property that is a date.
    pub fn date(&mut self, node: &Node, name: &str) -> Option<Date> {
        let entry = node.property(name)?;
        let date = entry.as_text().and_then(|text| text.parse::<Date>().ok());
        if date.is_none() {
            let span = entry.span.clone();
            self.error(
                "R0005",
                span,
                "this is not a date",
                "write year, month and day, such as \"2023-03-08\"",
            );
        }
        date
    }

    /// A property that is a whole number of 0 or more.
    pub fn count(&mut self, node: &Node, name: &str) -> Option<usize> {
        let entry = node.property(name)?;
        let count = match &entry.value {
            Value::Number(number) => number.as_integer().and_then(|count| usize::try_from(count).ok()),
            Value::String(_) | Value::Bool(_) | Value::Null => None,
        };
        if count.is_none() {
            let message = format!("`{name}` is not a whole number of 0 or more");
            self.error("R0008", entry.span.clone(), &message, &format!("write `{name}=5` or the like"));
        }
        count
    }

    /// A property that is a pH.
    pub fn ph(&mut self, node: &Node, name: &str) -> Option<f64> {
        let entry = node.property(name)?;
        let ph = match &entry.value {
            Value::Number(number) if (0.0..=14.0).contains(&number.value) => Some(number.value),
            Value::Number(_) | Value::String(_) | Value::Bool(_) | Value::Null => None,
        };
        if ph.is_none() {
            self.error("R0004", entry.span.clone(), "this is not a pH", "write a number between 0 and 14");
        }
        ph
    }

    /// A property that is a quantity of one kind.
    pub fn quantity<U: Unit>(&mut self, node: &Node, name: &str) -> Option<Quantity<U>> {
        let entry = node.property(name)?;
        self.read_with(entry, ft_units::parse)
    }

    /// A property that is an amount of one kind.
    pub fn amount(&mut self, node: &Node, name: &str, dimension: Dimension) -> Option<Amount> {
        let entry = node.property(name)?;
        self.read_with(entry, |text| Amount::parse(text, dimension))
    }

    /// Notes properties that are not among these.
    pub fn only(&mut self, node: &Node, known: &[&str]) {
        for property in &node.properties {
            if !known.contains(&property.name.text.as_str()) {
                let what = format!("something that `{}` can say", node.name.text);
                self.unknown(&property.name.text, property.name.span.clone(), known.iter().copied(), &what);
            }
        }
    }

    fn read_with<T>(&mut self, entry: &Entry, read: impl Fn(&str) -> Result<T, BadQuantity>) -> Option<T> {
        let Some(text) = entry.as_text() else {
            let message = format!("{} is no amount with a unit", entry.value.kind());
            self.error(
                "R0004",
                entry.span.clone(),
                &message,
                "write number and unit in quotes, such as \"41 °F\"",
            );
            return None;
        };
        match read(text) {
            Ok(value) => Some(value),
            Err(bad) => {
                self.error("R0004", entry.span.clone(), &bad.message, &bad.remedy);
                None
            }
        }
    }
}

/// A property that is a text; silent where it is not there.
pub fn text(node: &Node, name: &str) -> Option<String> {
    node.property(name).and_then(Entry::as_text).map(str::to_owned)
}
