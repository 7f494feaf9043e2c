//! Looks for one run that keeps every hazard away, or says what is in the way.

use std::collections::BTreeSet;

use ft_form::walk::{NotYet, State};
use ft_form::{EventId, Form};

pub(crate) enum Run {
    /// All events in an order that keeps every hazard away and reaches the goal.
    Found(Vec<EventId>),
    /// There is none, and this is in the way.
    None(Vec<String>),
    Unknown,
}

/// Looks for one safe run, trying the card's order first.
pub(crate) fn safe_run(form: &Form, limit: usize) -> Run {
    let start = State::start(form);
    if let Some(hazard) = form.hazards.iter().find(|hazard| hazard.on.is_none() && start.shows(form, hazard))
    {
        return Run::None(vec![format!("`{}` holds before anything has happened", hazard.id)]);
    }
    let mut seen = BTreeSet::from([start.clone()]);
    let mut story: Vec<EventId> = Vec::new();
    let mut stack = vec![(start.clone(), safe_moves(form, &start).into_iter())];
    let mut furthest = start;
    while let Some((state, moves)) = stack.last_mut() {
        if state.is_finished() && state.holds(form, &form.goal) {
            return Run::Found(story);
        }
        let Some((event, next)) = moves.next() else {
            stack.pop();
            story.pop();
            continue;
        };
        if !seen.insert(next.clone()) {
            continue;
        }
        if seen.len() > limit {
            return Run::Unknown;
        }
        let count = |state: &State| state.done.iter().filter(|done| **done).count();
        if count(&next) > count(&furthest) {
            furthest = next.clone();
        }
        let moves = safe_moves(form, &next).into_iter();
        story.push(event);
        stack.push((next, moves));
    }
    Run::None(in_the_way(form, &furthest))
}

fn safe_moves(form: &Form, state: &State) -> Vec<(EventId, State)> {
    let is_safe = |event: EventId, next: &State| {
        form.hazards.iter().all(|hazard| match hazard.on {
            None => !next.shows(form, hazard),
            Some(on) => on != event || !state.shows(form, hazard),
        })
    };
    let moves = state.open(form).into_iter().map(|event| (event, state.after(form, event)));
    moves.filter(|(event, next)| is_safe(*event, next)).collect()
}

/// What keeps the run that gets furthest from going on.
fn in_the_way(form: &Form, state: &State) -> Vec<String> {
    let mut missing = Vec::new();
    let name = |event: EventId| &form.events[event].name;
    for event in 0..form.events.len() {
        match state.may(form, event) {
            Ok(()) => {
                let next = state.after(form, event);
                let shown = form.hazards.iter().filter(|hazard| match hazard.on {
                    None => next.shows(form, hazard),
                    Some(on) => on == event && state.shows(form, hazard),
                });
                let shown = shown.map(|hazard| format!("`{}` always leads to `{}`", name(event), hazard.id));
                missing.extend(shown);
            }
            Err(NotYet::Blocked(parts)) => {
                for part in parts {
                    let value = form.value_name(part.var, state.vals[part.var]);
                    let var = &form.vars[part.var].name;
                    missing.push(format!("`{}` cannot be done while `{var}` is {value}", name(event)));
                }
            }
            Err(_) => {}
        }
    }
    if state.is_finished() {
        for part in form.goal.iter().filter(|part| !state.holds(form, &[**part])) {
            let value = form.value_name(part.var, state.vals[part.var]);
            missing
                .push(format!("nothing brings `{}` to its goal; it stays {value}", form.vars[part.var].name));
        }
    }
    missing
}
