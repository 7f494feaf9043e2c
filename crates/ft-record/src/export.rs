//! A record as JSON Lines, which verifies on any machine with the public key alone.
//!
//! ```text
//! {"fulltray_record":1,"key":"…"}
//! {"hash":"…64 digits…","stored":{"seq":1,"received_ms":…,"event":{…}}}
//! {"seal":{"seq":1,"hash":"…","key":"…","signature":"…","made_ms":…}}
//! ```
//!
//! What stands between `"stored":` and the last brace of the line is the text that is hashed, byte by byte.

use std::fmt;

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use crate::chain::{GENESIS, Link, hex};
use crate::seal::Seal;

/// The version of the file's shape.
const SHAPE: u32 = 1;

/// A record as it was read from a file, before anybody has judged it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exported {
    /// The public key that the file names: compare it with one that you have from elsewhere.
    pub key: String,
    /// Its links.
    pub links: Vec<Link>,
    /// Its seals.
    pub seals: Vec<Seal>,
}

/// A text that is no exported record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotExported {
    /// The line, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub why: String,
}

impl fmt::Display for NotExported {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "line {} is none of an exported record: {}", self.line, self.why)
    }
}

impl std::error::Error for NotExported {}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct First {
    fulltray_record: u32,
    key: String,
}

/// The first line.
pub fn first_line(key: &str) -> String {
    serde_json::to_string(&First { fulltray_record: SHAPE, key: key.to_owned() }).expect("plain data") + "\n"
}

/// The line of an event.
pub fn event_line(link: &Link) -> String {
    format!("{{\"hash\":\"{}\",\"stored\":{}}}\n", link.hash, link.text)
}

/// The line of a seal.
pub fn seal_line(seal: &Seal) -> String {
    format!("{{\"seal\":{}}}\n", serde_json::to_string(seal).expect("plain data"))
}

/// Reads a file; the chain is for [`crate::Follow`] to judge.
///
/// # Errors
/// [`NotExported`] names the first line that is none.
pub fn read_exported(text: &str) -> Result<Exported, NotExported> {
    let not = |line, why: String| NotExported { line, why };
    let mut lines = text.lines().zip(1..);
    let (first, _) = lines.next().ok_or_else(|| not(1, "the file is empty".to_owned()))?;
    let first: First = serde_json::from_str(first).map_err(|error| not(1, error.to_string()))?;
    if first.fulltray_record != SHAPE {
        return Err(not(1, format!("its shape is {}; this program knows {SHAPE}", first.fulltray_record)));
    }
    let mut exported = Exported { key: first.key, links: Vec::new(), seals: Vec::new() };
    let mut prev = hex(&GENESIS);
    for (line, number) in lines {
        match read_line(line).map_err(|why| not(number, why))? {
            Read::Event(seq, hash, text) => {
                exported.links.push(Link { seq, prev, hash: hash.clone(), text });
                prev = hash;
            }
            Read::Seal(seal) => exported.seals.push(seal),
        }
    }
    Ok(exported)
}

enum Read {
    Event(u64, String, String),
    Seal(Seal),
}

#[derive(Deserialize)]
struct Place {
    seq: u64,
}

#[derive(Deserialize)]
struct EventLine<'a> {
    hash: String,
    #[serde(borrow)]
    stored: &'a RawValue,
}

#[derive(Deserialize)]
struct SealLine {
    seal: Seal,
}

fn read_line(line: &str) -> Result<Read, String> {
    if line.starts_with("{\"seal\"") {
        return serde_json::from_str::<SealLine>(line)
            .map(|line| Read::Seal(line.seal))
            .map_err(|e| e.to_string());
    }
    let event: EventLine = serde_json::from_str(line).map_err(|error| error.to_string())?;
    let text = event.stored.get().to_owned();
    let place: Place = serde_json::from_str(&text).map_err(|error| error.to_string())?;
    Ok(Read::Event(place.seq, event.hash, text))
}
