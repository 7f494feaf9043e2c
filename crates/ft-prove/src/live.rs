//! Questions from the middle of the work: may this be done now, what would it do, why not yet; and the rest of
//! the procedure, proved and ordered anew from wherever it has come to.
//!
//! The state may be any, also one that no plan foresaw. Nothing here searches except [`recheck`] and
//! [`reorder`].

use ft_form::walk::{NotYet, State};
use ft_form::{Allowed, EventId, Form, Hazard};

use crate::order::{NoOrder, Order, OrderEdge, Reason, order};
use crate::verdict::{Flaw, FlawKind, Limits, TooLarge, Verdict};

/// Whether an event may happen now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum May {
    /// It may, and shows no hazard.
    Yes,
    /// Nothing stops the hands, but these hazards, by index, would be shown.
    Hazardous(Vec<usize>),
    /// It may not.
    Not(NotYet),
}

/// What an event would do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WhatIf {
    /// The state after it.
    pub after: State,
    /// Hazards, by index, that it would show.
    pub hazards: Vec<usize>,
    /// Events that may happen after it and might not before.
    pub opens: Vec<EventId>,
    /// Events that might happen before it and may not after.
    pub closes: Vec<EventId>,
    /// Whether events would remain and none might happen.
    pub is_dead_end: bool,
    /// If everything would have happened: the parts of the goal that would not hold.
    pub missed: Vec<Allowed>,
}

/// One thing that an event waits for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cause {
    /// This event must happen first.
    Waits(EventId),
    /// This part of its guard does not hold; these events may make it true.
    Blocked {
        /// The part.
        part: Allowed,
        /// Events that have not happened and may make it true, in the card's order.
        makers: Vec<EventId>,
    },
    /// It could be done, but would show this hazard, by index.
    Hazard(usize),
}

/// Whether the event may happen in this state.
pub fn may(form: &Form, state: &State, event: EventId) -> May {
    if let Err(why) = state.may(form, event) {
        return May::Not(why);
    }
    let hazards = shown_by(form, state, &state.after(form, event), event);
    if hazards.is_empty() { May::Yes } else { May::Hazardous(hazards) }
}

/// What the event would do in this state, whether or not it may happen.
pub fn what_if(form: &Form, state: &State, event: EventId) -> WhatIf {
    let after = state.after(form, event);
    let (before_open, after_open) = (open(form, state), open(form, &after));
    let gone = |from: &[EventId], to: &[EventId]| {
        from.iter().copied().filter(|one| *one != event && to.binary_search(one).is_err()).collect::<Vec<_>>()
    };
    let is_finished = after.is_finished();
    let missed = form.goal.iter().copied().filter(|part| is_finished && !after.holds(form, &[*part]));
    WhatIf {
        hazards: shown_by(form, state, &after, event),
        opens: gone(&after_open, &before_open),
        closes: gone(&before_open, &after_open),
        is_dead_end: !is_finished && after_open.is_empty(),
        missed: missed.collect(),
        after,
    }
}

/// The events that may happen, without the reasons why others may not.
fn open(form: &Form, state: &State) -> Vec<EventId> {
    let is_open = |&event: &EventId| {
        let of = &form.events[event];
        !state.done[event] && of.pre.iter().all(|&before| state.done[before]) && state.holds(form, &of.guard)
    };
    (0..form.events.len()).filter(is_open).collect()
}

/// Everything that keeps the event from being done safely now; empty if nothing does.
pub fn why_not_yet(form: &Form, state: &State, event: EventId) -> Vec<Cause> {
    match state.may(form, event) {
        Err(NotYet::Done) => Vec::new(),
        Err(NotYet::Waits(events)) => events.into_iter().map(Cause::Waits).collect(),
        Err(NotYet::Blocked(parts)) => {
            parts.into_iter().map(|part| Cause::Blocked { part, makers: makers(form, state, part) }).collect()
        }
        Ok(()) => {
            let after = state.after(form, event);
            shown_by(form, state, &after, event).into_iter().map(Cause::Hazard).collect()
        }
    }
}

fn makers(form: &Form, state: &State, part: Allowed) -> Vec<EventId> {
    let makes = |event: &EventId| {
        let after = state.after(form, *event);
        after.holds(form, &[part]) || after.vals[part.var] != state.vals[part.var]
    };
    (0..form.events.len()).filter(|&event| !state.done[event]).filter(makes).collect()
}

