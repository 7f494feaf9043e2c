//! Holds every node against the table of words, and reads values out of nodes.
//!
//! [`Reader::check_all`] reports whatever the table forbids. The functions that read single values then say nothing
//! about bad ones: they are reported already.

use ft_diag::{Collector, Problem, Severity, nearest};
use ft_machine::{Named, Span, Words};
use ft_syntax::{Entry, Node, Value};
use ft_units::{BadQuantity, Quantity, Range, Unit};

use crate::codes;
use crate::words::{Property, SAID, Takes, WORDS, Word, sample};

/// Gathers problems while a file is read.
#[derive(Default)]
pub struct Reader {
    errors: Collector,
    // Apart, so that many warnings never hide an error.
    warnings: Collector,
    /// Languages that the file declares; the first is the default.
    pub languages: Vec<String>,
}

impl Reader {
    /// A reader of a file that declares these languages.
    pub fn new(languages: Vec<String>) -> Self {
        Self { languages, ..Self::default() }
    }

    /// Adds a problem.
    pub fn report(&mut self, problem: Problem) {
        let list = if problem.severity == Severity::Error { &mut self.errors } else { &mut self.warnings };
        list.add(problem.span.clone(), |_| problem);
    }

    /// Adds an error whose sentence is made only if it will be told, since looking for near names costs more than
    /// all the rest.
    pub fn report_with(&mut self, span: &Span, say: impl FnOnce() -> Problem) {
        self.errors.add(span.clone(), |_| say());
    }

    /// Whether a further error is one too many to be told; it is counted.
    fn is_one_too_many(&mut self, span: &Span) -> bool {
        let is_full = self.errors.is_full();
        if is_full {
            self.errors.count(span.clone());
        }
        is_full
    }

    /// What was found, errors before warnings, each sorted, and of each the first hundred.
    pub fn finish(self) -> Vec<Problem> {
        let mut problems = self.errors.finish(codes::MANY);
        let mut warnings = self.warnings.finish(codes::MANY);
        for warning in &mut warnings {
            warning.severity = Severity::Warning;
        }
        problems.append(&mut warnings);
        problems
    }

    /// Checks the children of `parent` (or the top of the file) and everything in them against the table.
    pub fn check_all(&mut self, nodes: &[Node], parent: &str) {
        self.once(nodes);
        for node in nodes {
            if let Some(word) = self.word(node, parent) {
                let offered = self.arguments(node, word);
                self.properties(node, word, offered);
                self.check_all(node.children(), word.home());
            }
        }
    }

    /// Reports what may stand only once and stands again: the second would be ignored silently.
    fn once(&mut self, nodes: &[Node]) {
        for (at, node) in nodes.iter().enumerate().filter(|(_, node)| ONCE.contains(&node.name.text.as_str()))
        {
            if let Some(first) = nodes[..at].iter().find(|other| other.name.text == node.name.text) {
                let message = format!("`{}` stands here twice", node.name.text);
                self.report(
                    Problem::error(codes::TWICE, node.name.span.clone(), message)
                        .with_remedy("make one of the two")
                        .with_also(first.name.span.clone(), "the first one is here"),
                );
            }
        }
    }

