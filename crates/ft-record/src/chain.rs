//! The chain: each stored event carries the hash of the one before it, so that a change shows.
//!
//! What is hashed is exactly what is stored and exported: one line of JSON, the *text*
//!
//! ```text
//! {"seq":7,"received_ms":1764100000000,"event":{…}}
//! ```
//!
//! and the rule is `hash = SHA-256(prev ‖ text)`: the 32 bytes of the previous hash, then the UTF-8 bytes of the
//! text. Before the first event stand 32 zero bytes. Whoever verifies never writes JSON anew, so no rule about
//! blanks, key order or the spelling of numbers is needed: the bytes are the record.

use std::fmt;

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use sha2::{Digest, Sha256};

use crate::event::Event;
use crate::upcast::{Unreadable, read_event};

/// SHA-256 of the link before, and of the text.
pub type Hash = [u8; 32];

/// What stands before the first event.
pub const GENESIS: Hash = [0; 32];

/// An event as it lies in the record.
#[derive(Debug, Clone, PartialEq)]
pub struct Stored {
    /// Its place, from 1 without a gap.
    pub seq: u64,
    /// When the record took it, milliseconds since 1970-01-01 UTC.
    pub received_ms: i64,
    /// The hash of the event before it, or [`GENESIS`].
    pub prev: Hash,
    /// SHA-256 over `prev` and `text`.
    pub hash: Hash,
    /// The exact text that is hashed, stored and exported.
    pub text: String,
    /// What the text says, in today's shape.
    pub event: Event,
}

impl Stored {
    /// The next link: the event put into its text and hashed onto `prev`.
    pub fn link(prev: Hash, seq: u64, received_ms: i64, event: Event) -> Self {
        let text = text(seq, received_ms, &event);
        let hash = hash(&prev, &text);
        Self { seq, received_ms, prev, hash, text, event }
    }

    /// Reads a link as it was stored, without judging its hash.
    ///
    /// # Errors
    /// [`Unreadable`], if the text is not one that any version of this program wrote.
    pub fn read(prev: Hash, hash: Hash, text: String) -> Result<Self, Unreadable> {
        let parts: Parts = serde_json::from_str(&text).map_err(|error| Unreadable::new(&error))?;
        let event = read_event(parts.event.get())?;
        Ok(Self { seq: parts.seq, received_ms: parts.received_ms, prev, hash, text, event })
    }
}

#[derive(Serialize)]
struct Written<'a> {
    seq: u64,
    received_ms: i64,
    event: &'a Event,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Parts<'a> {
    seq: u64,
    received_ms: i64,
    #[serde(borrow)]
    event: &'a RawValue,
}

fn text(seq: u64, received_ms: i64, event: &Event) -> String {
    serde_json::to_string(&Written { seq, received_ms, event })
        .expect("an event is plain data with text keys")
}

/// SHA-256 over a link and a text.
pub fn hash(prev: &Hash, text: &str) -> Hash {
    Sha256::new().chain_update(prev).chain_update(text.as_bytes()).finalize().into()
}

/// A link as it was found, before anybody has judged it: hashes in lower case hex, or whatever stands there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// The place that it is at.
    pub seq: u64,
    /// What stands there as the hash of the link before.
    pub prev: String,
    /// What stands there as its hash.
    pub hash: String,
    /// Its text.
    pub text: String,
}

/// Where a chain breaks first, and how.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broken {
    /// The place of the first link that does not hold.
    pub seq: u64,
    /// What is wrong with it.
    pub how: Break,
}

/// How a link can break.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Break {
    /// The place is missing: the next one found is this.
    Gap(u64),
    /// It does not name the hash of the event before it.
    Prev,
    /// Its hash is not that of its text.
    Hash,
    /// Its text cannot be read, or says another place than the one it is at.
    Text(String),
    /// It and what follows are missing: there is a seal up to this place.
    Cut(u64),
    /// A seal speaks of it, and not truly.
    Seal(String),
}

impl fmt::Display for Broken {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let seq = self.seq;
        match &self.how {
            Break::Gap(next) => write!(out, "event {seq} is missing: event {next} stands in its place"),
            Break::Prev => write!(out, "event {seq} does not follow on the event before it"),
            Break::Hash => {
                write!(out, "event {seq} is not what was hashed: its text or its hash was changed")
            }
            Break::Text(why) => write!(out, "event {seq} cannot be read: {why}"),
            Break::Cut(sealed) => {
                write!(out, "event {seq} is missing: the record was sealed up to event {sealed}")
            }
            Break::Seal(why) => write!(out, "the seal of event {seq} does not hold: {why}"),
        }
    }
}

impl std::error::Error for Broken {}

/// Follows a chain link by link; holds nothing but its end.
#[derive(Debug, Clone)]
pub struct Verifier {
    seq: u64,
    hash: Hash,
}

impl Default for Verifier {
    fn default() -> Self {
        Self { seq: 0, hash: GENESIS }
    }
}

impl Verifier {
    /// The place and hash of the last link that held.
    pub fn head(&self) -> (u64, Hash) {
        (self.seq, self.hash)
    }

    /// Takes the next link.
    ///
    /// # Errors
    /// [`Broken`], if it does not hold; the verifier stays where it was.
    pub fn take(&mut self, link: &Link) -> Result<Stored, Broken> {
        let due = self.seq + 1;
        let broken = |how| Broken { seq: due, how };
        if link.seq != due {
            return Err(broken(Break::Gap(link.seq)));
        }
        if unhex(&link.prev) != Some(self.hash) {
            return Err(broken(Break::Prev));
        }
        let hash = hash(&self.hash, &link.text);
        if unhex(&link.hash) != Some(hash) {
            return Err(broken(Break::Hash));
        }
        let stored = Stored::read(self.hash, hash, link.text.clone())
            .map_err(|unreadable| broken(Break::Text(unreadable.to_string())))?;
        if stored.seq != due {
            return Err(broken(Break::Text(format!("it says that it is event {}", stored.seq))));
        }
        self.seq = due;
        self.hash = hash;
        Ok(stored)
    }
}

/// Lower case hex.
pub fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    bytes
        .iter()
        .flat_map(|byte| [byte >> 4, byte & 15])
        .map(|digit| char::from(DIGITS[usize::from(digit)]))
        .collect()
}

/// Bytes from lower case hex; `None` where the text is not `N` bytes of it.
pub fn unhex<const N: usize>(text: &str) -> Option<[u8; N]> {
    let digits = text.as_bytes();
    if digits.len() != 2 * N {
        return None;
    }
    let mut out = [0; N];
    for (byte, pair) in out.iter_mut().zip(digits.chunks_exact(2)) {
        *byte = digit(pair[0])? << 4 | digit(pair[1])?;
    }
    Some(out)
}

fn digit(letter: u8) -> Option<u8> {
    match letter {
        b'0'..=b'9' => Some(letter - b'0'),
        b'a'..=b'f' => Some(letter - b'a' + 10),
        _ => None,
    }
}
