//! The plan made anew from what really happened, with as little change as helps.

use std::collections::BTreeMap;

use ft_form::EventId;
use ft_form::walk::State;
use ft_night::{Done, Person, Phase, Plan, Problem};
use ft_plan::{Actual, Budget};

use crate::machine::Run;
use crate::pieces::Piece;

/// Seconds that must be gained before work goes from one person to another: words are said, a place is found.
/// Source: none, our choice.
const SWAP_S: u32 = 60;

/// What has happened to a machine.
#[derive(Debug, Clone, Copy)]
pub struct Seen<'n> {
    /// Its state.
    pub state: &'n State,
    /// When each event that has happened did, milliseconds since 1970.
    pub when: &'n BTreeMap<EventId, i64>,
}

/// Somebody of the crew as the night goes on. The plan's people come first, in their order; who came later follows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hand {
    /// Their name.
    pub name: String,
    /// When they came, seconds of the plan.
    pub from_s: u32,
    /// When they left, if they did.
    pub left_s: Option<u32>,
}

/// Plans the rest of the night; `None` where there is no plan for it.
///
/// `seen` has one entry for each machine of the run; `old` is the plan in force.
pub fn again(
    run: &Run,
    pieces: &[Piece],
    old: &Plan,
    seen: &[Seen<'_>],
    crew: &[Hand],
    (begins_ms, now_s): (i64, u32),
    budget: &Budget<'_>,
) -> Option<Plan> {
    let mut problem = run.problem.clone();
    people(run, &mut problem, crew, now_s);
    let whole = run.problem.with_loads(&old.loads);
    let mut done = Vec::new();
    for task in 0..whole.tasks.len() {
        done.extend(begun(task, &whole, old, &marks(task, pieces, seen, begins_ms), now_s));
    }
    done.sort_by_key(|one| (one.start_s, one.task, one.phase));
    let actual = Actual { now_s, done, swap_s: SWAP_S };
    let plan = ft_plan::replan(&problem, old, &actual, budget);
    plan.is_plan().then_some(plan)
}

/// Who is here from now on: those who left are gone, those who came are there.
fn people(run: &Run, problem: &mut Problem, crew: &[Hand], now_s: u32) {
    // A promise to be out by a time is not kept by saying that nothing can be done.
    problem.deadline_s = None;
    for (index, hand) in crew.iter().enumerate() {
        if index >= problem.people.len() {
            let known = run.kitchen.people.iter().find(|person| person.named.name == hand.name);
            problem.people.push(Person {
                name: hand.name.clone(),
                skills: known.map(|person| person.skills.clone()).unwrap_or_default(),
                from_s: hand.from_s,
                to_s: None,
                pace_percent: known.map_or(100, |person| (person.pace * 100.0).round() as u32),
                starts_at: None,
                keeps_side: None,
            });
        }
        let person = &mut problem.people[index];
        person.from_s = person.from_s.min(hand.from_s.max(now_s));
        match hand.left_s {
            Some(left) => person.to_s = Some(left),
            None => person.to_s = person.to_s.filter(|to| *to > now_s),
        }
    }
}

/// A moment of a task that really happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Mark {
    /// The phase that it ends; or begins, where it is the first of several events.
    phase: usize,
    /// Whether it ends it.
    ends: bool,
    /// When, seconds of the plan.
    at_s: u32,
}

/// What has happened of a task, in its order.
fn marks(task: usize, pieces: &[Piece], seen: &[Seen<'_>], begins_ms: i64) -> Vec<Mark> {
    let mut marks = Vec::new();
    for piece in pieces.iter().filter(|piece| piece.plan_task == task) {
        let seen = seen[piece.machine];
        for (number, event) in piece.events.iter().enumerate() {
            if !seen.state.done[*event] {
                continue;
            }
            let at_ms = seen.when.get(event).copied().unwrap_or(begins_ms);
            let at_s = ((at_ms - begins_ms).max(0) / 1000) as u32;
            let begins = number == 0 && piece.events.len() > 1;
            let phase = if begins { piece.phases.0 } else { piece.phases.1 };
            marks.push(Mark { phase, ends: !begins, at_s });
        }
    }
    marks.sort_unstable();
    marks
}

/// The phases of a task that have begun, as they went; what is under way ends when the plan expects it to.
fn begun(task: usize, whole: &Problem, old: &Plan, marks: &[Mark], now_s: u32) -> Vec<Done> {
    let Some(last) = marks.last() else { return Vec::new() };
    let phases = &whole.tasks[task].phases;
    let mut out: Vec<Done> = Vec::new();
    let mut free_from = 0;
    for (number, phase) in phases.iter().enumerate() {
        let planned = old.find(task, number);
        let length = planned.map_or(phase.hands_s + phase.wait_s, |one| one.end_s - one.start_s);
        let begin = marks.iter().find(|mark| mark.phase == number && !mark.ends);
        let end = marks.iter().rev().find(|mark| mark.phase == number && mark.ends);
        let is_past = number < last.phase || (number == last.phase && (last.ends || begin.is_some()));
        let follows = number > last.phase && last.ends && goes_on(phase, number);
        if !is_past && !follows && begin.is_none() {
            break;
        }
        let end_s = end.map(|mark| mark.at_s);
        let start_s = begin
            .map(|mark| mark.at_s)
            .or_else(|| end_s.filter(|_| number == 0).map(|end| end.saturating_sub(length)))
            .unwrap_or(free_from)
            .max(free_from)
            .min(now_s);
        let later = marks.iter().filter(|mark| mark.phase > number).map(|mark| mark.at_s).min();
        let expected = match later {
            Some(later) => (start_s + length).min(later.max(start_s)),
            None => (start_s + length).max(now_s),
        };
        let end_s = end_s.unwrap_or(expected).max(start_s);
        free_from = end_s;
        out.push(Done {
            task,
            phase: number,
            start_s,
            end_s,
            people: planned.map(|one| one.people.clone()).unwrap_or_default(),
            bays: planned.map(|one| one.bays.clone()).unwrap_or_default(),
        });
        if end_s >= now_s && end.is_none() && later.is_none() {
            break;
        }
    }
    out
}

/// Whether a phase begins by itself when the one before it ends: nobody is needed, and it may not be late.
fn goes_on(phase: &Phase, number: usize) -> bool {
    number > 0 && phase.people == 0 && phase.late_s == Some(0)
}
