//! What somebody can take back.

use ft_form::EventId;
use ft_record::fold::Night;

use crate::machine::Run;
use crate::next::siblings;

/// The last thing of somebody that can be taken back without anything else having to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undo {
    /// The machine, by its number in the run.
    pub machine: usize,
    /// The event; of a look the first of its answers.
    pub event: EventId,
    /// The record's events to correct, in the order in which that should be told.
    pub ids: Vec<String>,
}

/// The last thing that somebody told, if nothing that came after it stands on it.
pub fn undoable(run: &Run, night: &Night, who: &str) -> Option<Undo> {
    let mut last = None;
    for (machine, live) in run.machines.iter().enumerate() {
        let Some(now) = night.machines.get(&live.ready.name) else { continue };
        for (place, done) in now.done.iter().enumerate() {
            if done.by.as_deref() == Some(who) {
                last = last.max(Some((done.at_ms, machine, place)));
            }
        }
    }
    let (_, machine, place) = last?;
    let live = &run.machines[machine];
    let now = night.machines.get(&live.ready.name)?;
    let event = now.done[place].event;
    let touched: Vec<EventId> =
        if live.form.events[event].nature { siblings(&live.form, event) } else { vec![event] };
    let is_needed = live.form.events.iter().enumerate().any(|(other, of)| {
        now.state.done[other]
            && !touched.contains(&other)
            && of.pre.iter().any(|before| touched.contains(before))
    });
    let ids = now.done.iter().rev().filter(|done| touched.contains(&done.event)).map(|done| done.id.clone());
    (!is_needed).then(|| Undo { machine, event: touched[0], ids: ids.collect() })
}
