//! Which message or row is which reading: the mapping, as a file says it once.

mod places;
mod probe;
mod read;
mod values;

use std::collections::BTreeMap;

use crate::limit::Limit;
use crate::unit::ProbeUnit;

pub use places::{Places, check_places};
pub use read::{ReadMapping, read};

/// What a file of probes says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mapping {
    /// The broker, where messages are listened to.
    pub broker: Option<Broker>,
    /// The folder that loggers write to.
    pub folder: Option<Folder>,
    /// The probes, in the order of the file; names and `of` are unique.
    pub probes: Vec<Probe>,
}

/// An MQTT broker.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broker {
    /// Its name or address.
    pub host: String,
    /// Its port.
    pub port: u16,
    /// The name under which the program signs in; unique at the broker.
    pub client: String,
    /// The user, where the broker asks for one.
    pub user: Option<String>,
    /// The environment variable that holds the password: none stands in a file.
    pub password_env: Option<String>,
    /// A silence after which each side asks whether the other is there, seconds.
    pub keep_alive_s: u16,
}

/// A folder that loggers write to.
#[derive(Debug, Clone, PartialEq)]
pub struct Folder {
    /// Where, from the folder of the mapping.
    pub path: String,
    /// How often it is looked at, seconds.
    pub look_s: f64,
}

/// A probe.
#[derive(Debug, Clone, PartialEq)]
pub struct Probe {
    /// Its name in the kitchen.
    pub name: String,
    /// What it is called, by language.
    pub labels: BTreeMap<String, String>,
    /// What it measures, such as `temperature`.
    pub measures: String,
    /// The place of the kitchen at which it is.
    pub place: Option<String>,
    /// The machine that it belongs to.
    pub machine: Option<String>,
    /// The machine's vessel that it is in.
    pub vessel: Option<String>,
    /// The unit in which its readings are kept and shown.
    pub unit: ProbeUnit,
    /// What is good.
    pub limit: Option<Limit>,
    /// Whose limit that is.
    pub whose: Option<String>,
    /// Beyond this somebody is warned before the limit is met.
    pub warn: Option<Limit>,
    /// What it can show at all, in `unit`; anything else is a broken wire or another unit.
    pub possible: (f64, f64),
    /// How often it promises a reading, seconds.
    pub every_s: f64,
    /// A silence after which nobody knows, seconds; not shorter than `every_s`.
    pub silent_s: f64,
    /// When a reading goes into the record.
    pub keep: Keep,
    /// How far the slope is looked along, seconds.
    pub ahead_s: f64,
    /// Over which time the slope is taken, seconds.
    pub window_s: f64,
    /// Where its readings come from.
    pub source: Source,
}

/// When a reading goes into the record one by one; the others are counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Keep {
    /// When it moved by so much since the last one that was kept, in the probe's unit.
    pub step: f64,
    /// When so many seconds have passed since.
    pub every_s: f64,
    /// But not more often than this, seconds, unless it went out of its limit.
    pub least_s: f64,
}

/// Where a probe's readings come from.
#[derive(Debug, Clone, PartialEq)]
pub enum Source {
    /// Messages of a topic.
    Topic {
        /// The topic, without wildcards.
        topic: String,
        /// Where the value stands in a message in JSON (RFC 6901); `None`: the message is the number.
        value: Option<String>,
        /// Where its unit stands.
        unit: Option<String>,
        /// Where its time stands: a text with an offset, or seconds or milliseconds since 1970.
        time: Option<String>,
    },
    /// Rows of files.
    File(Columns),
}

/// Which column of a logger's file means what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Columns {
    /// The file's name, with at most one `*` for what changes in it.
    pub file: String,
    /// Column of the time, or of date and time.
    pub time: String,
    /// Column of the date where it stands apart.
    pub date: Option<String>,
    /// Column of the value.
    pub value: String,
    /// Column of the unit, where each row has its own.
    pub unit: Option<String>,
    /// Zone of the logger's clock.
    pub zone: String,
    /// How times are written, in the manner of `strptime`; ISO 8601 where it is not given.
    pub format: Option<String>,
    /// What stands between columns.
    pub delimiter: char,
    /// Whether decimals have a comma.
    pub decimal_comma: bool,
}

impl Probe {
    /// Under which name its readings stand in the record: a vessel's temperature by its vessel, `machine/vessel`, so
    /// that whoever asks for that finds it; else by its own name.
    pub fn of(&self) -> String {
        match (&self.machine, &self.vessel) {
            (Some(machine), Some(vessel)) if self.measures == "temperature" => format!("{machine}/{vessel}"),
            _ => self.name.clone(),
        }
    }

    /// What it is called in a language.
    pub fn label(&self, language: &str) -> &str {
        self.labels.get(language).unwrap_or(&self.name)
    }

    /// Whether a value is within the limit; `None` where there is none.
    pub fn is_good(&self, value: f64) -> Option<bool> {
        self.limit.as_ref().and_then(|limit| limit.holds(value, self.unit))
    }
}

/// Whether a file's name fits a pattern with at most one `*`.
pub fn fits(pattern: &str, name: &str) -> bool {
    match pattern.split_once('*') {
        None => pattern == name,
        Some((before, after)) => {
            before.len() + after.len() <= name.len() && name.starts_with(before) && name.ends_with(after)
        }
    }
}
