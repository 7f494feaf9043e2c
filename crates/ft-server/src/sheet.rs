//! Something that is sent often and changes seldom, written once.

use serde::Serialize;
use serde_json::value::RawValue;

/// JSON that is written once and sent many times, with a mark of what it says.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// The JSON.
    pub json: Box<RawValue>,
    /// Changes whenever the JSON does: the first 32 hex digits of its SHA-256.
    pub mark: String,
}

impl Sheet {
    /// Writes something down.
    pub fn of(thing: &impl Serialize) -> Self {
        Self::read(serde_json::to_string(thing).expect("what is sent is plain data"))
    }

    /// Takes a text that is JSON already.
    pub fn read(text: String) -> Self {
        let mut mark = crate::ids::fingerprint(&text);
        mark.truncate(32);
        Self { json: RawValue::from_string(text).expect("a sheet's text is JSON"), mark }
    }
}
