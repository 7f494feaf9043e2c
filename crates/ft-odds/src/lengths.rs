//! The law of each step for each person, learned from the record: what the planner draws nights from.

use std::collections::BTreeMap;

use ft_stats::maths::{exp, ln, mean, sqrt};

use crate::learning::slope;
use crate::lognormal::LogNormal;
use crate::pool::{Spread, by_moments};

/// Natural logs of a run's number and of its length.
type LogPoint = (f64, f64);

/// One time that a person did a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// The step.
    pub step: String,
    /// The person.
    pub person: String,
    /// How often this person had done this step by then, counted from 1.
    pub number: u32,
    /// How long it took, in minutes, above 0.
    pub minutes: f64,
}

/// What is taken where the record is silent; the figures are our choice and marked so where they are shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Assumptions {
    /// Spread of one person's runs on the log.
    pub within_sd: f64,
    /// Spread of persons on the log.
    pub between_sd: f64,
    /// How many runs the assumed spreads are worth against seen ones.
    pub worth: f64,
    /// Practice shortens no further after this many runs.
    pub learned_after: u32,
}

impl Default for Assumptions {
    /// Runs within a fifth, persons within a quarter, worth four runs, learned after thirty.
    ///
    /// Source: none, our choice: wide enough that a new step is not promised too narrowly.
    fn default() -> Self {
        Self { within_sd: 0.2, between_sd: 0.25, worth: 4.0, learned_after: 30 }
    }
}

/// The bounds of a learning rate that are believed: a record that says more is about something else.
///
/// Source: `0.7 to 1` from the design's facts on durations.
pub const RATE_BOUNDS: (f64, f64) = (0.7, 1.0);

/// What was learned of one step.
#[derive(Debug, Clone, PartialEq)]
struct Step {
    /// Slope of log length on log number, within bounds.
    slope: f64,
    /// Variances, and the crew's level at the first run.
    spread: Spread,
    /// Mean level and number of runs of each person.
    persons: BTreeMap<String, (f64, usize)>,
    /// Variance of the crew's level.
    centre_variance: f64,
}

/// Laws of all steps.
#[derive(Debug, Clone, PartialEq)]
pub struct Lengths {
    steps: BTreeMap<String, Step>,
    assumptions: Assumptions,
}

impl Lengths {
    /// Learns from runs; runs without a length above 0 or with number 0 are left out, and their places are returned.
    pub fn learn(runs: &[Run], assumptions: Assumptions) -> (Self, Vec<usize>) {
        let mut by_step: BTreeMap<&str, BTreeMap<&str, Vec<LogPoint>>> = BTreeMap::new();
        let mut left_out = Vec::new();
        for (index, run) in runs.iter().enumerate() {
            if !(run.minutes.is_finite() && run.minutes > 0.0) || run.number == 0 {
                left_out.push(index);
                continue;
            }
            let number = f64::from(run.number.min(assumptions.learned_after.max(1)));
            let persons = by_step.entry(&run.step).or_default();
            persons.entry(&run.person).or_default().push((ln(number), ln(run.minutes)));
        }
        let steps =
            by_step.into_iter().map(|(name, persons)| (name.to_owned(), learned(&persons, &assumptions)));
        (Self { steps: steps.collect(), assumptions }, left_out)
    }

    /// The law of a step's next run by a person who has done it `done` times.
    ///
    /// `card_minutes` is what the card says, taken where the step was never timed. The spread holds what is not
    /// known of the person and of the crew beside how runs vary, so that odds drawn from it come true as often as
    /// they say.
    pub fn law(&self, step: &str, person: &str, done: u32, card_minutes: f64) -> LogNormal {
        let assumed = &self.assumptions;
        let Some(step) = self.steps.get(step) else {
            let spread =
                sqrt(assumed.within_sd * assumed.within_sd + assumed.between_sd * assumed.between_sd);
            return LogNormal { log_mean: ln(card_minutes), log_sd: spread };
        };
        let (own, runs) = step.persons.get(person).copied().unwrap_or((step.spread.centre, 0));
        let number = f64::from((done + 1).min(assumed.learned_after.max(1)));
        let trust = step.spread.trust(runs);
        let unknown = step.spread.unknown(runs) + (1.0 - trust) * (1.0 - trust) * step.centre_variance;
        LogNormal {
            log_mean: step.spread.drawn(own, runs) + step.slope * ln(number),
            log_sd: sqrt(step.spread.within + unknown),
        }
    }

    /// How far a person's own runs of a step are believed against the crew's, 0 to 1.
    pub fn trust(&self, step: &str, person: &str) -> f64 {
        self.steps.get(step).map_or(0.0, |step| {
            let runs = step.persons.get(person).map_or(0, |(_, runs)| *runs);
            step.spread.trust(runs)
        })
    }

    /// The learning rate of a step: the share of its length that is left when a person's runs double.
    pub fn rate(&self, step: &str) -> Option<f64> {
        self.steps.get(step).map(|step| exp(step.slope * std::f64::consts::LN_2))
    }
}

fn learned(persons: &BTreeMap<&str, Vec<(f64, f64)>>, assumed: &Assumptions) -> Step {
    let lists: Vec<&[(f64, f64)]> = persons.values().map(Vec::as_slice).collect();
    let bound = |rate: f64| ln(rate) / std::f64::consts::LN_2;
    let slope = slope(&lists).unwrap_or(0.0).clamp(bound(RATE_BOUNDS.0), bound(RATE_BOUNDS.1));
    let levels: Vec<Vec<f64>> =
        lists.iter().map(|points| points.iter().map(|(x, y)| y - slope * x).collect()).collect();
    let spread = believed(&levels, assumed);
    let named =
        persons.keys().zip(&levels).map(|(name, logs)| ((*name).to_owned(), (mean(logs), logs.len())));
    let weights = levels.iter().map(|logs| 1.0 / (spread.between + spread.within / logs.len() as f64));
    Step { slope, centre_variance: 1.0 / ft_stats::maths::sum(weights), persons: named.collect(), spread }
}

/// Seen spreads, weighed with the assumed ones by how many runs and persons they rest on.
fn believed(levels: &[Vec<f64>], assumed: &Assumptions) -> Spread {
    let lists: Vec<&[f64]> = levels.iter().map(Vec::as_slice).collect();
    let runs: usize = levels.iter().map(Vec::len).sum();
    let freedom = (runs - levels.len()) as f64;
    let (within0, between0) =
        (assumed.within_sd * assumed.within_sd, assumed.between_sd * assumed.between_sd);
    let inner = ft_stats::maths::sum(lists.iter().map(|logs| ft_stats::maths::sum_of_squares(logs)));
    let within = (assumed.worth * within0 + inner) / (assumed.worth + freedom);
    let seen = by_moments(&lists).map_or(between0, |spread| spread.between);
    let persons = levels.len() as f64 - 1.0;
    let between = (assumed.worth * between0 + persons * seen) / (assumed.worth + persons);
    let weight = |logs: &&[f64]| 1.0 / (between + within / logs.len() as f64);
    let total = ft_stats::maths::sum(lists.iter().map(weight));
    let centre = ft_stats::maths::sum(lists.iter().map(|logs| weight(logs) * mean(logs))) / total;
    Spread { within, between, centre }
}