fn shown_by(form: &Form, state: &State, after: &State, event: EventId) -> Vec<usize> {
    let shows = |index: &usize| {
        let hazard = &form.hazards[*index];
        match hazard.on {
            Some(on) => on == event && state.holds(form, &hazard.when),
            None => after.holds(form, &hazard.when),
        }
    };
    (0..form.hazards.len()).filter(shows).collect()
}

/// What remains of a form: the events that have not happened, from the values of a state.
#[derive(Debug, Clone, PartialEq)]
pub struct Remainder {
    /// The remaining events as a form of their own.
    pub form: Form,
    /// By event of the remainder: which event of the whole form it is.
    pub events: Vec<EventId>,
    /// By hazard of the remainder: which hazard of the whole form it is.
    pub hazards: Vec<usize>,
}

/// The remainder of a form in a state. Hazards on events that have happened are left out.
pub fn remainder(form: &Form, state: &State) -> Remainder {
    let events: Vec<EventId> = (0..form.events.len()).filter(|&event| !state.done[event]).collect();
    let mut rest = form.clone();
    for (var, &value) in rest.vars.iter_mut().zip(&state.vals) {
        var.init = value;
    }
    rest.events = events
        .iter()
        .map(|&event| {
            let mut of = form.events[event].clone();
            of.pre = of.pre.iter().filter_map(|before| events.binary_search(before).ok()).collect();
            of.asked.retain_mut(|asked| match events.binary_search(&asked.before) {
                Ok(before) => {
                    asked.before = before;
                    true
                }
                Err(_) => false,
            });
            of
        })
        .collect();
    let mut hazards = Vec::new();
    rest.hazards.clear();
    for (index, hazard) in form.hazards.iter().enumerate() {
        let on = hazard.on.map(|on| events.binary_search(&on).ok());
        if on != Some(None) {
            rest.hazards.push(Hazard { on: on.flatten(), ..hazard.clone() });
            hazards.push(index);
        }
    }
    Remainder { form: rest, events, hazards }
}

impl Remainder {
    fn whole_kind(&self, kind: FlawKind) -> FlawKind {
        match kind {
            FlawKind::Hazard(index) => FlawKind::Hazard(self.hazards[index]),
            FlawKind::Deadlock | FlawKind::Goal => kind,
        }
    }

    fn whole_flaws(&self, flaws: Vec<Flaw>) -> Vec<Flaw> {
        let whole = |flaw: Flaw| Flaw {
            kind: self.whole_kind(flaw.kind),
            story: flaw.story.into_iter().map(|event| self.events[event]).collect(),
        };
        flaws.into_iter().map(whole).collect()
    }

    fn whole_reason(&self, reason: Reason) -> Reason {
        match reason {
            Reason::Protects { hazard, part } => {
                Reason::Protects { hazard: hazard.map(|index| self.hazards[index]), part }
            }
            Reason::Enables { .. } | Reason::Asked { .. } | Reason::Kit { .. } | Reason::SameStep => reason,
        }
    }
}

/// Proves what remains, or finds how it goes wrong. Stories start at the state.
pub fn recheck(form: &Form, state: &State, limits: &Limits) -> Verdict {
    let rest = remainder(form, state);
    match crate::check::check(&rest.form, limits) {
        Verdict::Proved(proof) => Verdict::Proved(proof),
        Verdict::Flaw(flaws) => Verdict::Flaw(rest.whole_flaws(flaws)),
        Verdict::TooLarge(covered) => Verdict::TooLarge(TooLarge {
            states: covered.states,
            undecided: covered.undecided.into_iter().map(|kind| rest.whole_kind(kind)).collect(),
            flaws: rest.whole_flaws(covered.flaws),
        }),
    }
}

/// The loosest safe order of what remains.
///
/// # Errors
/// As [`order`].
pub fn reorder(form: &Form, state: &State, limits: &Limits) -> Result<Order, NoOrder> {
    let rest = remainder(form, state);
    let order = order(&rest.form, limits)?;
    let edges = order.edges.into_iter().map(|edge| OrderEdge {
        before: rest.events[edge.before],
        after: rest.events[edge.after],
        reasons: edge.reasons.into_iter().map(|reason| rest.whole_reason(reason)).collect(),
    });
    Ok(Order { edges: edges.collect(), is_minimal: order.is_minimal, waits: order.waits })
}
