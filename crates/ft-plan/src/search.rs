//! Improves order, crews and loads together by annealing: small changes, kept where they help and sometimes where they
//! do not.

use std::rc::Rc;

use ft_night::{Grouping, Problem, Score};

use crate::bound::Bounds;
use crate::budget::Meter;
use crate::build::{Builder, Crew, Genes, Night};
use crate::groups::{carry_over, neighbour};
use crate::model::Model;
use crate::rng::Rng;
use crate::score::score;

/// How a night is judged: by its faults, then by the wishes, and by what it changes for people who already have a plan.
#[derive(Clone, Default)]
pub struct Judge {
    /// Loads come after so many tasks.
    pub card_tasks: usize,
    /// Who was to do each act, where there is an older plan; `None` where it said nothing.
    pub kept: Vec<Option<Crew>>,
    /// Seconds that it must gain to hand an act to others.
    pub swap_s: u32,
}

/// Less is better: faults, the end with the price of changes, then the wishes.
pub type Value = (i64, u32, Score);

impl Judge {
    /// Judges a night.
    pub fn value(&self, night: &Night) -> Value {
        let score = score(night, self.card_tasks);
        let changed =
            self.kept.iter().zip(&night.crew).filter(|(kept, crew)| kept.is_some_and(|kept| kept != **crew));
        let price = self.swap_s.saturating_mul(changed.count() as u32);
        (night.fault, score.ends_at_s.saturating_add(price), score)
    }
}

/// A decision and what came of it.
#[derive(Clone)]
pub struct Found {
    pub loads: Rc<Grouping>,
    /// The problem with these loads.
    pub model: Rc<Model>,
    pub genes: Genes,
    pub value: Value,
    /// Start of each act.
    pub start: Vec<i64>,
}

/// Orders of the pieces to begin with, each from a simple rule.
fn first_orders(model: &Model, bounds: &Bounds) -> Vec<Vec<usize>> {
    let tail = |piece: usize| model.pieces[piece].acts.clone().map(|act| bounds.tail[act]).max().unwrap_or(0);
    let head = |piece: usize| bounds.head[model.pieces[piece].acts.start];
    let by = |key: &dyn Fn(usize) -> i64| {
        let mut order: Vec<usize> = (0..model.pieces.len()).collect();
        order.sort_by_key(|&piece| key(piece));
        order
    };
    vec![
        by(&|piece| -tail(piece)),
        by(&|piece| piece as i64),
        by(&|piece| head(piece) - tail(piece)),
        by(&|piece| head(piece)),
        by(&|piece| -(model.pieces[piece].followers.len() as i64)),
    ]
}

/// Genes of an order without wishes about people.
pub fn genes_of(order: &[usize], favour: Vec<Option<usize>>) -> Genes {
    let mut rank = vec![0; order.len()];
    for (position, &piece) in order.iter().enumerate() {
        rank[piece] = position;
    }
    Genes { rank, favour }
}

/// Builds and scores.
pub fn try_genes(
    loads: &Rc<Grouping>,
    model: &Rc<Model>,
    judge: &Judge,
    genes: Genes,
    meter: &mut Meter,
) -> Found {
    meter.spend();
    let night = Night::build(model, &genes);
    let value = judge.value(&night);
    Found { loads: Rc::clone(loads), model: Rc::clone(model), genes, value, start: night.start }
}

/// The best of the first orders.
pub fn first(
    loads: &Rc<Grouping>,
    model: &Rc<Model>,
    bounds: &Bounds,
    judge: &Judge,
    meter: &mut Meter,
) -> Found {
    let mut best: Option<Found> = None;
    for order in first_orders(model, bounds) {
        let genes = genes_of(&order, vec![None; model.pieces.len()]);
        let found = try_genes(loads, model, judge, genes, meter);
        if best.as_ref().is_none_or(|best| found.value < best.value) {
            best = Some(found);
        }
        if meter.is_over() {
            break;
        }
    }
    best.expect("there is always a first order")
}

pub fn knob(name: &str, otherwise: f64) -> f64 {
    static K: std::sync::OnceLock<std::collections::BTreeMap<String, f64>> = std::sync::OnceLock::new();
    let k = K.get_or_init(|| std::env::vars().filter_map(|(a, b)| Some((a, b.parse().ok()?))).collect());
    k.get(name).copied().unwrap_or(otherwise)
}

fn energy(value: &Value) -> f64 {
    let score = value.2;
    value.0 as f64 * 20.0
        + f64::from(value.1)
        + score.attended_s as f64 * 0.02
        + score.walking_s as f64 * 0.02
        + f64::from(score.habit_breaks) * 0.01
}

/// One run of annealing.
pub struct Anneal<'a, 'b> {
    /// The problem whose loads are open; `None` where they stand.
    pub open: Option<&'a Problem>,
    pub judge: &'a Judge,
    pub rounds: u64,
    pub rng: &'a mut Rng,
    pub meter: &'a mut Meter<'b>,
}