    fn word(&mut self, node: &Node, parent: &str) -> Option<&'static Word> {
        let name = node.name.text.as_str();
        let found = find(name, parent);
        if found.is_some() || self.is_one_too_many(&node.name.span) {
            return found;
        }
        let place =
            if parent == "file" { "at the top of a file".to_owned() } else { format!("in `{parent}`") };
        let mut problem = Problem::error(
            codes::UNKNOWN_WORD,
            node.name.span.clone(),
            format!("`{name}` cannot stand {place}"),
        );
        let allowed: Vec<&str> =
            WORDS.iter().filter(|word| word.inside.contains(&parent)).map(|word| word.name).collect();
        let homes: Vec<String> = WORDS
            .iter()
            .filter(|word| word.name == name)
            .flat_map(|word| word.inside)
            .map(|home| if *home == "file" { "the top of a file".into() } else { format!("`{home}`") })
            .collect();
        if !homes.is_empty() {
            problem = problem.with_remedy(format!("it belongs in {}", homes.join(" or ")));
        } else if WORDS
            .iter()
            .any(|word| word.name == parent && word.properties.iter().any(|known| known.name == name))
        {
            problem = problem.with_remedy(format!("it is a property: write `{name}=…` before the braces"));
        } else if let Some(near) = nearest(name, allowed.iter().copied()).or_else(|| meant(name, &allowed)) {
            problem = problem.with_remedy(format!("did you mean `{near}`?"));
        } else if allowed.is_empty() {
            problem = problem.with_remedy(format!("`{parent}` takes nothing in braces"));
        } else {
            problem = problem.with_remedy(format!("what can stand here: {}", list(&allowed)));
        }
        self.report(problem);
        None
    }

    /// Checks the values of a node; gives the required property for which a message has offered one of them.
    fn arguments(&mut self, node: &Node, word: &'static Word) -> Option<&'static str> {
        let mut rest = node.arguments.as_slice();
        for takes in word.arguments {
            if *takes == Takes::LanguageText {
                rest = self.language_text(node, word, rest);
                continue;
            }
            match rest.split_first() {
                Some((entry, after)) => {
                    self.value(entry, *takes, word.name);
                    rest = after;
                }
                None => self.report(
                    Problem::error(
                        codes::ARGUMENTS,
                        node.name.span.clone(),
                        format!("`{}` lacks {}", word.name, what(*takes)),
                    )
                    .with_remedy(format!("write it like this: {}", head(word))),
                ),
            }
        }
        if word.repeats {
            let takes = word.arguments.last().copied().unwrap_or(Takes::Text);
            for entry in rest {
                self.value(entry, takes, word.name);
            }
            return None;
        }
        rest.iter().filter_map(|entry| self.flag(node, entry, word)).last()
    }

    fn language_text<'a>(&mut self, node: &Node, word: &'static Word, rest: &'a [Entry]) -> &'a [Entry] {
        match rest {
            [] => {
                self.report(
                    Problem::error(
                        codes::ARGUMENTS,
                        node.name.span.clone(),
                        format!("`{}` lacks its text", word.name),
                    )
                    .with_remedy("write its words in quotes after it"),
                );
                rest
            }
            [language, text, after @ ..] if language.bare || is_language(language) => {
                self.value(language, Takes::Language, word.name);
                self.value(text, Takes::Text, word.name);
                after
            }
            [text, after @ ..] => {
                self.value(text, Takes::Text, word.name);
                after
            }
        }
    }

    fn flag(&mut self, node: &Node, entry: &Entry, word: &'static Word) -> Option<&'static str> {
        let mut offered = None;
        let text = entry.as_text().unwrap_or_default();
        if word.flags.iter().any(|(flag, _)| *flag == text) {
            if !entry.bare {
                let message = format!("the flag `{text}` stands in quotes");
                self.report(
                    Problem::error(codes::UNKNOWN_FLAG, entry.span.clone(), message)
                        .with_remedy(format!("write it without quotes: {text}")),
                );
            }
            return None;
        }
        if self.is_one_too_many(&entry.span) {
            return None;
        }
        let known: Vec<&str> = word.flags.iter().map(|(flag, _)| *flag).collect();
        let mut problem = if known.is_empty() {
            Problem::error(
                codes::ARGUMENTS,
                entry.span.clone(),
                format!("`{}` takes no more values here", word.name),
            )
        } else {
            Problem::error(
                codes::UNKNOWN_FLAG,
                entry.span.clone(),
                format!("`{}` cannot be `{text}`", word.name),
            )
        };
        let property = word.properties.iter().map(|property| property.name);
        if let Some(near) = nearest(text, known.iter().copied()) {
            problem = problem.with_remedy(format!("did you mean `{near}`?"));
        } else if let Some(near) = nearest(text, property) {
            problem = problem.with_remedy(format!("`{near}` is a property: write `{near}=…`"));
        } else if let Some(lacking) =
            word.properties.iter().find(|known| known.required && node.property(known.name).is_none())
        {
            problem = problem.with_remedy(format!("did you mean `{}=\"{text}\"`?", lacking.name));
            offered = Some(lacking.name);
        } else if known.is_empty() {
            problem = problem.with_remedy("take it out, or write it as a property: `name=value`");
        } else {
            problem = problem.with_remedy(format!("it can be: {}", list(&known)));
        }
        self.report(problem);
        offered
    }

    /// Checks the properties of a node. A required one that a message has offered already is not missed again.
    fn properties(&mut self, node: &Node, word: &'static Word, offered: Option<&'static str>) {
        let mut offered: Vec<&str> = offered.into_iter().collect();
        for property in &node.properties {
            let name = property.name.text.as_str();
            if let Some(known) = word.properties.iter().find(|known| known.name == name) {
                self.value(&property.value, known.takes, name);
                continue;
            }
            if self.is_one_too_many(&property.name.span) {
                continue;
            }
            let known: Vec<&str> = word.properties.iter().map(|known| known.name).collect();
            let mut problem = Problem::error(
                codes::UNKNOWN_PROPERTY,
                property.name.span.clone(),
                format!("`{}` has no property `{name}`", word.name),
            );
            if find(name, word.name).is_some() {
                let value = property.value.as_text().unwrap_or("…");
                problem = problem.with_remedy(format!("write it in the braces: `{{ {name} \"{value}\"; }}`"));
            } else if let Some(near) = nearest(name, known.iter().copied()) {
                problem = problem.with_remedy(format!("did you mean `{near}`?"));
                offered.push(near);
            } else if word.flags.iter().any(|(flag, _)| *flag == name) {
                problem = problem.with_remedy(format!("`{name}` is a flag: write it without `=`"));
            } else if known.is_empty() {
                problem = problem.with_remedy(format!("`{}` has none", word.name));
            } else {
                problem = problem.with_remedy(format!("it has: {}", list(&known)));
            }
            self.report(problem);
        }
        for required in word.properties.iter().filter(|property| property.required) {
            let offered = offered.contains(&required.name);
            if !offered && node.property(required.name).is_none() && !as_child(node, required) {
                self.report(
                    Problem::error(
                        codes::MISSING_PROPERTY,
                        node.name.span.clone(),
                        format!("this `{}` lacks `{}`: {}", word.name, required.name, required.means),
                    )
                    .with_remedy(format!("write it like this: `{}`", sample(word, required))),
                );
            }
        }
    }

    /// Checks one value.
    fn value(&mut self, entry: &Entry, takes: Takes, of: &str) {
        let wrong = |found: &Entry, expected: &str| {
            Problem::error(
                codes::WRONG_VALUE,
                found.span.clone(),
                format!("`{of}` takes {expected}, not {}", found.value.kind()),
            )
        };
        match (takes, &entry.value) {
            // The version is judged by itself, before everything else.
            (Takes::Count(1, 1), Value::Number(_)) => {}
            (Takes::Count(low, high), Value::Number(number)) => {
                if !number
                    .as_integer()
                    .is_some_and(|count| (i64::from(low)..=i64::from(high)).contains(&count))
                {
                    self.report(
                        Problem::error(
                            codes::OUT_OF_RANGE,
                            entry.span.clone(),
                            format!("`{of}` cannot be {}", number.raw),
                        )
                        .with_remedy(format!("write a whole number from {low} to {high}")),
                    );
                }
            }
            (Takes::Number(unit), Value::Number(number)) => {
                if !(number.value.is_finite() && 0.0 < number.value && number.value < 1e6) {
                    self.report(
                        Problem::error(
                            codes::OUT_OF_RANGE,
                            entry.span.clone(),
                            format!("`{of}` cannot be {}", number.raw),
                        )
                        .with_remedy(format!("write a number above 0, {unit}")),
                    );
                }
            }
            (Takes::Count(..) | Takes::Number(_), Value::String(text)) => {
                let mut problem = wrong(entry, what(takes));
                if text.trim().parse::<f64>().is_ok() {
                    problem = problem.with_remedy(format!("write it without quotes: {}", text.trim()));
                } else {
                    problem = problem.with_remedy("write a number without quotes and without a unit");
                }
                self.report(problem);
            }
            (takes, Value::String(text)) => self.text_value(entry, text, takes, of),
            (takes, Value::Number(number)) => {
                let problem = wrong(entry, what(takes));
                let remedy = match takes {
                    Takes::Volume
                    | Takes::Mass
                    | Takes::Time
                    | Takes::Temperature
                    | Takes::Strengths
                    | Takes::Limits => {
                        format!("write it with its unit and in quotes, such as {}", example(takes))
                    }
                    _ => format!("put it in quotes: \"{}\"", number.raw),
                };
                self.report(problem.with_remedy(remedy));
            }
            (takes, Value::Bool(_) | Value::Null) => {
                self.report(wrong(entry, what(takes)).with_remedy(format!("write {}", example(takes))));
            }
        }
    }

    fn text_value(&mut self, entry: &Entry, text: &str, takes: Takes, of: &str) {
        let bad = |bad: BadQuantity| {
            Problem::error(codes::BAD_QUANTITY, entry.span.clone(), bad.message).with_remedy(bad.remedy)
        };
        let problem = match takes {
            Takes::Volume => ft_units::parse::<ft_units::VolumeUnit>(text).err().map(bad),
            Takes::Mass => ft_units::parse::<ft_units::MassUnit>(text).err().map(bad),
            Takes::Time => ft_units::parse::<ft_units::TimeUnit>(text).err().map(bad),
            Takes::Temperature => ft_units::parse::<ft_units::TemperatureUnit>(text).err().map(bad),
            Takes::Strengths => ft_units::parse_range::<ft_units::StrengthUnit>(text).err().map(bad),
            Takes::Word(known) if !known.contains(&text) => {
                let problem = Problem::error(codes::NOT_ONE_OF, entry.span.clone(), format!("`{of}` cannot be `{text}`"));
                Some(match nearest(text, known.iter().copied()) {
                    Some(near) => problem.with_remedy(format!("did you mean `{near}`?")),
                    None => problem.with_remedy(format!("it can be: {}", list(known))),
                })
            }
            Takes::Clock if clock(text).is_none() => Some(
                Problem::error(codes::CLOCK, entry.span.clone(), format!("`{text}` is not a time of day"))
                    .with_remedy("write hours and minutes of the 24-hour day, such as `22:30`"),
            ),
            Takes::Language if self.languages.iter().all(|known| known != text) && !self.languages.is_empty() => {
                let known: Vec<&str> = self.languages.iter().map(String::as_str).collect();
                Some(
                    Problem::error(codes::UNKNOWN_LANGUAGE, entry.span.clone(), format!("this file does not declare the language `{text}`"))
                        .with_remedy(format!("it declares {}: use one of them, or add it to `languages`", list(&known))),
                )
            }
            Takes::NewName | Takes::Text if text.trim().is_empty() => {
                let what = if takes == Takes::NewName { "name" } else { "text" };
                Some(
                    Problem::error(codes::WRONG_VALUE, entry.span.clone(), format!("`{of}` has an empty {what}"))
                        .with_remedy("write words between the quotes"),
                )
            }
            Takes::NewName if text.contains('.') => Some(
                Problem::error(codes::WRONG_VALUE, entry.span.clone(), format!("the name `{text}` has a dot in it"))
                    .with_remedy("leave the dot out: it names a side, as in `barrel.left`"),
            ),
            Takes::Limits if limits(text).is_none() => Some(
                Problem::error(codes::LIMITS, entry.span.clone(), format!("`{text}` is not a limit that can be read"))
                    .with_remedy("write a range with its unit, such as `100..200 mg/L`, or one side of it, such as `< 5 °C`"),
            ),
            _ => None,
        };
        if let Some(problem) = problem {
            self.report(problem);
        }
    }

    /// The texts of children named `child`, and of the node itself if `own` says at which argument its text begins.
    pub fn words(&mut self, node: &Node, child: &str, own: Option<usize>) -> Words {
        let mut words = Words::new();
        let first = self.languages.first().cloned().unwrap_or_else(|| "en".into());
        let mut add = |reader: &mut Self, entries: &[Entry], span: &Span| {
            let (language, text) = match entries {
                [language, text, ..] if language.bare || is_language(language) => {
                    (language.as_text(), text.as_text())
                }
                [text, ..] => (Some(first.as_str()), text.as_text()),
                [] => return,
            };
            let (Some(language), Some(text)) = (language, text) else { return };
            if words.insert(language.to_owned(), text.to_owned()).is_some() {
                reader.report(
                    Problem::error(
                        codes::TEXT_TWICE,
                        span.clone(),
                        format!("there are two texts in `{language}` here"),
                    )
                    .with_remedy("keep one of them, or write the code of another language"),
                );
            }
        };
        if let Some(at) = own {
            add(self, node.arguments.get(at..).unwrap_or_default(), &node.span);
        }
        for node in node.children().iter().filter(|node| node.name.text == child) {
            add(self, &node.arguments, &node.span);
        }
        words
    }

    /// A text that stands as a property in the first language and as child nodes in further ones; warns where it is
    /// given and lacks a language.
    pub fn sentence(&mut self, node: &Node, key: &str, what: &str) -> Words {
        let mut words = self.words(node, key, None);
        if let Some((own, _)) = text(node, key) {
            let first = self.languages.first().cloned().unwrap_or_else(|| "en".into());
            words.insert(first, own.to_owned());
        }
        if !words.is_empty() {
            self.complete(&words, what, &node.span);
        }
        words
    }

    /// Name, label and place of an item; `complete` warns where its label lacks a language.
    pub fn named(&mut self, node: &Node, complete: bool) -> Named {
        let (name, span) = first_text(node)
            .map_or((String::new(), node.name.span.clone()), |(name, span)| (name.to_owned(), span.clone()));
        let mut label = self.words(node, "label", None);
        if let Some(first) = self.languages.first() {
            label.entry(first.clone()).or_insert_with(|| name.clone());
        }
        if complete {
            self.complete(&label, &format!("the {} `{name}`", node.name.text), &span);
        }
        Named { name, label, span, ..Named::default() }
    }

    /// Warns where a text lacks a language that the file declares.
    pub fn complete(&mut self, words: &Words, what: &str, span: &Span) {
        let missing: Vec<String> = self
            .languages
            .iter()
            .filter(|language| !words.contains_key(*language))
            .map(|l| format!("`{l}`"))
            .collect();
        if !missing.is_empty() {
            self.report(
                Problem::warning(
                    codes::MISSING_TEXT,
                    span.clone(),
                    format!("{what} lacks a text in {}", missing.join(", ")),
                )
                .with_remedy(format!(
                    "add it with the language's code before it, as in `{} \"…\"`; until then the first language is shown",
                    missing[0].trim_matches('`')
                )),
            );
        }
    }
}

/// Words of which one may stand in the same braces.
const ONCE: [&str; 5] = ["fulltray", "journey", "stock", "serving", "closing"];

/// The word of the language for what people say in other words.
fn meant(said: &str, allowed: &[&str]) -> Option<&'static str> {
    SAID.iter()
        .filter(|(word, _)| allowed.contains(word))
        .find(|(_, others)| others.contains(&said.to_lowercase().as_str()))
        .map(|(word, _)| *word)
}

