//! Takes values out of nodes and says what is wrong with them.

use std::ops::Range;

use ft_diag::{Problem, nearest};
use ft_syntax::{Entry, Node, Value};
use ft_units::{TimeUnit, Unit as _};

use crate::limit::{Limit, amount};
use crate::unit::ProbeUnit;

/// The problems so far, and ways to add to them.
#[derive(Default)]
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
    pub fn unknown(&mut self, word: &str, span: Range<usize>, known: &[&str], what: &str) {
        let remedy = match nearest(word, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("write one of: {}", known.join(", ")),
        };
        self.error("P0002", span, &format!("`{word}` is not {what}"), &remedy);
    }

    /// Notes properties that are not among these.
    pub fn only(&mut self, node: &Node, known: &[&str]) {
        for property in &node.properties {
            let name = property.name.text.as_str();
            if !known.contains(&name) {
                let what = format!("something that `{}` can say", node.name.text);
                self.unknown(name, property.name.span.clone(), known, &what);
            }
        }
    }

    /// The one argument, a text that is not empty.
    pub fn argument(&mut self, node: &Node, what: &str) -> Option<String> {
        let text = node.arguments.first().and_then(Entry::as_text).filter(|text| !text.trim().is_empty());
        if text.is_none() {
            let message = format!("`{}` needs {what}", node.name.text);
            self.error("P0003", node.name.span.clone(), &message, "write it in quotes after the word");
        }
        text.map(str::to_owned)
    }

    /// A time as the one argument, seconds above 0.
    pub fn seconds(&mut self, node: &Node) -> Option<f64> {
        let entry = node.arguments.first();
        let Some(entry) = entry else {
            let message = format!("`{}` needs a time", node.name.text);
            self.error("P0003", node.name.span.clone(), &message, "write it in quotes, such as \"10 s\"");
            return None;
        };
        self.time(entry)
    }

    /// A time as a property, seconds above 0.
    pub fn seconds_of(&mut self, node: &Node, name: &str) -> Option<f64> {
        self.time(node.property(name)?)
    }

    fn time(&mut self, entry: &Entry) -> Option<f64> {
        let Some(text) = entry.as_text() else {
            let message = format!("{} is no time with its unit", entry.value.kind());
            self.error("P0004", entry.span.clone(), &message, "write it in quotes, such as \"10 s\"");
            return None;
        };
        match ft_units::parse::<TimeUnit>(text) {
            Ok(time) if time.unit.to_base(time.value) > 0.0 => Some(time.unit.to_base(time.value)),
            Ok(_) => {
                self.error("P0004", entry.span.clone(), "a time of nothing", "write more than 0 s");
                None
            }
            Err(bad) => {
                self.error("P0004", entry.span.clone(), &bad.message, &bad.remedy);
                None
            }
        }
    }

    /// A limit as the one argument, of the kind of a unit.
    pub fn limit(&mut self, node: &Node, unit: Option<ProbeUnit>) -> Option<Limit> {
        let text = self.argument(node, "a limit")?;
        let span = node.arguments[0].span.clone();
        let Some(limit) = Limit::read(&text) else {
            let message = format!("`{text}` is no limit");
            self.error(
                "P0004",
                span,
                &message,
                "write it like \"< 5 °C\", \">= 60 °C\" or \"100..200 mg/L\"",
            );
            return None;
        };
        self.fits(span, limit.unit, unit).then_some(limit)
    }

    /// A range such as `-40..60 °C` as the one argument, in a unit.
    pub fn range(&mut self, node: &Node, unit: Option<ProbeUnit>) -> Option<(f64, f64)> {
        let text = self.argument(node, "a range")?;
        let span = node.arguments[0].span.clone();
        let read = Limit::read(&text).filter(|limit| limit.least.is_some() && limit.most.is_some());
        let Some(limit) = read else {
            self.error("P0004", span, &format!("`{text}` is no range"), "write it like \"-40..60 °C\"");
            return None;
        };
        if !self.fits(span, limit.unit, unit) {
            return None;
        }
        let bounds = limit.bounds(unit?);
        Some((bounds[0].0, bounds[1].0))
    }

    /// A difference such as `0.3 °C` as a property, above 0, in a unit.
    pub fn difference(&mut self, node: &Node, name: &str, unit: Option<ProbeUnit>) -> Option<f64> {
        let entry = node.property(name)?;
        let text = entry.as_text().unwrap_or_default();
        let Some((value, own)) = amount(text).filter(|(value, _)| *value > 0.0) else {
            let message = format!("`{name}` is no difference above 0 with its unit");
            self.error("P0004", entry.span.clone(), &message, "write it like \"0.3 °C\"");
            return None;
        };
        if !self.fits(entry.span.clone(), own, unit) {
            return None;
        }
        // A difference has no zero of its own: 0 °C is 32 °F, but 1 °C more is 1.8 °F more.
        Some(own.to(value, unit?)? - own.to(0.0, unit?)?)
    }

    fn fits(&mut self, span: Range<usize>, own: ProbeUnit, unit: Option<ProbeUnit>) -> bool {
        let Some(unit) = unit else { return false };
        let fits = own.to(0.0, unit).is_some();
        if !fits {
            let (own, unit) = (own.symbol(), unit.symbol());
            let message = format!("the probe measures in {unit}, and this is in {own}");
            self.error("P0006", span, &message, &format!("write it in {unit}"));
        }
        fits
    }

    /// A pointer into JSON as a property.
    pub fn pointer(&mut self, node: &Node, name: &str) -> Option<String> {
        let entry = node.property(name)?;
        let text = entry.as_text().unwrap_or_default();
        if !text.starts_with('/') {
            let message = format!("`{text}` does not point into JSON");
            let remedy = format!("begin with a slash: `{name}=\"/{}\"`", text.trim_start_matches('$'));
            self.error("P0004", entry.span.clone(), &message, &remedy);
            return None;
        }
        Some(text.to_owned())
    }

    /// A yes or no as a property; no where it is not there.
    pub fn flag(&mut self, node: &Node, name: &str) -> bool {
        let Some(entry) = node.property(name) else { return false };
        match entry.value {
            Value::Bool(flag) => flag,
            Value::String(_) | Value::Number(_) | Value::Null => {
                let message = format!("`{name}` is a yes or no");
                self.error("P0004", entry.span.clone(), &message, &format!("write `{name}=#true`"));
                false
            }
        }
    }
}

/// A property that is a text; silent where it is not there.
pub fn text(node: &Node, name: &str) -> Option<String> {
    node.property(name).and_then(Entry::as_text).map(str::to_owned)
}
