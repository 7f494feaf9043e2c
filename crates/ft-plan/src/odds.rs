//! The odds of a plan: plays the night again many times with step lengths from their distributions.
//!
//! Each night keeps the plan's decisions ([`crate::order`]): who does what in which order, which bay, whose bucket. Each
//! step's hand work is drawn once a night (log-normal); waits keep their length. Deterministic for a seed.

use ft_night::{Plan, Problem};

use crate::order::{Arc, arcs, clock_s};
use crate::rng::Rng;

/// How long the hands of one step take: log-normal, of seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepLength {
    /// Mean of the natural logarithm of the step's hand seconds (all its attended phases together, as planned for those
    /// who do it).
    pub mu: f64,
    /// Standard deviation of that logarithm.
    pub sigma: f64,
}

/// What came of the nights.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Odds {
    /// The ends of all nights, seconds, ascending.
    pub ends_s: Vec<f64>,
    /// For each task and load: the share of nights in which it was on the chain that set the end.
    pub critical_share: Vec<f64>,
    /// For each task and load: the correlation of its length with the end; how much it matters to being late.
    pub correlation: Vec<f64>,
    /// Share of nights in which a greatest lag was overstepped, so that somebody would have had to act.
    pub lag_broken_share: f64,
}

impl Odds {
    /// The odds of having ended by `at_s`, 0 to 1.
    pub fn by(&self, at_s: f64) -> f64 {
        self.ends_s.partition_point(|&end| end <= at_s) as f64 / self.ends_s.len().max(1) as f64
    }

    /// The end that a share of the nights keeps (`0.5`, `0.9`), seconds; 0 where there were no nights.
    pub fn quantile(&self, share: f64) -> f64 {
        let rank = (share.clamp(0.0, 1.0) * self.ends_s.len() as f64).ceil() as usize;
        self.ends_s.get(rank.clamp(1, self.ends_s.len().max(1)) - 1).copied().unwrap_or(0.0)
    }

    /// Mean end, seconds.
    pub fn mean_s(&self) -> f64 {
        self.ends_s.iter().sum::<f64>() / self.ends_s.len().max(1) as f64
    }
}

/// Lengths that take the plan's own as their medians, with the same `sigma` for all: for a kitchen without a record.
pub fn lengths_as_planned(problem: &Problem, plan: &Plan, sigma: f64) -> Vec<StepLength> {
    let whole = problem.with_loads(&plan.loads);
    let hands = hand_seconds(&whole, plan);
    hands.iter().map(|&hands_s| StepLength { mu: hands_s.max(1.0).ln(), sigma }).collect()
}

/// Plays `nights` nights. `lengths` has one entry for each task and load; a step that has begun keeps its length.
///
/// Cost: nights times arcs; ten thousand nights of two hundred phases take some tens of milliseconds.
pub fn simulate(problem: &Problem, plan: &Plan, lengths: &[StepLength], nights: usize, seed: u64) -> Odds {
    let whole = problem.with_loads(&plan.loads);
    if !plan.is_plan() || plan.assignments.is_empty() || nights == 0 {
        return Odds::default();
    }
    let play = Play::new(&whole, plan);
    let hands = hand_seconds(&whole, plan);
    let mut rng = Rng::new(seed);
    let mut tally = Tally::new(whole.tasks.len());
    let mut times = vec![(0.0, 0.0); plan.assignments.len()];
    let mut factor = vec![1.0; whole.tasks.len()];
    let mut from = vec![None; plan.assignments.len()];
    for _ in 0..nights {
        for (task, length) in lengths.iter().enumerate() {
            // Drawn even where there are no hands, so that one step's presence does not shift another's chance.
            let drawn = (length.mu + length.sigma * normal(&mut rng)).exp();
            factor[task] = if hands[task] > 0.0 { drawn / hands[task] } else { 1.0 };
        }
        play.run(&factor, &mut times, &mut from);
        tally.add(&play, &factor, &times, &from);
    }
    tally.odds(nights)
}

/// A standard normal number (Box and Muller 1958, Annals of Mathematical Statistics 29:610).
fn normal(rng: &mut Rng) -> f64 {
    let (u, v) = (1.0 - rng.unit(), rng.unit());
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

/// Hand seconds of each task as planned.
fn hand_seconds(whole: &Problem, plan: &Plan) -> Vec<f64> {
    let mut hands = vec![0.0; whole.tasks.len()];
    for one in &plan.assignments {
        let phase = &whole.tasks[one.task].phases[one.phase];
        if phase.people > 0 {
            hands[one.task] += f64::from(one.end_s - one.start_s)
                - f64::from(phase.wait_s).min(f64::from(one.end_s - one.start_s));
        }
    }
    hands
}

/// A plan made ready to be played.
struct Play<'a> {
    whole: &'a Problem,
    plan: &'a Plan,
    /// Arcs into each assignment.
    into: Vec<Vec<Arc>>,
    clock: Vec<f64>,
    /// Seconds of hands and of waiting.
    hands: Vec<f64>,
    waits: Vec<f64>,
    done: Vec<bool>,
    first: Vec<usize>,
    last: Vec<usize>,
}

