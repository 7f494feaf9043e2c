//! What came from outside: a reading, or why it is none.

use std::fmt;

/// A reading of a probe, in the probe's own unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// When, milliseconds since 1970.
    pub at_ms: i64,
    /// The value.
    pub value: f64,
    /// Whether it came in another unit and was converted.
    pub is_converted: bool,
}

/// Why what came is no reading. It is counted and shown; nothing of it goes into the record as a reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// Its code, from `P0101`.
    pub code: &'static str,
    /// What is wrong, one plain sentence without a full stop.
    pub message: String,
    /// What would be right.
    pub remedy: String,
}

impl Refusal {
    /// A refusal.
    pub fn new(code: &'static str, message: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { code, message: message.into(), remedy: remedy.into() }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}; {}", self.code, self.message, self.remedy)
    }
}

/// What a message or a row came to.
pub type Arrival = Result<Reading, Refusal>;

/// What somebody sent may be long and may be anything: enough of it to know it again.
pub(crate) fn shown(text: &str) -> String {
    ft_diag::shorten(text)
}
