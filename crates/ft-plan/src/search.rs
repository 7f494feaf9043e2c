//! Improves a sequence by annealing: small changes, kept where they help and sometimes where they do not.

pub mod frame;
mod moves;
mod placing;
pub mod sequence;
mod state;
mod store;
pub mod timing;

use ft_night::Score;

use crate::budget::Meter;
use crate::build::{Crew, Night};
use crate::model::Time;
use crate::rng::Rng;
use crate::score::score;
use crate::search::frame::Frame;
use crate::search::moves::Moves;
use crate::search::sequence::Sequence;
use crate::search::state::State;
use crate::search::timing::Timing;

/// How a night is judged: by its faults, then by the wishes, and by what it changes for people who already have a plan.
#[derive(Clone, Default)]
pub struct Judge {
    /// Loads come after so many tasks.
    pub card_tasks: usize,
    /// Who was to do each act, where there is an older plan; `None` where it said nothing.
    pub kept: Vec<Option<Crew>>,
    /// The act that somebody was to do next, and who, by number.
    pub next: Vec<(usize, usize)>,
    /// Whether each act has begun, where there is an older plan.
    pub begun: Vec<bool>,
    /// Seconds that it must gain to hand an act to others, or to send somebody to another act next.
    pub swap_s: u32,
}

/// Less is better: faults, the end with the price of changes, then the wishes.
pub type Value = (i64, u32, Score);

impl Judge {
    /// Judges a night.
    pub fn value(&self, night: &Night) -> Value {
        let price = self.price(&night.crew, &night.start);
        Self::judge(night.fault, price, score(night, self.card_tasks))
    }

    /// Judges the times of a sequence.
    pub fn value_of(&self, state: &State) -> Value {
        Self::judge(state.front.fault, self.price(&state.crew, &state.start), state.score())
    }

    /// The same as one number, for annealing.
    pub fn energy(&self, state: &State) -> f64 {
        state.least_energy() + f64::from(self.price(&state.crew, &state.start))
    }

    fn price(&self, crew: &[Crew], start: &[Time]) -> u32 {
        let others =
            self.kept.iter().zip(crew).filter(|(kept, crew)| kept.is_some_and(|kept| kept != **crew));
        let sent_elsewhere = |&&(act, person): &&(usize, usize)| {
            let is_theirs = |act: usize| crew[act] >> person & 1 == 1;
            let is_first = |other: usize| !self.begun[other] && start[other] < start[act] && is_theirs(other);
            is_theirs(act) && (0..crew.len()).any(is_first)
        };
        let elsewhere = self.next.iter().filter(sent_elsewhere).count();
        self.swap_s.saturating_mul((others.count() + elsewhere) as u32)
    }

    fn judge(fault: i64, price: u32, score: Score) -> Value {
        (fault, score.ends_at_s.saturating_add(price), score)
    }
}

/// A decision and what came of it.
#[derive(Clone)]
pub struct Found {
    pub sequence: Sequence,
    pub value: Value,
}

/// What one search works with.
pub struct Search<'a, 'b> {
    pub frame: &'a Frame,
    pub judge: &'a Judge,
    /// No plan ends earlier.
    pub floor: i64,
    pub rng: &'a mut Rng,
    pub meter: &'a mut Meter<'b>,
}

/// Sequences of the first stretch of annealing; each later one is longer by half.
const FIRST_STRETCH: u64 = 4000;
/// Seconds by which the end may get worse at the begin of a stretch, on average. From 5 to 12 made no difference that
/// could be told from chance; 20 and more need longer than two seconds.
const HEAT_S: f64 = 8.0;
/// A stretch of so many sequences that gains nothing is the last of its row; the next row begins where the first did.
/// Half of it or double made no difference that could be told from chance.
const IDLE_STRETCH: u64 = 150_000;

impl Search<'_, '_> {
    /// Anneals in rows of stretches, each from the best of its row, until the meter is over or at so many units.
    pub fn run(&mut self, from: Sequence, until: u64) -> Found {
        let mut timing = Timing::new(self.frame);
        self.meter.spend();
        let value = self.judge.value_of(timing.run(&from));
        let first = Found { sequence: from, value };
        let (mut best, mut here) = (first.clone(), first.clone());
        let moves = Moves::new(self.frame);
        let mut stretch = FIRST_STRETCH;
        while !self.meter.is_over()
            && self.meter.spent < until
            && best.sequence.order.len() > 1
            && !self.is_done(&best)
        {
            let rounds = self.meter.left().min(stretch).min(until - self.meter.spent);
            let (before, end_before) = (self.meter.spent, (here.value.0, here.value.1));
            here = self.anneal(&mut timing, &moves, here, rounds);
            if self.meter.spent == before {
                break;
            }
            let is_idle = (here.value.0, here.value.1) >= end_before;
            if here.value < best.value {
                best = here.clone();
            }
            if is_idle && stretch >= IDLE_STRETCH {
                (here, stretch) = (first.clone(), FIRST_STRETCH);
            } else {
                stretch += stretch / 2;
            }
        }
        best
    }

    /// Nothing left to wish: whether walking or breaks could be saved at the same end is not known, so only the trivial
    /// case counts.
    fn is_done(&self, best: &Found) -> bool {
        let score = best.value.2;
        let ends = i64::from(score.ends_at_s) <= self.floor;
        best.value.0 == 0 && ends && score.walking_s == 0 && score.habit_breaks == 0
    }

    fn anneal(&mut self, timing: &mut Timing, moves: &Moves, from: Found, rounds: u64) -> Found {
        let mut best = from.clone();
        let mut here = from;
        let mut here_energy = self.judge.energy(timing.run(&here.sequence));
        timing.keep(&mut here.sequence);
        let mut chain = timing.state.chain();
        let mut next = here.sequence.clone();
        for round in 0..rounds {
            if self.meter.is_over() {
                break;
            }
            let heat = HEAT_S * (1.0 - round as f64 / rounds as f64).powi(2) + 1e-9;
            next.clone_from(&here.sequence);
            if !moves.change(self.frame, &mut next, &chain, self.rng) {
                continue;
            }
            self.meter.spend();
            // Drawn beforehand, chance says how bad the times may be; working them out stops where they are worse.
            let limit = here_energy - heat * (1.0 - self.rng.unit()).ln();
            let Some(state) = timing.run_below(&next, limit) else { continue };
            let value = self.judge.value_of(state);
            let energy = self.judge.energy(state);
            if energy <= limit {
                std::mem::swap(&mut here.sequence, &mut next);
                here.value = value;
                here_energy = energy;
                timing.keep(&mut here.sequence);
                chain = timing.state.chain();
                if value < best.value {
                    best = here.clone();
                }
            }
        }
        best
    }
}
