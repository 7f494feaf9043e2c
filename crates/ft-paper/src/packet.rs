//! The inspection packet: what a night, a week or a lot has to show, with how to check it.
//!
//! The input is data and stays readable as JSON; `docs/paper.md` describes it. Times are texts as they are to be read:
//! whoever makes the packet knows the clock and the zone.

mod sections;

use serde::{Deserialize, Serialize};

use crate::NoPaper;
use crate::document::Document;

/// A packet.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Packet {
    /// What the kitchen is called.
    pub kitchen: String,
    /// What it is about: a night, a week, a lot; a few words.
    pub about: String,
    /// When and from what it was made.
    pub made: String,
    /// Language, such as `es`.
    pub language: String,
    /// May it serve: one for each machine and night.
    #[serde(default)]
    pub releases: Vec<Release>,
    /// Readings against their limits.
    #[serde(default)]
    pub readings: Vec<Reading>,
    /// Parts in their slots.
    #[serde(default)]
    pub parts: Vec<PartSeen>,
    /// Lots.
    #[serde(default)]
    pub lots: Vec<Lot>,
    /// Who did what, and was allowed to.
    #[serde(default)]
    pub people: Vec<Person>,
    /// What went differently.
    #[serde(default)]
    pub deviations: Vec<Deviation>,
    /// Pictures: our own SVG with the words for it.
    #[serde(default)]
    pub pictures: Vec<Drawing>,
    /// The record that all of it comes from.
    #[serde(default)]
    pub record: Option<Record>,
}

/// Whether something holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Holds {
    /// It does.
    Yes,
    /// It does not.
    No,
    /// It is not known, and so does not count as holding.
    #[default]
    Unknown,
}

/// An answer to: may it serve?
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Release {
    /// Which machine, which morning.
    pub of: String,
    /// The answer.
    pub may_serve: Holds,
    /// Every reason.
    #[serde(default)]
    pub reasons: Vec<Reason>,
    /// What would turn a no into a yes.
    #[serde(default)]
    pub would_help: Vec<String>,
    /// Who signed and when; empty: nobody has.
    #[serde(default)]
    pub signed: String,
}

/// A reason of a release.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reason {
    /// Whether it holds.
    pub holds: Holds,
    /// One plain sentence.
    pub says: String,
    /// What shows it: events, readings, times.
    #[serde(default)]
    pub evidence: String,
    /// The text that asks for it, if one does.
    #[serde(default)]
    pub rule: String,
    /// Who overrode it and why; empty: nobody.
    #[serde(default)]
    pub overridden: String,
}

/// A reading.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// When.
    pub at: String,
    /// Of what.
    pub what: String,
    /// Value with its unit; empty: a gap.
    #[serde(default)]
    pub value: String,
    /// Limit with its unit.
    #[serde(default)]
    pub limit: String,
    /// Whose limit.
    #[serde(default)]
    pub whose: String,
    /// Whether it is within.
    pub within: Holds,
    /// Who or what took it.
    #[serde(default)]
    pub by: String,
}

/// A part in its slot.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartSeen {
    /// Its slot: number or code.
    pub slot: String,
    /// What it is.
    pub part: String,
    /// Whether it was there.
    pub there: Holds,
    /// What was seen, in words.
    #[serde(default)]
    pub state: String,
    /// When and by whom.
    #[serde(default)]
    pub seen: String,
}

/// A lot.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lot {
    /// Its code.
    pub code: String,
    /// The product.
    pub product: String,
    /// What happened to it: received, opened, blended, with times.
    #[serde(default)]
    pub history: String,
    /// Discard by.
    #[serde(default)]
    pub discard_by: String,
    /// Share of what was served, such as `62 %`.
    #[serde(default)]
    pub share: String,
    /// Whether it is in date.
    pub in_date: Holds,
}

/// A person.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// Name.
    pub name: String,
    /// Role.
    #[serde(default)]
    pub role: String,
    /// What they did that asks for a skill.
    #[serde(default)]
    pub did: String,
    /// Whether they may do it.
    pub may: Holds,
}

/// Something that went differently.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Deviation {
    /// When.
    pub at: String,
    /// What.
    pub what: String,
    /// What was done about it.
    #[serde(default)]
    pub then: String,
}

/// A picture.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drawing {
    /// Its heading.
    pub title: String,
    /// What it shows, for those who do not see it.
    pub alt: String,
    /// One of our SVG pictures.
    pub svg: String,
}

/// The record.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// From when to when.
    pub span: String,
    /// How many events.
    pub events: u64,
    /// Hash of the last one, in hexadecimal.
    pub hash: String,
    /// Key of the site, in hexadecimal; empty: not signed.
    #[serde(default)]
    pub key: String,
    /// How to verify it, line by line.
    #[serde(default)]
    pub verify: Vec<String>,
}

/// The packet as a document.
///
/// # Errors
/// [`NoPaper::Picture`] for a picture that is not one of ours; [`NoPaper::TooLongForQr`] for a hash that is none.
pub fn document(packet: &Packet) -> Result<Document, NoPaper> {
    sections::document(packet)
}
