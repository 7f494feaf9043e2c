//! What a run has come to: a fold over its events.
//!
//! Moves are replayed in the order of the devices' clocks, each device's own order kept. A move that may not happen at
//! its place is set aside and tried again after each later one; it stays a conflict until somebody settles it.

use std::collections::{BTreeMap, BTreeSet};

use ft_form::walk::State;
use ft_form::{EventId, Form};
use ft_record::{Event, Fact, Journey, PartRef, SignedAs};

/// An event of a form that has happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Done {
    /// The id of the record's event.
    pub id: String,
    /// Who.
    pub by: Option<String>,
    /// When, milliseconds since 1970.
    pub at_ms: i64,
    /// Who said so as well.
    pub also: Vec<String>,
}

/// A move that was set aside.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// The event of the form.
    pub event: EventId,
    /// The event of the record.
    pub of: Event,
}

/// What a machine has come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Machine {
    /// Its state.
    pub state: State,
    /// What has happened.
    pub done: BTreeMap<EventId, Done>,
    /// The order in which it happened.
    pub order: Vec<EventId>,
    /// What was set aside.
    pub conflicts: Vec<Conflict>,
    /// Whether a state was found that no event made, or something happened out of its turn.
    pub differed: bool,
}

/// What a part has come to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// How it stands.
    pub state: PartState,
    /// Where it is or was seen last, if that was said.
    pub place: Option<String>,
    /// Who said so.
    pub by: Option<String>,
    /// When, milliseconds since 1970.
    pub at_ms: i64,
    /// Who had it in hand before it went missing.
    pub had: Option<String>,
}

/// How a part stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartState {
    /// On its journey.
    On(Journey),
    /// Not to be found.
    Missing,
    /// It was missing and is found.
    Found,
    /// A spare lies in its place.
    Replaced,
}

/// A timer that runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Timer {
    /// When it ends, milliseconds since 1970.
    pub ends_ms: i64,
    /// The machine.
    pub machine: Option<String>,
}

/// A signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    /// Who.
    pub by: Option<String>,
    /// As what.
    pub r#as: SignedAs,
    /// When, milliseconds since 1970.
    pub at_ms: i64,
}

/// What a run has come to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Night {
    /// By machine.
    pub machines: BTreeMap<String, Machine>,
    /// By machine and part.
    pub parts: BTreeMap<(String, PartRef), Part>,
    /// Timers that run, by what they time.
    pub timers: BTreeMap<String, Timer>,
    /// Everybody who was here, in the order in which they came: when they came, and left if they did.
    pub people: Vec<(String, i64, Option<i64>)>,
    /// Readings, in order.
    pub readings: Vec<Event>,
    /// Signatures, in order.
    pub signatures: Vec<Signature>,
    /// Ids of events that were taken back.
    pub taken_back: BTreeSet<String>,
}

/// The night after these events of one run.
pub fn fold<'e>(forms: &BTreeMap<String, &Form>, events: impl IntoIterator<Item = &'e Event>) -> Night {
    let ordered = in_order(events.into_iter().collect());
    let mut night = Night { taken_back: taken_back(&ordered), ..Night::default() };
    for (machine, form) in forms {
        let state = State::start(form);
        let (done, order, conflicts) = (BTreeMap::new(), Vec::new(), Vec::new());
        night.machines.insert(machine.clone(), Machine { state, done, order, conflicts, differed: false });
    }
    for event in ordered {
        if !night.taken_back.contains(&event.id) {
            night.take(forms, event);
        }
    }
    night
}

/// In the order in which they count: a clock that was set back does not turn a device's own order round.
pub fn in_order(events: Vec<&Event>) -> Vec<&Event> {
    let mut devices: BTreeMap<&str, Vec<&Event>> = BTreeMap::new();
    for event in events {
        devices.entry(&event.device).or_default().push(event);
    }
    let mut keyed = Vec::new();
    for own in devices.values_mut() {
        own.sort_by_key(|event| event.order);
        let mut at = i64::MIN;
        for event in own {
            at = at.max(event.at_ms);
            keyed.push((at, *event));
        }
    }
    keyed.sort_by(|(a, left), (b, right)| {
        a.cmp(b).then_with(|| left.device.cmp(&right.device)).then(left.order.cmp(&right.order))
    });
    keyed.into_iter().map(|(_, event)| event).collect()
}

/// Ids that are taken back; a taking back that is itself taken back does not count.
fn taken_back(ordered: &[&Event]) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for event in ordered.iter().rev() {
        if let Fact::Corrected { of, .. } = &event.fact
            && !out.contains(&event.id)
        {
            out.insert(of.clone());
        }
    }
    out
}

