//! The order in which events are replayed, and which of them count.

use std::collections::{BTreeMap, BTreeSet};

use crate::chain::Stored;
use crate::event::Event;
use crate::fact::Fact;

/// Events in the order of the replay: by device time, each device's own order kept, ties by the device's name.
/// An id that comes twice counts once.
///
/// A device whose clock goes back does not put its later events before its earlier ones: they count as late as
/// the latest before them.
pub fn merged(events: &[Stored]) -> Vec<&Event> {
    let mut by_device: BTreeMap<&str, BTreeMap<(u64, &str), &Event>> = BTreeMap::new();
    for event in events.iter().map(|stored| &stored.event) {
        by_device.entry(&event.device).or_default().entry((event.order, &event.id)).or_insert(event);
    }
    let mut keyed = Vec::with_capacity(events.len());
    for (device, events) in by_device {
        let mut latest = i64::MIN;
        for (order, event) in events {
            latest = latest.max(event.at_ms);
            keyed.push(((latest, device, order), event));
        }
    }
    keyed.sort_by(|one, two| one.0.cmp(&two.0));
    keyed.into_iter().map(|(_, event)| event).collect()
}

/// What counts no more.
#[derive(Debug, Default)]
pub struct TakenOut<'a> {
    /// The ids of all of it.
    pub ids: BTreeSet<&'a str>,
    /// By correction: the other ticks of the same step that it takes out as well.
    pub with: BTreeMap<&'a str, Vec<&'a str>>,
}

/// What corrections take out. A correction may itself be corrected. Two people's ticks of one step are one step: who
/// takes back the one takes back what was ticked until then; what is ticked later counts.
pub fn taken_out<'a>(merged: &[&'a Event]) -> TakenOut<'a> {
    let mut out = TakenOut { ids: corrected(merged), with: BTreeMap::new() };
    // Ticks of each step since it was taken back last, by machine and event.
    let mut ticks: BTreeMap<(Option<&str>, &str), Vec<&str>> = BTreeMap::new();
    for event in merged {
        match &event.fact {
            Fact::Happened { event: name } => {
                ticks.entry((event.machine.as_deref(), name)).or_default().push(&event.id);
            }
            Fact::Corrected { of, .. } if !out.ids.contains(event.id.as_str()) => {
                let Some(same) = ticks.values_mut().find(|same| same.contains(&of.as_str())) else {
                    continue;
                };
                let others: Vec<&str> = same.drain(..).filter(|id| id != of).collect();
                out.ids.extend(&others);
                out.with.insert(&event.id, others);
            }
            _ => {}
        }
    }
    out
}

/// The ids that corrections name, as far as they count themselves.
fn corrected<'a>(merged: &[&'a Event]) -> BTreeSet<&'a str> {
    let corrections: Vec<(&str, &str)> = merged
        .iter()
        .filter_map(|event| match &event.fact {
            Fact::Corrected { of, .. } => Some((event.id.as_str(), of.as_str())),
            _ => None,
        })
        .collect();
    // How many that are not settled yet would take each correction out.
    let mut against: BTreeMap<&str, usize> = corrections.iter().map(|(id, _)| (*id, 0)).collect();
    for (_, of) in &corrections {
        if let Some(count) = against.get_mut(of) {
            *count += 1;
        }
    }
    let target: BTreeMap<&str, &str> = corrections.iter().copied().collect();
    let mut ready: Vec<&str> = corrections.iter().map(|(id, _)| *id).filter(|id| against[id] == 0).collect();
    let mut settled: BTreeSet<&str> = BTreeSet::new();
    let mut out: BTreeSet<&str> = BTreeSet::new();
    // Corrections that name each other in a circle: the last one counts.
    let mut circles = corrections.iter().rev().map(|(id, _)| *id);
    while let Some(id) = ready.pop().or_else(|| circles.find(|id| !settled.contains(id))) {
        if !settled.insert(id) {
            continue;
        }
        let of = target[id];
        if !out.contains(id) {
            out.insert(of);
        }
        if let Some(count) = against.get_mut(of) {
            *count = count.saturating_sub(1);
            if *count == 0 || out.contains(of) {
                ready.push(of);
            }
        }
    }
    out
}
