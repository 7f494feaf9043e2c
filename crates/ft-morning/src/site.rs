//! Where the kitchen is, what its machines are, and in which language a page is.

use ft_machine::{Machine, Words};
use ft_pages::Language;
use jiff::Timestamp;
use jiff::tz::TimeZone;

/// A machine where it stands.
#[derive(Debug, Clone, Copy)]
pub struct Place<'a> {
    /// What the kitchen calls it.
    pub name: &'a str,
    /// What people call it, by language.
    pub label: &'a Words,
    /// The machine.
    pub machine: &'a Machine,
}

/// The kitchen, for a page.
#[derive(Debug, Clone)]
pub struct Site<'a> {
    /// The page's language.
    pub language: Language,
    /// Where the kitchen is.
    pub zone: TimeZone,
    /// Its machines, in its order.
    pub machines: Vec<Place<'a>>,
}

impl Site<'_> {
    /// One of two texts, by the page's language.
    pub(crate) fn say<'t>(&self, english: &'t str, spanish: &'t str) -> &'t str {
        match self.language {
            Language::English => english,
            Language::Spanish => spanish,
        }
    }

    /// Words of a file in the page's language, else in English, else `otherwise`.
    pub(crate) fn pick<'w>(&self, words: &'w Words, otherwise: &'w str) -> &'w str {
        words.get(self.language.code()).or_else(|| words.get("en")).map_or(otherwise, String::as_str)
    }

    /// Day and time where the kitchen is, such as `2026-06-02 07:30`.
    pub fn clock(&self, at_ms: i64) -> String {
        let at = Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH);
        self.zone.to_datetime(at).strftime("%Y-%m-%d %H:%M").to_string()
    }

    /// The time alone.
    pub(crate) fn time(&self, at_ms: i64) -> String {
        let at = Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH);
        self.zone.to_datetime(at).strftime("%H:%M").to_string()
    }

    /// What a machine is called.
    pub(crate) fn label(&self, name: &str) -> String {
        let found = self.machines.iter().find(|place| place.name == name);
        found.map_or(name, |place| self.pick(place.label, place.name)).to_owned()
    }

    /// What a lot or a vessel (`machine/vessel`, with its side in brackets) is called.
    pub(crate) fn place(&self, place: &str) -> String {
        match place.split_once('/') {
            Some((machine, vessel)) => {
                let found = self
                    .machines
                    .iter()
                    .find(|one| one.name == machine)
                    .and_then(|one| one.machine.vessels.iter().find(|known| known.named.name == vessel));
                let name = found.map_or(vessel, |known| self.pick(&known.named.label, vessel));
                format!("{}: {name}", self.label(machine))
            }
            None => place.to_owned(),
        }
    }
}

/// Litres as they are shown.
pub(crate) fn litres(amount: f64) -> String {
    format!("{amount:.2} L")
}
