//! A run as the record's own replay gives it, with each thing told by the event that it rests on.

use std::collections::BTreeMap;

use ft_form::walk::State;
use ft_form::{EventId, Form};
use ft_record::fold::replay;
use ft_record::{Event, Fact};

/// A run as it was played through.
pub(crate) struct Played<'a> {
    /// Where it has come to.
    pub state: State,
    /// By event of the form: the event of the record that made it happen.
    pub by: BTreeMap<EventId, &'a Event>,
    /// By variable: the event of the record that changed it last.
    pub changed: BTreeMap<usize, &'a Event>,
    /// By variable and value: the event of the record that set it so last, whether or not it was so before. What is
    /// sanitised again in the morning was done again; what an effect's other conditions kept from happening was not.
    pub reached: BTreeMap<(usize, i32), &'a Event>,
    /// What may not happen where it stands, and nobody settled.
    pub conflicts: Vec<(EventId, &'a Event)>,
    /// Hazards, by index, that showed when something happened.
    pub dangerous: Vec<(usize, &'a Event)>,
    /// What happened differently, as somebody said.
    pub differed: Vec<&'a Event>,
    /// Events of the record that name what the form does not know.
    pub unknown: Vec<&'a Event>,
}

/// Plays merged events by the rule of [`ft_record::fold`]: what the tablets show and what is released are one.
pub(crate) fn play<'a>(form: &Form, events: &[&'a Event]) -> Played<'a> {
    let night = replay(form, events.iter().copied());
    let by_id: BTreeMap<&str, &'a Event> = events.iter().map(|event| (event.id.as_str(), *event)).collect();
    let of = |id: &str| by_id.get(id).copied();
    let names: BTreeMap<&str, EventId> =
        form.events.iter().enumerate().map(|(id, event)| (event.name.as_str(), id)).collect();
    let (mut conflicts, mut unknown) = (Vec::new(), Vec::new());
    for conflict in &night.conflicts {
        let Some(event) = of(&conflict.id) else { continue };
        match names.get(conflict.event.as_str()) {
            Some(id) => conflicts.push((*id, event)),
            None => unknown.push(event),
        }
    }
    Played {
        by: night.done.iter().filter_map(|done| Some((done.event, of(&done.id)?))).collect(),
        reached: night.reached.iter().filter_map(|(at, id)| Some((*at, of(id)?))).collect(),
        changed: night.changed.iter().filter_map(|(var, id)| Some((*var, of(id)?))).collect(),
        dangerous: night.dangerous.iter().filter_map(|(index, id)| Some((*index, of(id)?))).collect(),
        differed: events
            .iter()
            .copied()
            .filter(|event| matches!(event.fact, Fact::Differed { .. }))
            .collect(),
        state: night.state,
        conflicts,
        unknown,
    }
}
