//! The moves of one machine replayed on its core form, with what does not fit set aside.

use std::collections::BTreeMap;

use ft_form::walk::{NotYet, State};
use ft_form::{EventId, Form, Op, VarId, allows};

use crate::event::Event;
use crate::fact::Fact;

/// One machine of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct MachineNight {
    /// Where its procedure is.
    pub state: State,
    /// The core form's events that happened, in the order of the replay.
    pub done: Vec<Done>,
    /// Moves that could not happen, in the order of the replay.
    pub conflicts: Vec<Conflict>,
    /// By variable: the event of the record that set it last, though it may have left it at the value that it had.
    pub changed: BTreeMap<VarId, String>,
    /// By variable and value: the event of the record that set it so last, whether or not it was so before. What is
    /// sanitised again in the morning was done again; what an effect's other conditions kept from happening was not.
    pub reached: BTreeMap<(VarId, i32), String>,
    /// Hazards of the form that showed, by index, each with the record's event that showed it.
    pub dangerous: Vec<(usize, String)>,
}

/// A core form's event that happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// The core form's event.
    pub event: EventId,
    /// The record's event.
    pub id: String,
    /// Who.
    pub by: Option<String>,
    /// When, by the device's clock.
    pub at_ms: i64,
    /// Whether somebody said that it happened although it might not.
    pub anyway: bool,
    /// Who else said so.
    pub also: Vec<Also>,
}

/// Somebody said once more what was said already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Also {
    /// The record's event.
    pub id: String,
    /// Who.
    pub by: Option<String>,
    /// When.
    pub at_ms: i64,
}

/// A move that could not happen. It is tried again after each later move; `differed` or `corrected` settles it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// The record's event.
    pub id: String,
    /// The core form's event, or the variable, that it names.
    pub event: String,
    /// Who.
    pub by: Option<String>,
    /// When.
    pub at_ms: i64,
    /// Names of the core form's events that would have to happen first.
    pub waits: Vec<String>,
    /// What the machine's state would have to be.
    pub blocked: Vec<Blocked>,
    /// What is wrong and by which rule it is settled, in English.
    pub sentence: String,
}

/// A variable that stands in the way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Blocked {
    /// Its name.
    pub var: String,
    /// What it is.
    pub is: String,
    /// What it might be.
    pub must: Vec<String>,
}

/// Replays the moves; `events` are one machine's, in the order of the replay, without what was taken out.
pub fn replay<'a>(form: &Form, events: impl Iterator<Item = &'a Event>) -> MachineNight {
    let mut night = Replay {
        form,
        state: State::start(form),
        done: Vec::new(),
        waiting: Vec::new(),
        odd: Vec::new(),
        changed: BTreeMap::new(),
        reached: BTreeMap::new(),
        dangerous: Vec::new(),
    };
    for event in events {
        night.take(event);
    }
    night.end()
}

struct Replay<'a> {
    form: &'a Form,
    state: State,
    done: Vec<Done>,
    waiting: Vec<(EventId, &'a Event)>,
    odd: Vec<Conflict>,
    changed: BTreeMap<VarId, String>,
    reached: BTreeMap<(VarId, i32), String>,
    dangerous: Vec<(usize, String)>,
}

impl<'a> Replay<'a> {
    fn take(&mut self, event: &'a Event) {
        match &event.fact {
            Fact::Happened { event: name } => {
                if let Some(id) = self.known(name, event) {
                    self.waiting.push((id, event));
                }
            }
            Fact::Differed { event: name, found, .. } => {
                if let Some(id) = name.as_ref().and_then(|name| self.known(name, event)) {
                    self.happen(id, event, true);
                }
                for (name, value) in found {
                    self.find(name, *value, event);
                }
            }
            _ => return,
        }
        self.settle();
    }

    /// Tries what waits until nothing moves any more, the earliest first.
    fn settle(&mut self) {
        let fits = |replay: &Self, id: EventId| {
            let may = replay.state.may(replay.form, id);
            may.is_ok() || may == Err(NotYet::Done)
        };
        while let Some(at) = self.waiting.iter().position(|(id, _)| fits(self, *id)) {
            let (id, event) = self.waiting.remove(at);
            self.happen(id, event, false);
        }
    }

    fn happen(&mut self, id: EventId, event: &Event, anyway: bool) {
        let (by, at_ms) = (event.person.clone(), event.at_ms);
        if let Some(done) = self.done.iter_mut().find(|done| done.event == id) {
            done.also.push(Also { id: event.id.clone(), by, at_ms });
            return;
        }
        let anyway = anyway && self.state.may(self.form, id).is_err();
        let after = self.state.after(self.form, id);
        self.show(id, &after, event);
        self.set(id, &after, event);
        self.state = after;
        self.done.push(Done { event: id, id: event.id.clone(), by, at_ms, anyway, also: Vec::new() });
    }

