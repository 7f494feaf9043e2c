//! Parts followed one by one.

use std::collections::BTreeMap;

use crate::event::Event;
use crate::fact::{Fact, Journey, PartRef};

/// Where a part is now.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PartNow {
    /// How far its journey is; `None`: nobody has said anything, so it is on the machine.
    pub journey: Option<Journey>,
    /// The slot of the tray that it lies in.
    pub slot: Option<String>,
    /// Whether it is not to be found.
    pub missing: bool,
    /// Where it was seen last.
    pub last_seen: Option<String>,
    /// When that was, by the device's clock.
    pub seen_at_ms: Option<i64>,
    /// Who had it then.
    pub seen_by: Option<String>,
    /// Whether it may go in, once somebody looked.
    pub good: Option<bool>,
    /// Whether it was lubricated.
    pub lubricated: bool,
    /// Whether a spare took its place.
    pub replaced: bool,
}

/// Takes one event of a machine. A part without a number means all that are equal.
pub fn take(parts: &mut BTreeMap<PartRef, PartNow>, event: &Event) {
    let Some(part) = crate::incoming::part(&event.fact) else { return };
    let all = PartRef { number: None, ..part.clone() };
    if !parts.contains_key(part) {
        let before = parts.get(&all).cloned().unwrap_or_default();
        parts.insert(part.clone(), before);
    }
    for (known, now) in parts.iter_mut() {
        let equal = known.part == part.part && known.side == part.side;
        if known == part || (part.number.is_none() && equal) {
            change(now, event);
        }
    }
}

fn change(now: &mut PartNow, event: &Event) {
    let seen = |now: &mut PartNow, place: String| {
        now.missing = false;
        now.last_seen = Some(place);
        now.seen_at_ms = Some(event.at_ms);
        now.seen_by.clone_from(&event.person);
    };
    match &event.fact {
        Fact::PartSeen { slot, .. } => {
            now.slot = Some(slot.clone());
            seen(now, format!("slot {slot}"));
        }
        Fact::PartMoved { to, .. } => {
            now.journey = Some(*to);
            if *to != Journey::LaidOut {
                now.slot = None;
            }
            if *to == Journey::Off {
                // Another night begins: what was looked at before has to be looked at again.
                (now.good, now.lubricated) = (None, false);
            }
            seen(now, word(*to).to_owned());
        }
        Fact::PartMissing { last_seen, .. } => {
            now.missing = true;
            now.slot = None;
            // Who had it last stays: that is where the search begins.
            if last_seen.is_some() {
                now.last_seen.clone_from(last_seen);
            }
        }
        Fact::PartFound { place, .. } => seen(now, place.clone()),
        Fact::PartInspected { good, lubricated, .. } => {
            now.good = Some(*good);
            now.lubricated = *lubricated;
            seen(now, "in the hand, looked at".to_owned());
        }
        Fact::PartReplaced { .. } => {
            now.replaced = true;
            (now.good, now.lubricated) = (None, false);
            seen(now, "a spare, taken".to_owned());
        }
        _ => {}
    }
}

fn word(journey: Journey) -> &'static str {
    match journey {
        Journey::Off => "taken off",
        Journey::Washed => "washed",
        Journey::Rinsed => "rinsed",
        Journey::Sanitised => "sanitised",
        Journey::LaidOut => "laid out",
        Journey::Fitted => "fitted",
    }
}
