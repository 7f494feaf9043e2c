//! The certificate of a proof, as plain data, and its JSON text (`docs/proof-format.md`).
//!
//! A certificate does not say how a proof was found. It names *slices* of the form, each a few variables and
//! the events that matter to them, and says which claims can be read off each slice. Whoever checks it explores
//! the slices anew and believes nothing else.

use serde::{Deserialize, Serialize};

use crate::types::{EventId, VarId};

/// The version of the text that [`fn@print`] writes and [`parse`] reads.
pub const VERSION: u32 = 1;

/// Why a form is proved.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Certificate {
    /// Version of the format.
    pub version: u32,
    /// Orders that follow from guards, each from the form's `pre` and those before it in the list.
    pub inferred: Vec<Inferred>,
    /// The slices, in an order in which each relies only on claims of those before it.
    pub slices: Vec<Slice>,
}

/// An order that a guard forces: nothing makes the guard of `after` on `var` true before `before` has happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inferred {
    /// The event that comes first.
    pub before: EventId,
    /// The event whose guard needs it.
    pub after: EventId,
    /// The variable of that guard.
    pub var: VarId,
}

/// A part of the form that is explored on its own: everything else is taken to be free.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Slice {
    /// Variables whose values are followed, sorted.
    pub vars: Vec<VarId>,
    /// Events that are followed, sorted; every event that changes one of `vars` is among them.
    pub events: Vec<EventId>,
    /// How many states the slice has, up to exchanging events that are alike.
    pub states: u64,
    /// What holds in each of them.
    pub claims: Vec<Claim>,
}

/// Something that holds in each state of a slice, and therefore of the form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase", deny_unknown_fields)]
pub enum Claim {
    /// The hazard with this index is never shown.
    Hazard(usize),
    /// The variable always has one of these values.
    Always {
        /// The variable.
        var: VarId,
        /// The values, as in a condition.
        mask: u64,
    },
    /// Whenever this event has not happened and all before it has, this part of its guard holds.
    Ready {
        /// The event.
        event: EventId,
        /// Index into its guard.
        part: usize,
    },
    /// Whenever nothing more can happen, the variable has one of these values.
    Rest {
        /// The variable.
        var: VarId,
        /// The values, as in a condition.
        mask: u64,
    },
    /// This part of the goal holds once every event has happened.
    Goal(usize),
    /// Something can happen in each state in which events remain.
    Deadlock,
}

/// The certificate as one line of JSON.
pub fn print(certificate: &Certificate) -> String {
    serde_json::to_string(certificate).expect("numbers and lists always have a JSON text")
}

/// Reads a certificate.
///
/// # Errors
/// What is wrong with the text, with line and column, or that its version is not [`VERSION`].
pub fn parse(text: &str) -> Result<Certificate, String> {
    let certificate: Certificate = serde_json::from_str(text).map_err(|error| error.to_string())?;
    if certificate.version == VERSION {
        Ok(certificate)
    } else {
        Err(format!("the certificate is of version {}; this program reads {VERSION}", certificate.version))
    }
}