/// The word of this name that can stand in `parent`.
pub fn find(name: &str, parent: &str) -> Option<&'static Word> {
    WORDS.iter().find(|word| word.name == name && word.inside.contains(&parent))
}

/// The children of one name, in order.
pub fn children<'a>(node: &'a Node, name: &'a str) -> impl Iterator<Item = &'a Node> {
    node.children().iter().filter(move |child| child.name.text == name)
}

/// The first argument as a text.
pub fn first_text(node: &Node) -> Option<(&str, &Span)> {
    let entry = node.arguments.first()?;
    entry.as_text().map(|text| (text, &entry.span))
}

/// A property as a text.
pub fn text<'a>(node: &'a Node, property: &str) -> Option<(&'a str, &'a Span)> {
    let entry = node.property(property)?;
    entry.as_text().map(|text| (text, &entry.span))
}

/// A property as a quantity.
pub fn quantity<U: Unit>(node: &Node, property: &str) -> Option<Quantity<U>> {
    ft_units::parse(text(node, property)?.0).ok()
}

/// A property as a range of quantities.
pub fn range<U: Unit>(node: &Node, property: &str) -> Option<Range<U>> {
    ft_units::parse_range(text(node, property)?.0).ok()
}

/// A property as a count.
pub fn count(node: &Node, property: &str) -> Option<u32> {
    number(node, property)
        .filter(|number| number.fract() == 0.0 && (0.0..1e6).contains(number))
        .map(|number| number as u32)
}

