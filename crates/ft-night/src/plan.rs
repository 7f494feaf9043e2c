//! The plan: who does what, when, and how good it is known to be.

use serde::{Deserialize, Serialize};

use crate::loads::Grouping;

/// How much is known about a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Word {
    /// Nothing ends earlier: [`Plan::lower_bound_s`] is its end.
    Best,
    /// Every rule is kept; whether anything ends earlier is not known.
    Feasible,
    /// Proved: no plan keeps every rule.
    Impossible,
    /// No plan was found within the budget, and none was proved not to exist.
    #[default]
    OutOfTime,
}

/// When one phase is done, by whom and where.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Assignment {
    /// Position in the tasks; load `k` of [`Plan::loads`] is task `problem.tasks.len() + k`.
    pub task: usize,
    /// Which of its phases.
    pub phase: usize,
    /// Begin, seconds.
    pub start_s: u32,
    /// End, seconds.
    pub end_s: u32,
    /// Who does it, ascending; as many as the phase asks for.
    #[serde(default)]
    pub people: Vec<usize>,
    /// Where it is done.
    pub place: usize,
    /// The bay of each room that the task occupies from this phase on, in the order of the task's rooms.
    #[serde(default)]
    pub bays: Vec<u32>,
}

/// What the wishes look at, in their order; less is better. Compared as a whole it is the order of wishes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
pub struct Score {
    /// When everything has ended, seconds.
    pub ends_at_s: u32,
    /// Seconds of people in attended phases, summed over people.
    pub attended_s: u64,
    /// Seconds that people walk, summed over people.
    pub walking_s: u64,
    /// Times that the card's order or a person's side is left.
    pub habit_breaks: u32,
}

/// A plan for the night.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// How much is known about it.
    pub word: Word,
    /// One for each phase of each task and load, sorted by start, task, phase; empty where there is no plan.
    pub assignments: Vec<Assignment>,
    /// Which parts share a load.
    pub loads: Grouping,
    /// How it stands with the wishes.
    pub score: Score,
    /// No plan ends earlier than this, seconds.
    pub lower_bound_s: u32,
    /// Work units spent on it (one is one schedule built).
    pub work_units: u64,
    /// Where [`Word::Impossible`]: what cannot be together, one sentence each.
    #[serde(default)]
    pub conflict: Vec<String>,
}

impl Plan {
    /// Whether there is something to carry out.
    pub fn is_plan(&self) -> bool {
        matches!(self.word, Word::Best | Word::Feasible)
    }

    /// How far the end may still be from the best, as a share of the bound; 0 when proved best.
    pub fn gap(&self) -> f64 {
        let bound = f64::from(self.lower_bound_s.max(1));
        f64::from(self.score.ends_at_s.saturating_sub(self.lower_bound_s)) / bound
    }

    /// The assignment of one phase.
    pub fn find(&self, task: usize, phase: usize) -> Option<&Assignment> {
        self.assignments.iter().find(|one| one.task == task && one.phase == phase)
    }
}
