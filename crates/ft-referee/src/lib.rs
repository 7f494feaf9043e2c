//! Judges a plan against its problem.
//!
//! Every rule is checked by the plainest reading of its documentation in `ft-night`, by counting and comparing; there
//! is deliberately no arrow to the planner. What already happened ([`ft_night::Done`]) is taken as it was: a rule that
//! only history breaks is not reported, since no plan could mend it.

mod crew;
mod goods;
mod times;

use std::fmt;

use ft_night::{Assignment, Plan, Problem, Word, group_faults};

/// Which rule is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rule {
    /// The grouping of the wash is none: an item twice or never, kinds mixed, a load too large.
    Loads,
    /// A phase is missing, doubled or not there.
    Coverage,
    /// History is told differently from how it went.
    History,
    /// A phase is not as long as those who do it need.
    Length,
    /// Wrong number of people, somebody twice or unknown, or at another place than the phase asks.
    Crew,
    /// Somebody lacks the skill.
    Skill,
    /// Somebody is not here yet or any more.
    Presence,
    /// Somebody is in two places, or has no time to walk.
    Walking,
    /// A phase begins before the phase before it ends, or later than it may.
    PhaseOrder,
    /// A lag between two tasks.
    Lag,
    /// Something begins before its release or before the present.
    Release,
    /// Something ends after it was due.
    Due,
    /// More kit is taken than there is.
    Kit,
    /// A bay is unknown, overfull, or holds two kinds.
    Room,
    /// Too few sides serve.
    Serving,
    /// The plan says of itself what is not so: its score, its bound or its word.
    Claim,
}

/// A broken rule.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Violation {
    /// Which rule.
    pub rule: Rule,
    /// The tasks that it is about (positions, loads after the tasks).
    pub tasks: Vec<usize>,
    /// What was found and what would be right.
    pub found: String,
}

impl fmt::Display for Violation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?} {:?}: {}", self.rule, self.tasks, self.found)
    }
}

/// Every rule that the plan breaks, sorted; empty when it may be carried out.
///
/// A plan without assignments (`Impossible`, `OutOfTime`) breaks none. Cost: a few times the square of the number of
/// phases at worst, which for a night is well under a millisecond.
pub fn problems(problem: &Problem, plan: &Plan) -> Vec<Violation> {
    if !plan.is_plan() {
        return Vec::new();
    }
    let loads: Vec<Violation> = group_faults(problem, &plan.loads)
        .into_iter()
        .map(|fault| violation(Rule::Loads, &[], format!("{fault:?}")))
        .collect();
    if !loads.is_empty() {
        return loads;
    }
    let whole = problem.with_loads(&plan.loads);
    let mut found = coverage(&whole, plan);
    if !found.is_empty() {
        return found;
    }
    let view = View::new(&whole, plan);
    times::check(&view, &mut found);
    crew::check(&view, &mut found);
    goods::check(&view, &mut found);
    claims(&view, plan, problem.tasks.len(), &mut found);
    found.sort();
    found
}

pub(crate) fn violation(rule: Rule, tasks: &[usize], found: String) -> Violation {
    Violation { rule, tasks: tasks.to_vec(), found }
}

/// The plan by task and phase.
pub(crate) struct View<'a> {
    pub problem: &'a Problem,
    /// `by_phase[task][phase]`.
    pub by_phase: Vec<Vec<&'a Assignment>>,
    /// Whether that phase is history.
    pub is_done: Vec<Vec<bool>>,
}

impl<'a> View<'a> {
    fn new(problem: &'a Problem, plan: &'a Plan) -> Self {
        let mut by_phase = Vec::new();
        let mut is_done = Vec::new();
        for (task, what) in problem.tasks.iter().enumerate() {
            let phases = 0..what.phases.len();
            by_phase.push(phases.clone().filter_map(|phase| plan.find(task, phase)).collect());
            let done = |phase| problem.done.iter().any(|done| done.task == task && done.phase == phase);
            is_done.push(phases.map(done).collect());
        }
        Self { problem, by_phase, is_done }
    }

    pub fn begin(&self, task: usize) -> i64 {
        i64::from(self.by_phase[task][0].start_s)
    }

    pub fn end(&self, task: usize) -> i64 {
        i64::from(self.by_phase[task][self.by_phase[task].len() - 1].end_s)
    }

    pub fn has_begun(&self, task: usize) -> bool {
        self.is_done[task][0]
    }

    pub fn has_ended(&self, task: usize) -> bool {
        self.is_done[task].iter().all(|&done| done)
    }

    /// Every phase with whether it is history.
    pub fn each(&self) -> impl Iterator<Item = (&'a Assignment, bool)> + '_ {
        self.by_phase
            .iter()
            .zip(&self.is_done)
            .flat_map(|(row, done)| row.iter().copied().zip(done.iter().copied()))
    }
}

fn coverage(whole: &Problem, plan: &Plan) -> Vec<Violation> {
    let mut found = Vec::new();
    let mut count: Vec<Vec<u32>> = whole.tasks.iter().map(|task| vec![0; task.phases.len()]).collect();
    for one in &plan.assignments {
        match count.get_mut(one.task).and_then(|row| row.get_mut(one.phase)) {
            Some(count) => *count += 1,
            None => found.push(violation(
                Rule::Coverage,
                &[one.task],
                format!("phase {} is not there", one.phase),
            )),
        }
    }
    for (task, row) in count.iter().enumerate() {
        for (phase, &times) in row.iter().enumerate() {
            if times != 1 {
                found.push(violation(
                    Rule::Coverage,
                    &[task],
                    format!("phase {phase} is planned {times} times, not once"),
                ));
            }
        }
    }
    found
}

/// What the plan says of itself.
fn claims(view: &View, plan: &Plan, card_tasks: usize, found: &mut Vec<Violation>) {
    let mut claim = |is_so: bool, what: String| {
        if !is_so {
            found.push(violation(Rule::Claim, &[], what));
        }
    };
    let ends_at_s = view.each().map(|(one, _)| one.end_s).max().unwrap_or(0);
    let score = plan.score;
    claim(
        score.ends_at_s == ends_at_s,
        format!("says that it ends at {}, ends at {ends_at_s}", score.ends_at_s),
    );
    let attended: u64 =
        view.each().map(|(one, _)| one.people.len() as u64 * u64::from(one.end_s - one.start_s)).sum();
    claim(
        score.attended_s == attended,
        format!("says {} attended seconds, has {attended}", score.attended_s),
    );
    let (walking, breaks) = crew::walking_and_breaks(view, card_tasks);
    claim(score.walking_s == walking, format!("says {} seconds of walking, has {walking}", score.walking_s));
    claim(score.habit_breaks == breaks, format!("says {} habit breaks, has {breaks}", score.habit_breaks));
    let bound = plan.lower_bound_s;
    claim(bound <= ends_at_s, format!("says that nothing ends before {bound}, yet ends at {ends_at_s}"));
    let proved = plan.word != Word::Best || bound == ends_at_s;
    claim(proved, format!("says that it is best, but its bound is {bound} and it ends at {ends_at_s}"));
}
