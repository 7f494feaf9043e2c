//! The slow, plain explorer: every state, breadth first, with the meaning that [`ft_form::walk`] gives.
//!
//! It is the yardstick of the fast prover, in tests and in the benchmark, and nothing else uses it.

use std::collections::{BTreeMap, HashMap};

use ft_form::walk::State;
use ft_form::{EventId, Form};

use crate::verdict::{Flaw, FlawKind};

/// Everything reachable, or as much as the limit allows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Explored {
    /// States seen.
    pub states: usize,
    /// Each kind of flaw reached, with a shortest story, in the card's order.
    pub flaws: Vec<Flaw>,
    /// Whether every reachable state was seen.
    pub whole: bool,
}

/// Explores every state of a form, at most `limit` of them.
pub fn explore(form: &Form, limit: usize) -> Explored {
    let mut seen: HashMap<State, usize> = HashMap::new();
    let mut states: Vec<(State, Option<(usize, EventId)>)> = Vec::new();
    let mut found: BTreeMap<FlawKind, Vec<EventId>> = BTreeMap::new();
    let start = State::start(form);
    seen.insert(start.clone(), 0);
    states.push((start, None));
    let mut next = 0;
    let mut whole = true;
    while next < states.len() {
        let state = states[next].0.clone();
        for (index, hazard) in form.hazards.iter().enumerate() {
            if state.shows(form, hazard) {
                found.entry(FlawKind::Hazard(index)).or_insert_with(|| {
                    let mut told = story(&states, next);
                    told.extend(hazard.on);
                    told
                });
            }
        }
        let open = state.open(form);
        if open.is_empty() {
            let kind = if state.is_finished() { FlawKind::Goal } else { FlawKind::Deadlock };
            if kind == FlawKind::Deadlock || !state.holds(form, &form.goal) {
                found.entry(kind).or_insert_with(|| story(&states, next));
            }
        }
        for event in open {
            let after = state.after(form, event);
            if seen.contains_key(&after) {
                continue;
            }
            if states.len() >= limit {
                whole = false;
                continue;
            }
            seen.insert(after.clone(), states.len());
            states.push((after, Some((next, event))));
        }
        next += 1;
    }
    let flaws = found.into_iter().map(|(kind, story)| Flaw { kind, story }).collect();
    Explored { states: states.len(), flaws, whole }
}

fn story(states: &[(State, Option<(usize, EventId)>)], mut at: usize) -> Vec<EventId> {
    let mut events = Vec::new();
    while let Some((before, event)) = states[at].1 {
        events.push(event);
        at = before;
    }
    events.reverse();
    events
}
