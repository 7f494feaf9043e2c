//! Makes the plan for tonight's crew.
//!
//! The same problem, budget and seed give the same plan. Nothing here reads a clock or a file; what it makes is judged
//! by `ft-referee`, which shares no code with it.

mod bound;
mod budget;
mod build;
mod conflict;
mod explain;
mod groups;
mod model;
mod odds;
mod order;
mod rng;
mod score;
mod search;
mod what_if;

use ft_night::{Done, Grouping, Plan, Problem, Word};

pub use budget::Budget;
pub use conflict::{Conflict, GiveUp, Wish, smallest_conflict};
pub use explain::{ChainLink, Explanation, Wait, explain};
pub use odds::{Odds, StepLength, lengths_as_planned, simulate};
pub use order::Because;
pub use what_if::{Change, changed, more_hands, what_if};

/// The best plan found within the budget.
///
/// `problem` must have no faults (`Problem::faults`) and at most 64 people. At least one schedule is built whatever
/// the budget. The word says how much is known: `Best` is proved, `Impossible` is proved and comes with the conflict.
pub fn plan(problem: &Problem, budget: &Budget) -> Plan {
    groups::plan(problem, budget)
}

/// What really happened so far.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Actual {
    /// The present, seconds.
    pub now_s: u32,
    /// Every phase that has begun, with its actual begin, and its actual or now expected end.
    pub done: Vec<Done>,
    /// Seconds that must be gained to hand one phase from one person to another, or to send somebody to another next.
    pub swap_s: u32,
}

impl Actual {
    /// The state at `now_s` of a night that has gone as planned: what a live run corrects.
    pub fn as_planned(plan: &Plan, now_s: u32, swap_s: u32) -> Self {
        let begun = plan.assignments.iter().filter(|one| one.start_s < now_s);
        let done = begun.map(|one| Done {
            task: one.task,
            phase: one.phase,
            start_s: one.start_s,
            end_s: one.end_s,
            people: one.people.clone(),
            bays: one.bays.clone(),
        });
        Self { now_s, done: done.collect(), swap_s }
    }
}

/// The problem from now on: `problem` (in which people, rooms and kit may have changed) with the past in it and the
/// loads of `old` kept. The referee judges the new plan against this.
#[must_use]
pub fn from_now(problem: &Problem, old: &Plan, actual: &Actual) -> Problem {
    let mut now = problem.clone();
    now.now_s = actual.now_s;
    now.done.clone_from(&actual.done);
    now.wash.given.clone_from(&old.loads.0);
    now
}

/// Plans the rest of the night from what really happened, changing as little as helps.
///
/// Starts from the old order and the old people; somebody else does a phase, and somebody is sent to another phase next
/// than the one they were to do next, only where that ends the night at least [`Actual::swap_s`] earlier for each such
/// change.
pub fn replan(problem: &Problem, old: &Plan, actual: &Actual, budget: &Budget) -> Plan {
    groups::replan(&from_now(problem, old, actual), old, actual.swap_s, budget)
}

/// The baseline: the card in its order, by the first `people` of the crew.
///
/// One person ends each step, waiting where it waits, before the next. Several take the card's next step as soon as they
/// can. Parts are washed as soon as a load can go. `Impossible` where so many people cannot do every step.
pub fn in_a_line(problem: &Problem, people: usize) -> Plan {
    groups::in_a_line(problem, people)
}

/// A plan or the lack of one, from what was found and what is known of the bounds.
fn settle_word(mut plan: Plan, fault: i64, bounds: &bound::Bounds) -> Plan {
    plan.lower_bound_s = u32::try_from(bounds.ends_at.max(0)).unwrap_or(u32::MAX);
    if fault > 0 || !bounds.conflict.is_empty() {
        let word = if bounds.conflict.is_empty() { Word::OutOfTime } else { Word::Impossible };
        return Plan {
            word,
            lower_bound_s: plan.lower_bound_s,
            work_units: plan.work_units,
            conflict: bounds.conflict.clone(),
            loads: Grouping::default(),
            ..Plan::default()
        };
    }
    plan.word = if plan.lower_bound_s >= plan.score.ends_at_s { Word::Best } else { Word::Feasible };
    plan
}
