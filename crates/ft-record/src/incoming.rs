//! Whether an event that a device sent may go into the record: sizes, shapes and names, not who may do what.

use std::collections::BTreeSet;

use crate::event::{Event, VERSION};
use crate::fact::{Fact, PartRef};
use crate::id::is_uuid7;

/// The longest event, bytes of its JSON. A run with many machines and loads is the longest that there is.
pub const MOST_BYTES: usize = 64 * 1024;
/// The longest name of a device, a person, a lot, a part.
pub const MOST_NAME: usize = 200;
/// The longest words that a person can leave.
pub const MOST_WORDS: usize = 4000;
/// The earliest and latest clock that is believed: the years 2020 to 2099.
pub const CLOCK_MS: std::ops::Range<i64> = 1_577_836_800_000..4_102_444_800_000;

/// Why an event is not taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// A stable code.
    pub code: &'static str,
    /// What is wrong and what would be right, a sentence.
    pub sentence: String,
}

/// What is known where the event arrives.
#[derive(Debug, Clone, Default)]
pub struct Known {
    /// The machines of this kitchen.
    pub machines: BTreeSet<String>,
}

/// Looks at an event before it is taken.
///
/// # Errors
/// The first [`Refusal`]; an event that is refused once is refused always, so the device need not keep it.
pub fn check(event: &Event, known: &Known) -> Result<(), Refusal> {
    shape(event)?;
    belongs(event, known)?;
    words(&event.fact)?;
    let long = serde_json::to_string(event).map_or(usize::MAX, |json| json.len());
    if long > MOST_BYTES {
        return refused("E0009", format!("the event is {long} bytes long; {MOST_BYTES} are possible"));
    }
    Ok(())
}

fn refused<T>(code: &'static str, sentence: String) -> Result<T, Refusal> {
    Err(Refusal { code, sentence })
}

fn shape(event: &Event) -> Result<(), Refusal> {
    if event.v != VERSION {
        return refused(
            "E0001",
            format!("the event is of version {}; load the page anew, it has to be {VERSION}", event.v),
        );
    }
    if !is_uuid7(&event.id) {
        return refused("E0002", format!("`{}` is no id: a UUIDv7 in lower case is", shortened(&event.id)));
    }
    if event.order == 0 || event.order > u64::from(u32::MAX) {
        return refused("E0003", format!("{} is no count of a device: it begins at 1", event.order));
    }
    if !CLOCK_MS.contains(&event.at_ms) {
        return refused(
            "E0004",
            "the device's clock is outside the years 2020 to 2099: set it right".to_owned(),
        );
    }
    let zone = !event.zone.is_empty()
        && event.zone.len() <= 64
        && event.zone.bytes().all(|letter| letter.is_ascii_alphanumeric() || b"/_+-".contains(&letter));
    if !zone {
        return refused(
            "E0004",
            format!("`{}` is no time zone such as Europe/Madrid", shortened(&event.zone)),
        );
    }
    if !event.is_writable() {
        return refused(
            "E0005",
            "a number in the event is none: leave it out or send it as a number".to_owned(),
        );
    }
    Ok(())
}

fn belongs(event: &Event, known: &Known) -> Result<(), Refusal> {
    name("device", &event.device)?;
    for (what, text) in [("person", &event.person), ("machine", &event.machine)] {
        if let Some(text) = text {
            name(what, text)?;
        }
    }
    if let Some(run) = &event.run
        && !is_uuid7(run)
    {
        return refused(
            "E0006",
            format!("`{}` is no run: the id of the event that opened it is", shortened(run)),
        );
    }
    if let Some(machine) = &event.machine
        && !known.machines.contains(machine)
    {
        return refused("E0007", format!("there is no machine `{}` in this kitchen", shortened(machine)));
    }
    let move_of_a_machine = matches!(event.fact, Fact::Happened { .. } | Fact::Differed { .. });
    if (move_of_a_machine || part(&event.fact).is_some()) && (event.run.is_none() || event.machine.is_none())
    {
        return refused("E0008", "a step or a part belongs to a run and a machine: name both".to_owned());
    }
    Ok(())
}

pub(crate) fn part(fact: &Fact) -> Option<&PartRef> {
    match fact {
        Fact::PartSeen { part, .. }
        | Fact::PartMoved { part, .. }
        | Fact::PartMissing { part, .. }
        | Fact::PartFound { part, .. }
        | Fact::PartInspected { part, .. }
        | Fact::PartReplaced { part, .. } => Some(part),
        _ => None,
    }
}

fn words(fact: &Fact) -> Result<(), Refusal> {
    if let Some(part) = part(fact) {
        name("part", &part.part)?;
    }
    match fact {
        Fact::Happened { event } => name("step", event),
        Fact::Differed { because, .. }
        | Fact::Corrected { because, .. }
        | Fact::Overridden { because, .. } => {
            if because.trim().is_empty() {
                return refused("E0010", "a reason is missing: say why, in a few words".to_owned());
            }
            long_words(because)
        }
        Fact::Note { text }
        | Fact::FaultOpened { text }
        | Fact::FaultClosed { text, .. }
        | Fact::AlarmAcknowledged { text, .. } => long_words(text),
        Fact::Photo { sha256, .. } if crate::chain::unhex::<32>(sha256).is_none() => {
            refused("E0011", "a picture is named by the SHA-256 of its bytes in lower case hex".to_owned())
        }
        Fact::Blended { litres, .. } | Fact::Served { litres, .. } | Fact::LotReceived { litres, .. }
            if *litres < 0.0 =>
        {
            refused("E0012", format!("{litres} litres are none: an amount is 0 or more"))
        }
        Fact::TimerStarted { seconds, .. } if *seconds > 7 * 24 * 3600 => {
            refused("E0013", format!("a timer of {seconds} s is longer than a week"))
        }
        _ => Ok(()),
    }
}

fn name(what: &str, text: &str) -> Result<(), Refusal> {
    if text.is_empty() || text.len() > MOST_NAME || text.chars().any(char::is_control) {
        return refused("E0006", format!("`{}` is no name of a {what}", shortened(text)));
    }
    Ok(())
}

fn long_words(text: &str) -> Result<(), Refusal> {
    if text.len() > MOST_WORDS {
        return refused(
            "E0009",
            format!("the words are {} bytes long; {MOST_WORDS} are possible", text.len()),
        );
    }
    Ok(())
}

/// What somebody sent may be long: enough of it to know it again.
fn shortened(text: &str) -> String {
    text.chars().take(40).filter(|letter| !letter.is_control()).collect()
}