impl<'a> Play<'a> {
    fn new(whole: &'a Problem, plan: &'a Plan) -> Self {
        let count = plan.assignments.len();
        let mut into = vec![Vec::new(); count];
        for arc in arcs(whole, plan) {
            into[arc.to].push(arc);
        }
        let (mut hands, mut waits) = (vec![0.0; count], vec![0.0; count]);
        for (at, one) in plan.assignments.iter().enumerate() {
            let phase = &whole.tasks[one.task].phases[one.phase];
            let length = f64::from(one.end_s - one.start_s);
            waits[at] = if phase.people > 0 { f64::from(phase.wait_s).min(length) } else { length };
            hands[at] = length - waits[at];
        }
        let is_done = |one: &ft_night::Assignment| {
            whole.done.iter().any(|d| (d.task, d.phase) == (one.task, one.phase))
        };
        let at = crate::order::positions(whole, plan);
        Self {
            whole,
            plan,
            into,
            clock: (0..count).map(|at| f64::from(clock_s(whole, plan, at))).collect(),
            hands,
            waits,
            done: plan.assignments.iter().map(is_done).collect(),
            first: at.iter().map(|row| row[0]).collect(),
            last: at.iter().map(|row| row[row.len() - 1]).collect(),
        }
    }

    /// Begins and ends of one night; `from` is what each waited for last.
    fn run(&self, factor: &[f64], times: &mut [(f64, f64)], from: &mut [Option<usize>]) {
        // Assignments are sorted by start, so what an arc comes from has its times, except where both begin at the same
        // second; then the time of the plan stands in, and a second sweep puts it right.
        for (at, one) in self.plan.assignments.iter().enumerate() {
            times[at] = (f64::from(one.start_s), f64::from(one.end_s));
        }
        for sweep in 0..2 {
            let mut changed = false;
            for (at, one) in self.plan.assignments.iter().enumerate() {
                if self.done[at] {
                    continue;
                }
                let length = self.hands[at] * factor[one.task] + self.waits[at];
                let (mut begin, mut cause) = (self.clock[at], None);
                for arc in &self.into[at] {
                    let instant = if arc.from_end { times[arc.from].1 } else { times[arc.from].0 };
                    let ready = instant + arc.least_s as f64 - if arc.to_end { length } else { 0.0 };
                    if ready > begin {
                        (begin, cause) = (ready, Some(arc.from));
                    }
                }
                changed |= times[at] != (begin, begin + length);
                times[at] = (begin, begin + length);
                from[at] = cause;
            }
            if sweep == 0 && !changed {
                break;
            }
        }
    }

    fn breaks_a_lag(&self, times: &[(f64, f64)]) -> bool {
        let point = |point: ft_night::Point| match point.edge {
            ft_night::Edge::Begin => times[self.first[point.task]].0,
            ft_night::Edge::End => times[self.last[point.task]].1,
        };
        self.whole
            .lags
            .iter()
            .any(|lag| lag.max_s.is_some_and(|max| point(lag.to) - point(lag.from) > max as f64 + 1e-6))
    }
}

/// Sums over the nights.
struct Tally {
    ends: Vec<f64>,
    critical: Vec<u64>,
    broken: u64,
    /// Sums of a step's factor, its square, and its product with the end.
    sums: Vec<[f64; 3]>,
}

impl Tally {
    fn new(tasks: usize) -> Self {
        Self { ends: Vec::new(), critical: vec![0; tasks], broken: 0, sums: vec![[0.0; 3]; tasks] }
    }

    fn add(&mut self, play: &Play, factor: &[f64], times: &[(f64, f64)], from: &[Option<usize>]) {
        let last = (0..times.len())
            .max_by(|&a, &b| times[a].1.total_cmp(&times[b].1))
            .expect("there are assignments");
        let end = times[last].1;
        self.ends.push(end);
        let mut counted = vec![false; factor.len()];
        let mut at = Some(last);
        for _ in 0..times.len() {
            let Some(here) = at else { break };
            let task = play.plan.assignments[here].task;
            if !std::mem::replace(&mut counted[task], true) {
                self.critical[task] += 1;
            }
            at = from[here];
        }
        for (sums, &factor) in self.sums.iter_mut().zip(factor) {
            sums[0] += factor;
            sums[1] += factor * factor;
            sums[2] += factor * end;
        }
        self.broken += u64::from(play.breaks_a_lag(times));
    }

    fn odds(mut self, nights: usize) -> Odds {
        let count = nights as f64;
        let mean = self.ends.iter().sum::<f64>() / count;
        let spread = (self.ends.iter().map(|end| (end - mean).powi(2)).sum::<f64>() / count).sqrt();
        let correlation = self.sums.iter().map(|[sum, square, product]| {
            let step_spread = (square / count - (sum / count).powi(2)).max(0.0).sqrt();
            let both = step_spread * spread;
            if both > 1e-9 { (product / count - sum / count * mean) / both } else { 0.0 }
        });
        let correlation = correlation.collect();
        self.ends.sort_by(f64::total_cmp);
        Odds {
            ends_s: self.ends,
            critical_share: self.critical.iter().map(|&nights| nights as f64 / count).collect(),
            correlation,
            lag_broken_share: self.broken as f64 / count,
        }
    }
}