impl Night {
    fn take(&mut self, forms: &BTreeMap<String, &Form>, event: &Event) {
        let name = event.machine.clone().unwrap_or_default();
        let mut on = match forms.get(&name) {
            Some(form) => self.machines.get_mut(&name).map(|machine| (*form, machine)),
            None => None,
        };
        match &event.fact {
            Fact::RunOpened { people, .. } => {
                self.people = people.iter().map(|who| (who.clone(), event.at_ms, None)).collect();
            }
            Fact::PersonJoined { who } => match self.people.iter_mut().find(|(known, ..)| known == who) {
                Some(known) => known.2 = None,
                None => self.people.push((who.clone(), event.at_ms, None)),
            },
            Fact::PersonLeft { who } => {
                if let Some(known) = self.people.iter_mut().find(|(known, ..)| known == who) {
                    known.2 = Some(event.at_ms);
                }
            }
            Fact::Happened { event: moved } => {
                if let Some((form, machine)) = &mut on {
                    machine.go(form, event, moved, false);
                }
            }
            Fact::Differed { event: moved, found, .. } => {
                if let Some((form, machine)) = &mut on {
                    machine.find(form, found);
                    if let Some(moved) = moved {
                        machine.go(form, event, moved, true);
                    }
                    machine.again(form);
                }
            }
            Fact::TimerStarted { timer, seconds } => {
                let ends_ms = event.at_ms + 1000 * i64::from(*seconds);
                self.timers.insert(timer.clone(), Timer { ends_ms, machine: event.machine.clone() });
            }
            Fact::TimerStopped { timer } => {
                self.timers.remove(timer);
            }
            Fact::PartSeen { part, slot } => {
                self.part(&name, part, event, PartState::On(Journey::LaidOut), Some(slot));
            }
            Fact::PartMoved { part, to } => self.part(&name, part, event, PartState::On(*to), None),
            Fact::PartMissing { part, last_seen } => {
                self.part(&name, part, event, PartState::Missing, last_seen.as_ref());
            }
            Fact::PartFound { part, place } => {
                self.part(&name, part, event, PartState::Found, Some(place));
            }
            Fact::PartReplaced { part, .. } => self.part(&name, part, event, PartState::Replaced, None),
            Fact::Reading { .. } => self.readings.push(event.clone()),
            Fact::Signed { r#as } => {
                let (by, at_ms) = (event.person.clone(), event.at_ms);
                self.signatures.push(Signature { by, r#as: *r#as, at_ms });
            }
            _ => {}
        }
    }

    fn part(&mut self, machine: &str, part: &PartRef, event: &Event, state: PartState, place: Option<&String>) {
        let key = (machine.to_owned(), part.clone());
        let before = self.parts.get(&key);
        let had = match before {
            Some(before) if before.state == PartState::Missing => before.had.clone(),
            Some(before) => before.by.clone(),
            None => None,
        };
        let place = place.cloned().or_else(|| before.and_then(|before| before.place.clone()));
        let now = Part { state, place, by: event.person.clone(), at_ms: event.at_ms, had };
        self.parts.insert(key, now);
    }
}

impl Machine {
    /// A move that happens, or is set aside; `anyway` asks nothing.
    fn go(&mut self, form: &Form, by: &Event, name: &str, anyway: bool) {
        let Some(event) = form.events.iter().position(|event| event.name == name) else { return };
        if let Some(first) = self.done.get_mut(&event) {
            if let Some(who) = by.person.as_ref().filter(|who| first.by.as_ref() != Some(who))
                && !first.also.contains(who)
            {
                first.also.push(who.clone());
            }
            return;
        }
        if !anyway && self.state.may(form, event).is_err() {
            self.conflicts.push(Conflict { event, of: by.clone() });
            return;
        }
        self.differed |= anyway;
        self.happen(form, event, by);
        self.again(form);
    }

    fn happen(&mut self, form: &Form, event: EventId, by: &Event) {
        self.state = self.state.after(form, event);
        self.order.push(event);
        let (by, at_ms, id) = (by.person.clone(), by.at_ms, by.id.clone());
        self.done.insert(event, Done { id, by, at_ms, also: Vec::new() });
    }

    /// Tries again what was set aside, until nothing changes.
    fn again(&mut self, form: &Form) {
        while let Some(at) = self.conflicts.iter().position(|conflict| {
            self.state.done[conflict.event] || self.state.may(form, conflict.event).is_ok()
        }) {
            let conflict = self.conflicts.remove(at);
            if !self.state.done[conflict.event] {
                self.happen(form, conflict.event, &conflict.of);
            }
        }
    }

    /// Things were found so.
    fn find(&mut self, form: &Form, found: &BTreeMap<String, i32>) {
        for (name, value) in found {
            if let Some(var) = form.vars.iter().position(|var| var.name == *name) {
                self.state.vals[var] = (*value).clamp(form.vars[var].lo, form.vars[var].hi);
                self.differed = true;
            }
        }
    }
}
