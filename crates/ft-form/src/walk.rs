//! What a core form means, in the plainest way: a state, what may happen in it, and what it becomes.
//!
//! Nothing here is fast and nothing here searches. Searchers have their own packed states and are tested
//! against this; stories are replayed with it before they are shown.

use crate::types::{Allowed, EventId, Form, Hazard, Op, allows};

/// Which events have happened, and the value of every variable.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct State {
    /// By event: whether it has happened.
    pub done: Vec<bool>,
    /// By variable: its value.
    pub vals: Vec<i32>,
}

/// Why an event may not happen now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotYet {
    /// It has happened already.
    Done,
    /// These events must happen first.
    Waits(Vec<EventId>),
    /// These parts of its guard do not hold.
    Blocked(Vec<Allowed>),
}

impl State {
    /// The state before anything has happened.
    pub fn start(form: &Form) -> Self {
        Self { done: vec![false; form.events.len()], vals: form.vars.iter().map(|var| var.init).collect() }
    }

    /// Whether every part of a condition holds.
    pub fn holds(&self, form: &Form, cond: &[Allowed]) -> bool {
        cond.iter().all(|part| allows(&form.vars[part.var], part.mask, self.vals[part.var]))
    }

    /// Whether the event may happen now, or why not.
    ///
    /// # Errors
    /// [`NotYet`] with every reason of the first kind that applies.
    pub fn may(&self, form: &Form, event: EventId) -> Result<(), NotYet> {
        let asked = &form.events[event];
        if self.done[event] {
            return Err(NotYet::Done);
        }
        let waits: Vec<_> = asked.pre.iter().copied().filter(|&before| !self.done[before]).collect();
        if !waits.is_empty() {
            return Err(NotYet::Waits(waits));
        }
        let blocked: Vec<_> =
            asked.guard.iter().copied().filter(|&part| !self.holds(form, &[part])).collect();
        if blocked.is_empty() { Ok(()) } else { Err(NotYet::Blocked(blocked)) }
    }

    /// Whether the event may happen now; as [`State::may`], without the reasons.
    pub fn is_open(&self, form: &Form, event: EventId) -> bool {
        let asked = &form.events[event];
        !self.done[event]
            && asked.pre.iter().all(|&before| self.done[before])
            && self.holds(form, &asked.guard)
    }

    /// The state after the event, whether or not it may happen.
    #[must_use]
    pub fn after(&self, form: &Form, event: EventId) -> Self {
        let mut next = self.clone();
        next.apply(form, event, &self.vals);
        next
    }

    /// Makes this the state after the event, whether or not it may happen; `old` is room for the values before it.
    pub fn step(&mut self, form: &Form, event: EventId, old: &mut Vec<i32>) {
        old.clone_from(&self.vals);
        self.apply(form, event, old);
    }

    fn apply(&mut self, form: &Form, event: EventId, old: &[i32]) {
        self.done[event] = true;
        let held = |part: &Allowed| allows(&form.vars[part.var], part.mask, old[part.var]);
        for effect in form.events[event].eff.iter().filter(|effect| effect.when.iter().all(held)) {
            let var = &form.vars[effect.var];
            let value = &mut self.vals[effect.var];
            *value = match effect.op {
                Op::Set => effect.c,
                Op::Add => value.saturating_add(effect.c).clamp(var.lo, var.hi),
            };
        }
    }

    /// Whether this state shows the hazard, or, for a hazard on an event, whether that event may happen here
    /// and would be hazardous.
    pub fn shows(&self, form: &Form, hazard: &Hazard) -> bool {
        self.holds(form, &hazard.when) && hazard.on.is_none_or(|event| self.is_open(form, event))
    }

    /// The events that may happen now, in the card's order.
    pub fn open(&self, form: &Form) -> Vec<EventId> {
        (0..form.events.len()).filter(|&event| self.is_open(form, event)).collect()
    }

    /// Whether everything has happened.
    pub fn is_finished(&self) -> bool {
        self.done.iter().all(|&done| done)
    }
}

/// Carries out a story from the start.
///
/// # Errors
/// The position in `story` of the first event that may not happen, and why.
pub fn replay(form: &Form, story: &[EventId]) -> Result<State, (usize, NotYet)> {
    let mut state = State::start(form);
    for (position, &event) in story.iter().enumerate() {
        state.may(form, event).map_err(|why| (position, why))?;
        state = state.after(form, event);
    }
    Ok(state)
}
