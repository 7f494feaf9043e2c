//! Makes the plan for tonight's crew.
//!
//! The same problem, budget and seed give the same plan. Nothing here reads a clock or a file; what it makes is judged
//! by `ft-referee`, which shares no code with it.

mod bound;
mod budget;
mod build;
mod day;
mod groups;
mod model;
mod rng;
mod score;
mod search;

use ft_night::{Grouping, Plan, Problem, Word};

pub use budget::Budget;

/// The best plan found within the budget.
///
/// `problem` must have no faults (`Problem::faults`) and at most 64 people. At least one schedule is built whatever
/// the budget. The word says how much is known: `Best` is proved, `Impossible` is proved and comes with the conflict.
pub fn plan(problem: &Problem, budget: &Budget) -> Plan {
    groups::plan(problem, budget)
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