/// A property as a number.
pub fn number(node: &Node, property: &str) -> Option<f64> {
    match &node.property(property)?.value {
        Value::Number(number) => Some(number.value),
        Value::String(_) | Value::Bool(_) | Value::Null => None,
    }
}

/// Whether a flag stands on the node.
pub fn has_flag(node: &Node, flag: &str) -> bool {
    node.arguments.iter().any(|entry| entry.bare && entry.as_text() == Some(flag))
}

/// Minutes after midnight of a time of day such as `22:30`.
pub fn clock(text: &str) -> Option<u32> {
    let (hours, minutes) = text.split_once(':')?;
    let digits = |text: &str| text.len() == 2 && text.bytes().all(|byte| byte.is_ascii_digit());
    if !(digits(hours) && digits(minutes)) {
        return None;
    }
    let (hours, minutes): (u32, u32) = (hours.parse().ok()?, minutes.parse().ok()?);
    (hours < 24 && minutes < 60).then_some(hours * 60 + minutes)
}

/// A limit: least, most and unit.
pub fn limits(text: &str) -> Option<(Option<f64>, Option<f64>, String)> {
    let text = text.trim();
    let number_and_unit = |text: &str| -> Option<(f64, String)> {
        let text = text.trim();
        let end =
            text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(text.len());
        let unit = text[end..].trim();
        Some((text[..end].parse::<f64>().ok().filter(|n| n.is_finite())?, unit.to_owned()))
            .filter(|_| !unit.is_empty())
    };
    if let Some(rest) = text.strip_prefix('<') {
        return number_and_unit(rest).map(|(most, unit)| (None, Some(most), unit));
    }
    if let Some(rest) = text.strip_prefix('>') {
        return number_and_unit(rest).map(|(least, unit)| (Some(least), None, unit));
    }
    let (low, high) = text.split_once("..")?;
    let (most, unit) = number_and_unit(high)?;
    let least = low.trim().parse::<f64>().ok().filter(|least| least.is_finite() && *least <= most)?;
    Some((Some(least), Some(most), unit))
}