    /// Notes the hazards that an event shows: its own where it happens, and those of a state where they begin.
    fn show(&mut self, id: EventId, after: &State, event: &Event) {
        for (index, hazard) in self.form.hazards.iter().enumerate() {
            let before = self.state.holds(self.form, &hazard.when);
            let shows = match hazard.on {
                Some(on) => on == id && before,
                None => !before && after.holds(self.form, &hazard.when),
            };
            if shows {
                self.dangerous.push((index, event.id.clone()));
            }
        }
    }

    /// Notes what an event sets, and what it sets again.
    fn set(&mut self, id: EventId, after: &State, event: &Event) {
        for effect in &self.form.events[id].eff {
            // That it was so already is no reason not to count it.
            let mut others = effect.when.clone();
            others.retain(|condition| condition.var != effect.var);
            if effect.op == Op::Set && self.state.holds(self.form, &others) {
                self.changed.insert(effect.var, event.id.clone());
                self.reached.insert((effect.var, effect.c), event.id.clone());
            }
        }
        for (var, (before, now)) in self.state.vals.iter().zip(&after.vals).enumerate() {
            if before != now {
                self.changed.insert(var, event.id.clone());
            }
        }
    }

    fn find(&mut self, name: &str, value: i32, event: &Event) {
        let Some(var) = self.form.vars.iter().position(|var| var.name == name) else {
            let sentence = format!("{} found `{name}` changed; this machine has no such state", who(event));
            self.odd.push(conflict(event, name, sentence));
            return;
        };
        let range = &self.form.vars[var];
        if (range.lo..=range.hi).contains(&value) {
            self.state.vals[var] = value;
            self.changed.insert(var, event.id.clone());
            self.reached.insert((var, value), event.id.clone());
        } else {
            let sentence =
                format!("{} found `{name}` at {value}; it can be {} to {}", who(event), range.lo, range.hi);
            self.odd.push(conflict(event, name, sentence));
        }
    }

    fn known(&mut self, name: &str, event: &Event) -> Option<EventId> {
        let found = self.form.events.iter().position(|known| known.name == name);
        if found.is_none() {
            let sentence = format!("{} did `{name}`; this procedure has no such step", who(event));
            self.odd.push(conflict(event, name, sentence));
        }
        found
    }

    fn end(self) -> MachineNight {
        let mut conflicts = self.odd;
        for (id, event) in &self.waiting {
            conflicts.push(why_not(self.form, &self.state, *id, event));
        }
        let Self { state, done, changed, reached, dangerous, .. } = self;
        MachineNight { state, done, conflicts, changed, reached, dangerous }
    }
}

fn conflict(event: &Event, name: &str, sentence: String) -> Conflict {
    Conflict {
        id: event.id.clone(),
        event: name.to_owned(),
        by: event.person.clone(),
        at_ms: event.at_ms,
        waits: Vec::new(),
        blocked: Vec::new(),
        sentence,
    }
}

fn why_not(form: &Form, state: &State, id: EventId, event: &Event) -> Conflict {
    let name = &form.events[id].name;
    let did = format!("{} did `{name}`", who(event));
    let rule = "it does not count until that is so, or until somebody says that it happened differently";
    match state.may(form, id) {
        Err(NotYet::Waits(before)) => {
            let waits: Vec<String> = before.iter().map(|&before| form.events[before].name.clone()).collect();
            let sentence = format!("{did}; first comes {}: {rule}", quoted(&waits));
            Conflict { waits, ..conflict(event, name, sentence) }
        }
        Err(NotYet::Blocked(parts)) => {
            let blocked: Vec<Blocked> = parts
                .iter()
                .map(|part| {
                    let var = &form.vars[part.var];
                    let must = (var.lo..=var.hi).filter(|&value| allows(var, part.mask, value));
                    Blocked {
                        var: var.name.clone(),
                        is: form.value_name(part.var, state.vals[part.var]),
                        must: must.map(|value| form.value_name(part.var, value)).collect(),
                    }
                })
                .collect();
            let told: Vec<String> = blocked
                .iter()
                .map(|part| format!("`{}` is {}, it has to be {}", part.var, part.is, part.must.join(" or ")))
                .collect();
            let sentence = format!("{did}; {}: {rule}", told.join(", "));
            Conflict { blocked, ..conflict(event, name, sentence) }
        }
        // Whatever may happen, or has happened, is not waiting.
        Ok(()) | Err(NotYet::Done) => conflict(event, name, did),
    }
}

fn who(event: &Event) -> &str {
    event.person.as_deref().unwrap_or("somebody")
}

fn quoted(names: &[String]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}
