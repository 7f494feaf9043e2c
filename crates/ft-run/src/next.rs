//! What is next for somebody, out of the plan and what has really happened.

use std::collections::BTreeMap;

use ft_form::walk::State;
use ft_form::{EventId, Form};
use ft_prove::live::{self, May};

use crate::machine::{Live, Run};
use crate::rows::{PlanRows, Row};

/// What somebody does next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Next<'p> {
    /// The row of the plan.
    pub row: &'p Row,
    /// The machine, by its number in the run.
    pub machine: usize,
    /// The row's first event that has not happened.
    pub event: EventId,
    /// How many of the row's events have not happened; at least 1.
    pub left: usize,
    /// Where somebody has to look first: what can be found, of which one is so.
    pub answers: Vec<EventId>,
    /// Whether the event, or else an answer, may happen now.
    pub may: bool,
}

impl Next<'_> {
    /// Whether the row was begun.
    pub fn is_begun(&self) -> bool {
        self.left < self.row.events.len()
    }

    /// What is told to have happened next: the answers, or else the event.
    pub fn events(&self) -> Vec<EventId> {
        if self.answers.is_empty() { vec![self.event] } else { self.answers.clone() }
    }
}

/// The rows of a plan that are not done, by their begin, each with what comes next in it.
pub fn open<'p>(run: &Run, plan: &'p PlanRows, states: &[State]) -> Vec<Next<'p>> {
    plan.rows.iter().filter_map(|row| of_row(run, row, states)).collect()
}

/// What a person does next: the first of their rows that may go on now, else the first that is not done.
pub fn next<'p>(run: &Run, plan: &'p PlanRows, states: &[State], person: &str) -> Option<Next<'p>> {
    let mut own = open(run, plan, states);
    own.retain(|next| next.row.people.iter().any(|name| name == person));
    let chosen = own.iter().position(|next| next.may).unwrap_or(0);
    (chosen < own.len()).then(|| own.swap_remove(chosen))
}

fn of_row<'p>(run: &Run, row: &'p Row, states: &[State]) -> Option<Next<'p>> {
    let machine = run.machines.iter().position(|live| live.ready.name == row.machine)?;
    let (live, state) = (&run.machines[machine], states.get(machine)?);
    let mut todo =
        row.events.iter().filter_map(|name| live.event(name)).filter(|event| !state.done[*event]).peekable();
    let event = *todo.peek()?;
    let answers = answers(&live.form, state, event);
    let may = !answers.is_empty() || live::may(&live.form, state, event) == May::Yes;
    Some(Next { row, machine, event, left: todo.count(), answers, may })
}

/// What somebody is asked to find before an event, where only that is in its way; empty where they are not asked.
fn answers(form: &Form, state: &State, event: EventId) -> Vec<EventId> {
    let before: Vec<EventId> = if form.events[event].nature {
        vec![event]
    } else {
        form.events[event].pre.iter().copied().filter(|before| !state.done[*before]).collect()
    };
    let may = |answer: &EventId| form.events[*answer].nature && live::may(form, state, *answer) == May::Yes;
    match before.first().filter(|_| before.iter().all(may)) {
        Some(first) => siblings(form, *first).into_iter().filter(|answer| !state.done[*answer]).collect(),
        None => Vec::new(),
    }
}

/// The answers of one look, given one of them.
pub fn siblings(form: &Form, answer: EventId) -> Vec<EventId> {
    let pre = &form.events[answer].pre;
    (0..form.events.len())
        .filter(|other| form.events[*other].nature && form.events[*other].pre == *pre)
        .collect()
}

/// When an event of a step that was begun has its time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Due {
    /// When by the plan, milliseconds since 1970.
    pub planned_ms: i64,
    /// Not before, milliseconds since 1970; what only a person sees the end of may be earlier than planned.
    pub least_ms: i64,
}

/// When an event has its time, counted from what happened before it in its step; `None` where nothing has to pass.
/// `when` tells of each event that has happened when it did.
pub fn due(live: &Live, plan: &PlanRows, when: &BTreeMap<EventId, i64>, event: EventId) -> Option<Due> {
    let wait = wait_of(live, plan, event)?;
    let of = &live.form.events[event];
    let before = of.pre.iter().filter(|before| live.form.events[**before].step == of.step);
    let since = before.filter_map(|before| when.get(before)).max()?;
    let after = |seconds: u32| since + 1000 * i64::from(seconds);
    Some(Due { planned_ms: after(wait.seconds), least_ms: after(wait.least_s) })
}

/// The events that an event begins a wait for, with the seconds that it takes by the plan.
pub fn starts(live: &Live, plan: &PlanRows, event: EventId) -> Vec<(EventId, u32)> {
    let step = &live.form.events[event].step;
    let after =
        live.form.events.iter().enumerate().filter(|(_, of)| of.step == *step && of.pre.contains(&event));
    after.filter_map(|(other, _)| Some((other, wait_of(live, plan, other)?.seconds))).collect()
}

fn wait_of<'p>(live: &Live, plan: &'p PlanRows, event: EventId) -> Option<&'p crate::rows::Wait> {
    let name = &live.form.events[event].name;
    let mut rows = plan.rows.iter().filter(|row| row.machine == live.ready.name);
    let row = rows.find(|row| row.events.contains(name))?;
    row.waits.iter().find(|wait| wait.event == *name && wait.seconds > 0)
}
