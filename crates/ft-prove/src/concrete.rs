//! Turns a way through a slice into a story of the whole form, or says what the slice leaves out.

use ft_form::walk::State;
use ft_form::{EventId, Form, VarId};

use crate::bits::Bits;
use crate::precedence::Precedence;
use crate::slice::Slice;

/// What a slice must follow before it can tell; empty if it leaves nothing out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Blame {
    pub(crate) vars: Vec<VarId>,
    pub(crate) events: Vec<EventId>,
}

impl Blame {
    pub(crate) fn add(&mut self, more: Self) {
        self.vars.extend(more.vars);
        self.events.extend(more.events);
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.vars.is_empty() && self.events.is_empty()
    }
}

/// Carries out exactly the events of `all`, those of the slice in the order of `moves`.
///
/// `all` must hold the slice's moves and everything that must come before a member.
pub(crate) fn carry_out(
    form: &Form,
    order: &Precedence,
    slice: &Slice,
    moves: &[usize],
    all: &Bits,
) -> Result<(Vec<EventId>, State), Blame> {
    let mut free = all.clone();
    slice.events.iter().for_each(|&event| free.remove(event));
    let state = State::start(form);
    let old = state.vals.clone();
    let mut run = Run { form, order, slice, state, old, story: Vec::new(), free };
    for &local in moves {
        run.reach(slice.events[local])?;
    }
    while let Some(event) = run.free.first() {
        run.reach(event)?;
    }
    Ok((run.story, run.state))
}

struct Run<'a> {
    form: &'a Form,
    order: &'a Precedence,
    slice: &'a Slice,
    /// What is to happen, has not, and is not for the slice to say when.
    free: Bits,
    state: State,
    /// Room for the values before an event.
    old: Vec<i32>,
    story: Vec<EventId>,
}

impl Run<'_> {
    fn is_followed(&self, event: EventId) -> bool {
        self.slice.events.binary_search(&event).is_ok()
    }

    /// Does the event, and before it what must come before; where a guard is in the way, whatever else is
    /// open, in the card's order, until it no longer is.
    fn reach(&mut self, target: EventId) -> Result<(), Blame> {
        while !self.state.done[target] {
            let event = self.step_towards(target).ok_or_else(|| self.blame(target))?;
            self.state.step(self.form, event, &mut self.old);
            self.free.remove(event);
            self.story.push(event);
        }
        Ok(())
    }

    fn step_towards(&self, target: EventId) -> Option<EventId> {
        let is_open = |event: &EventId| self.state.is_open(self.form, *event);
        if is_open(&target) {
            return Some(target);
        }
        let mut needed = self.order.before[target].both(&self.free);
        needed.find(is_open).or_else(|| self.free.iter().find(is_open))
    }

    /// The variables that keep the target, and everything before it, from happening.
    fn blame(&self, target: EventId) -> Blame {
        let mut needed = self.order.before[target].clone();
        needed.insert(target);
        for event in needed.iter().filter(|&event| !self.state.done[event]) {
            let of = &self.form.events[event];
            if !of.pre.iter().all(|&before| self.state.done[before]) {
                continue;
            }
            let missing = self.untracked(of.guard.iter().filter_map(|&part| {
                let fails = !self.state.holds(self.form, &[part]);
                fails.then_some(part.var)
            }));
            if !missing.is_empty() {
                return missing;
            }
            if !self.is_followed(event) && !self.state.is_open(self.form, event) {
                // The slice follows the variables but does not know that this event looks at them.
                return Blame { vars: Vec::new(), events: vec![event] };
            }
        }
        self.conditions()
    }

    fn untracked(&self, vars: impl Iterator<Item = VarId>) -> Blame {
        untracked(self.slice, vars)
    }

    fn conditions(&self) -> Blame {
        conditions(self.form, self.slice)
    }
}

fn untracked(slice: &Slice, vars: impl Iterator<Item = VarId>) -> Blame {
    let mut vars: Vec<VarId> = vars.filter(|var| slice.vars.binary_search(var).is_err()).collect();
    vars.sort_unstable();
    vars.dedup();
    Blame { vars, events: Vec::new() }
}

/// The variables on which it depends whether the slice's changes happen, and which it does not follow.
pub(crate) fn conditions(form: &Form, slice: &Slice) -> Blame {
    let changes = slice.events.iter().flat_map(|&event| &form.events[event].eff);
    let followed = changes.filter(|effect| slice.vars.binary_search(&effect.var).is_ok());
    untracked(slice, followed.flat_map(|effect| effect.when.iter().map(|part| part.var)))
}

/// What a slice must follow to tell whether these variables keep a story from its end.
pub(crate) fn missing(form: &Form, slice: &Slice, vars: impl Iterator<Item = VarId>) -> Blame {
    let missing = untracked(slice, vars);
    if missing.is_empty() { conditions(form, slice) } else { missing }
}
