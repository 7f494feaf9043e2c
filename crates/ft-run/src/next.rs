//! What is next for somebody, out of the plan and what has really happened.

use ft_form::EventId;
use ft_form::walk::State;
use ft_prove::live::{self, May};

use crate::machine::Run;
use crate::rows::{PlanRows, Row};

/// What somebody does next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Next<'p> {
    /// The row of the plan.
    pub row: &'p Row,
    /// The machine, by its number in the run.
    pub machine: usize,
    /// The row's first event that has not happened; or, where the world answers first, its answers.
    pub events: Vec<EventId>,
    /// Whether it may be done now.
    pub may: bool,
}

/// What a person does next: the first of their rows that may go on now, else the first that is not done.
pub fn next<'p>(run: &Run, plan: &'p PlanRows, states: &[State], person: &str) -> Option<Next<'p>> {
    let mut first = None;
    for row in plan.rows.iter().filter(|row| row.people.iter().any(|name| name == person)) {
        let Some(next) = of_row(run, row, states) else { continue };
        if next.may {
            return Some(next);
        }
        first = first.or(Some(next));
    }
    first
}

fn of_row<'p>(run: &Run, row: &'p Row, states: &[State]) -> Option<Next<'p>> {
    let machine = run.machines.iter().position(|live| live.ready.name == row.machine)?;
    let (live, state) = (&run.machines[machine], states.get(machine)?);
    let events = row.events.iter().filter_map(|name| live.event(name));
    let event = events.into_iter().find(|event| !state.done[*event])?;
    let answers: Vec<EventId> = live.form.events[event]
        .pre
        .iter()
        .copied()
        .filter(|before| live.form.events[*before].nature && !state.done[*before])
        .filter(|before| live::may(&live.form, state, *before) == May::Yes)
        .collect();
    if !answers.is_empty() {
        return Some(Next { row, machine, events: answers, may: true });
    }
    let may = live::may(&live.form, state, event) == May::Yes;
    Some(Next { row, machine, events: vec![event], may })
}