/// Of so many changes one regroups the loads.
const REGROUP_ONE_IN: usize = 8;

impl Anneal<'_, '_> {
    /// Anneals from what was found; gives the best seen.
    pub fn run(mut self, from: Found) -> Found {
        if from.model.pieces.len() < 2 && self.open.is_none() {
            return from;
        }
        let hot = (energy(&from.value) * knob("HOT",0.01)).max(1.0);
        let mut best = from.clone();
        let mut here = from;
        let mut round = 0;
        while round < self.rounds && !self.meter.is_over() {
            here = self.keep_loads(here, &mut best, hot, &mut round);
        }
        best
    }

    fn accepts(&mut self, rise: f64, heat: f64) -> bool {
        rise <= 0.0 || self.rng.unit() < (-rise / heat).exp()
    }

    /// Changes order and crews until other loads are taken or the run is over.
    fn keep_loads(&mut self, mut here: Found, best: &mut Found, hot: f64, round: &mut u64) -> Found {
        let model = Rc::clone(&here.model);
        let mut builder = Builder::new(&model);
        let mut order = order_by_start(&here);
        let mut here_mean = 1e18;
        let (mut next_order, mut next) = (order.clone(), here.genes.clone());
        while *round < self.rounds && !self.meter.is_over() {
            let heat = hot * (1.0 - *round as f64 / self.rounds as f64).powi(2) + 1e-9;
            *round += 1;
            if let Some(problem) = self.open
                && self.rng.below(knob("REG",8.0) as usize) == 0
            {
                let Some(found) = self.regroup(problem, &here) else { continue };
                let rise = energy(&found.value) - energy(&here.value);
                if self.accepts(rise, heat) {
                    if found.value < best.value {
                        *best = found.clone();
                    }
                    return found;
                }
                continue;
            }
            next_order.clone_from(&order);
            next.favour.clone_from(&here.genes.favour);
            change(&model, &mut next_order, &mut next.favour, self.rng);
            for (position, &piece) in next_order.iter().enumerate() {
                next.rank[piece] = position;
            }
            self.meter.spend();
            let night = builder.build(&next);
            let value = self.judge.value(night);
            let smooth = knob("SMOOTH", 0.0);
            let mean = if smooth > 0.0 { smooth * night.end.iter().sum::<i64>() as f64 / night.end.len() as f64 } else { 0.0 };
            let rise = energy(&value) + mean - energy(&here.value) - here_mean;
            if rise <= 0.0 || self.rng.unit() < (-rise / heat).exp() {
                std::mem::swap(&mut here.genes, &mut next);
                next.rank.clone_from(&here.genes.rank);
                here.start.clone_from(&night.start);
                here.value = value;
                here_mean = mean;
                std::mem::swap(&mut order, &mut next_order);
                if value < best.value {
                    *best = here.clone();
                }
                if self.rng.below(knob("RESORT",4.0) as usize) == 0 {
                    order = order_by_start(&here);
                }
            }
        }
        here
    }

    /// The night with other loads, in the order that it has now.
    fn regroup(&mut self, problem: &Problem, here: &Found) -> Option<Found> {
        let loads = Rc::new(neighbour(problem, &here.loads, self.rng)?);
        let model = Rc::new(Model::new(problem.with_loads(&loads)));
        let genes = carry_over(problem, here, &loads, &model);
        Some(try_genes(&loads, &model, self.judge, genes, self.meter))
    }
}

/// The order in which pieces begin: placing in that order gives the same schedule or an earlier one.
fn order_by_start(found: &Found) -> Vec<usize> {
    let mut order: Vec<usize> = (0..found.model.pieces.len()).collect();
    order.sort_by_key(|&piece| (found.start[found.model.pieces[piece].acts.start], found.genes.rank[piece]));
    order
}

fn change(model: &Model, order: &mut Vec<usize>, favour: &mut [Option<usize>], rng: &mut Rng) {
    let pieces = order.len();
    let people = model.problem.people.len();
    let near = |rng: &mut Rng, from: usize| {
        let reach = 1 + rng.below(pieces.min(20));
        if rng.below(2) == 0 { from.saturating_sub(reach) } else { (from + reach).min(pieces - 1) }
    };
    match rng.below(if people > 1 { 10 } else { 7 }) {
        0..=4 => {
            let from = rng.below(pieces);
            let to = near(rng, from);
            let piece = order.remove(from);
            order.insert(to, piece);
        }
        5 | 6 => {
            let from = rng.below(pieces);
            let to = near(rng, from);
            order.swap(from, to);
        }
        7 | 8 => favour[rng.below(pieces)] = Some(rng.below(people)),
        _ => favour[rng.below(pieces)] = None,
    }
}
