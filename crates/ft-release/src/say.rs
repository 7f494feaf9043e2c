//! Sentences, in the languages that people read here.

use ft_form::Words;
use ft_record::PartRef;

use crate::decision::{Code, Evidence, Reason, TextReference};
use crate::morning::Told;
use ft_record::Event;

/// A sentence in English and Spanish.
pub(crate) fn words(en: impl Into<String>, es: impl Into<String>) -> Words {
    Words::from([("en".to_owned(), en.into()), ("es".to_owned(), es.into())])
}

/// A label in a language, or in the first that there is, or the name.
pub(crate) fn in_language<'a>(label: &'a Words, language: &str, name: &'a str) -> &'a str {
    label.get(language).or_else(|| label.values().next()).map_or(name, String::as_str)
}

/// A reason without evidence.
pub(crate) fn reason(code: Code, subject: impl Into<String>, sentence: Words, yes_when: Words) -> Reason {
    let subject = subject.into();
    Reason {
        key: format!("{}/{subject}", code.word()),
        code,
        subject,
        sentence,
        evidence: Vec::new(),
        text: None,
        may_be_overridden: code.may_be_overridden(),
        overridden: None,
        yes_when,
    }
}

impl Reason {
    /// With an event that it rests on.
    #[must_use]
    pub(crate) fn by(mut self, event: &str, at_ms: i64) -> Self {
        self.evidence.push(Evidence {
            event: Some(event.to_owned()),
            at_ms: Some(at_ms),
            ..Evidence::default()
        });
        self
    }

    /// With an event of the record that it rests on.
    #[must_use]
    pub(crate) fn by_event(self, event: &Event) -> Self {
        self.by(&event.id, event.at_ms)
    }

    /// With something told that it rests on.
    #[must_use]
    pub(crate) fn by_told<T>(self, told: &Told<T>) -> Self {
        self.by(&told.event, told.at_ms)
    }

    /// With the value that was found and the limit that holds, beside the last event or on their own.
    #[must_use]
    pub(crate) fn found(mut self, value: impl Into<String>, limit: impl Into<String>) -> Self {
        if self.evidence.is_empty() {
            self.evidence.push(Evidence::default());
        }
        if let Some(last) = self.evidence.last_mut() {
            last.value = Some(value.into());
            last.limit = Some(limit.into());
        }
        self
    }

    /// With the text behind it.
    #[must_use]
    pub(crate) fn says(mut self, says: impl Into<String>) -> Self {
        self.text = Some(TextReference { says: says.into() });
        self
    }
}

/// A part as people tell it apart: its name, side and number.
pub(crate) fn part_name(part: &PartRef) -> String {
    let side = part.side.as_ref().map(|side| format!(" ({side})")).unwrap_or_default();
    let number = part.number.map(|number| format!(", number {number}")).unwrap_or_default();
    format!("{}{side}{number}", part.part)
}