/// Whether an entry looks like a language code: two or three small letters, perhaps with a region.
fn is_language(entry: &Entry) -> bool {
    entry.as_text().is_some_and(|text| {
        let base = text.split('-').next().unwrap_or_default();
        (2..=3).contains(&base.len()) && base.bytes().all(|byte| byte.is_ascii_lowercase())
    })
}

/// Whether a property stands in the braces instead, as a property may that takes several names.
fn as_child(node: &Node, property: &Property) -> bool {
    node.children().iter().any(|child| child.name.text == property.name)
}

fn list(words: &[&str]) -> String {
    words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
}

/// How a node of this word begins: its name and its values.
fn head(word: &Word) -> String {
    let mut rest = word.example;
    for _ in 0..=word.arguments.len() {
        rest = rest.trim_start_matches(' ');
        let end = match rest.strip_prefix('"') {
            Some(quoted) => quoted.find('"').map_or(rest.len(), |at| at + 2),
            None => rest.find(' ').unwrap_or(rest.len()),
        };
        rest = &rest[end..];
    }
    format!("`{}`", &word.example[..word.example.len() - rest.len()])
}

/// What is expected, for a sentence.
fn what(takes: Takes) -> &'static str {
    match takes {
        Takes::NewName => "a name",
        Takes::Name(_) => "the name of something declared",
        Takes::Text | Takes::LanguageText => "a text",
        Takes::Language => "a language code",
        Takes::Word(_) => "a word",
        Takes::Count(..) => "a whole number",
        Takes::Number(_) => "a number",
        Takes::Volume => "a volume",
        Takes::Mass => "a mass",
        Takes::Time => "a time",
        Takes::Temperature => "a temperature",
        Takes::Strengths => "a range of strengths",
        Takes::Clock => "a time of day",
        Takes::Limits => "limits with their unit",
    }
}

fn example(takes: Takes) -> &'static str {
    match takes {
        Takes::Count(..) | Takes::Number(_) => "a number, such as `2`",
        Takes::Volume => "`\"7 L\"`",
        Takes::Mass => "`\"6 kg\"`",
        Takes::Time => "`\"90 s\"`",
        Takes::Temperature => "`\"5 °C\"`",
        Takes::Strengths | Takes::Limits => "`\"100..200 mg/L\"`",
        Takes::Clock => "`\"22:30\"`",
        Takes::NewName
        | Takes::Name(_)
        | Takes::Text
        | Takes::LanguageText
        | Takes::Language
        | Takes::Word(_) => "a text in quotes",
    }
}
