//! A run's events carried out on its core form: what has happened, when, and what could not have.

use std::collections::BTreeMap;

use ft_form::walk::State;
use ft_form::{EventId, Form, Op};
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
    /// Events of the record that the form does not know.
    pub unknown: Vec<&'a Event>,
}

/// Plays merged events. What may not happen at its place is tried again after each later one; if it never may, it
/// stays a conflict.
pub(crate) fn play<'a>(form: &Form, events: &[&'a Event]) -> Played<'a> {
    let names: BTreeMap<&str, EventId> =
        form.events.iter().enumerate().map(|(id, event)| (event.name.as_str(), id)).collect();
    let mut played = Played {
        state: State::start(form),
        by: BTreeMap::new(),
        changed: BTreeMap::new(),
        reached: BTreeMap::new(),
        conflicts: Vec::new(),
        dangerous: Vec::new(),
        differed: Vec::new(),
        unknown: Vec::new(),
    };
    for event in events {
        match &event.fact {
            Fact::Happened { event: name } => match names.get(name.as_str()) {
                None => played.unknown.push(event),
                // The same step twice is one step.
                Some(&id) if played.state.done[id] => {}
                Some(&id) if played.state.may(form, id).is_ok() => played.carry(form, id, event),
                Some(&id) => played.conflicts.push((id, event)),
            },
            Fact::Differed { event: name, found, .. } => {
                played.differed.push(event);
                match name.as_deref().map(|name| names.get(name)) {
                    None => {}
                    Some(None) => played.unknown.push(event),
                    Some(Some(&id)) => {
                        played.conflicts.retain(|(conflict, _)| *conflict != id);
                        if !played.state.done[id] {
                            played.carry(form, id, event);
                        }
                    }
                }
                for (name, value) in found {
                    let Some(var) = form.vars.iter().position(|var| var.name == *name) else { continue };
                    played.state.vals[var] = (*value).clamp(form.vars[var].lo, form.vars[var].hi);
                    played.changed.insert(var, event);
                    played.reached.insert((var, played.state.vals[var]), event);
                }
            }
            _ => continue,
        }
        played.retry(form);
    }
    played
}

impl<'a> Played<'a> {
    fn carry(&mut self, form: &Form, id: EventId, event: &'a Event) {
        let after = self.state.after(form, id);
        for (index, hazard) in form.hazards.iter().enumerate() {
            let shows = match hazard.on {
                Some(on) => on == id && self.state.holds(form, &hazard.when),
                None => after.holds(form, &hazard.when) && !self.state.holds(form, &hazard.when),
            };
            if shows {
                self.dangerous.push((index, event));
            }
        }
        for effect in &form.events[id].eff {
            // That it was so already is no reason not to count it.
            let mut others = effect.when.clone();
            others.retain(|condition| condition.var != effect.var);
            if effect.op == Op::Set && self.state.holds(form, &others) {
                self.changed.insert(effect.var, event);
                self.reached.insert((effect.var, effect.c), event);
            }
        }
        for (var, (before, now)) in self.state.vals.iter().zip(&after.vals).enumerate() {
            if before != now {
                self.changed.insert(var, event);
            }
        }
        self.state = after;
        self.by.insert(id, event);
        // The world gave one answer; the form has an event for each, and they all have happened with it.
        if form.events[id].nature {
            for (other, sibling) in form.events.iter().enumerate() {
                if sibling.nature && sibling.pre == form.events[id].pre && !self.state.done[other] {
                    self.state.done[other] = true;
                }
            }
        }
    }

    fn retry(&mut self, form: &Form) {
        while let Some(at) = self.conflicts.iter().position(|(id, _)| self.state.may(form, *id).is_ok()) {
            let (id, event) = self.conflicts.remove(at);
            self.carry(form, id, event);
        }
    }
}
