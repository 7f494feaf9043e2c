//! Who, where, when: what every event carries.

use serde::{Deserialize, Serialize};

use crate::fact::Fact;

/// The version in which events are written today. Older ones are read for ever.
pub const VERSION: u32 = 1;

/// Something that happened, as the device that saw it says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// The version of its shape.
    pub v: u32,
    /// Made by the device (`UUIDv7`, lower case), so that sending it twice stores it once.
    pub id: String,
    /// The device that made it.
    pub device: String,
    /// The device's own count, from 1, without a gap: the order in which its events happened.
    pub order: u64,
    /// The device's wall clock, milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
    /// The device's time zone, by its name in the time zone database.
    pub zone: String,
    /// Who; `None`: nobody was signed in (a probe, the program itself).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub person: Option<String>,
    /// The run that it belongs to: the id of the event that opened it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run: Option<String>,
    /// The machine, by the name that its kitchen gives it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine: Option<String>,
    /// What happened.
    pub fact: Fact,
}

impl Event {
    /// Whether it can be written down and read back as it is: JSON has no word for a number that is none.
    pub fn is_writable(&self) -> bool {
        match &self.fact {
            Fact::Reading { value, .. } => value.is_finite(),
            Fact::LotReceived { litres, .. } | Fact::Blended { litres, .. } | Fact::Served { litres, .. } => {
                litres.is_finite()
            }
            Fact::ProbeWatched { lowest, highest, mean, .. } => {
                [lowest, highest, mean].into_iter().all(|figure| figure.is_none_or(f64::is_finite))
            }
            Fact::AlarmRaised { value, .. } => value.is_none_or(f64::is_finite),
            Fact::Discarded { litres, .. } => litres.is_none_or(f64::is_finite),
            _ => true,
        }
    }
}
