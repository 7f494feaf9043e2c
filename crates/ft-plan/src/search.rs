//! Improves the order of placing by annealing: small changes, kept where they help and sometimes where they do not.

use ft_night::Score;

use crate::bound::Bounds;
use crate::budget::Meter;
use crate::build::{Crew, Genes, Night};
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
    pub genes: Genes,
    pub value: Value,
    /// Start of each act.
    pub start: Vec<i64>,
}

/// Orders to begin with, each from a simple rule.
pub fn first_orders(model: &Model, bounds: &Bounds) -> Vec<Vec<usize>> {
    let tail = |task: usize| model.acts_of(task).map(|act| bounds.tail[act]).max().unwrap_or(0);
    let head = |task: usize| bounds.head[model.first[task]];
    let by = |key: &dyn Fn(usize) -> i64| {
        let mut order: Vec<usize> = (0..model.tasks()).collect();
        order.sort_by_key(|&task| key(task));
        order
    };
    vec![
        by(&|task| -tail(task)),
        by(&|task| task as i64),
        by(&|task| head(task) - tail(task)),
        by(&|task| head(task)),
        by(&|task| -(model.followers[task].len() as i64)),
    ]
}

/// Genes of an order without wishes about people.
pub fn genes_of(order: &[usize], favour: Vec<Option<usize>>) -> Genes {
    let mut rank = vec![0; order.len()];
    for (position, &task) in order.iter().enumerate() {
        rank[task] = position;
    }
    Genes { rank, favour }
}

/// Builds and scores.
pub fn try_genes(model: &Model, judge: &Judge, genes: &Genes, meter: &mut Meter) -> Found {
    meter.spend();
    let night = Night::build(model, genes);
    Found { genes: genes.clone(), value: judge.value(&night), start: night.start }
}

/// The best of the first orders.
pub fn first(model: &Model, bounds: &Bounds, judge: &Judge, meter: &mut Meter) -> Found {
    let mut best: Option<Found> = None;
    for order in first_orders(model, bounds) {
        let found = try_genes(model, judge, &genes_of(&order, vec![None; model.tasks()]), meter);
        if best.as_ref().is_none_or(|best| found.value < best.value) {
            best = Some(found);
        }
        if meter.is_over() {
            break;
        }
    }
    best.expect("there is always a first order")
}

fn energy(value: &Value) -> f64 {
    let score = value.2;
    value.0 as f64 * 20.0
        + f64::from(value.1)
        + score.attended_s as f64 * 0.02
        + score.walking_s as f64 * 0.02
        + f64::from(score.habit_breaks) * 0.01
}

/// Anneals for `rounds` schedules from `from`; gives the best seen.
pub fn anneal(
    model: &Model,
    judge: &Judge,
    from: Found,
    rounds: u64,
    rng: &mut Rng,
    meter: &mut Meter,
) -> Found {
    let tasks = model.tasks();
    if tasks < 2 {
        return from;
    }
    let mut best = from.clone();
    let mut here = from;
    let mut order = order_by_start(model, &here);
    let hot = (energy(&here.value) * 0.01).max(1.0);
    for round in 0..rounds {
        if meter.is_over() {
            break;
        }
        let heat = hot * (1.0 - round as f64 / rounds as f64).powi(2) + 1e-9;
        let (mut next_order, mut favour) = (order.clone(), here.genes.favour.clone());
        change(model, &mut next_order, &mut favour, rng);
        let found = try_genes(model, judge, &genes_of(&next_order, favour), meter);
        let rise = energy(&found.value) - energy(&here.value);
        if rise <= 0.0 || rng.unit() < (-rise / heat).exp() {
            if found.value < best.value {
                best = found.clone();
            }
            here = found;
            order = next_order;
            if rng.below(4) == 0 {
                order = order_by_start(model, &here);
            }
        }
    }
    best
}

/// The order in which tasks begin: placing in that order gives the same schedule or an earlier one.
fn order_by_start(model: &Model, found: &Found) -> Vec<usize> {
    let mut order: Vec<usize> = (0..model.tasks()).collect();
    order.sort_by_key(|&task| (found.start[model.first[task]], found.genes.rank[task]));
    order
}

fn change(model: &Model, order: &mut Vec<usize>, favour: &mut [Option<usize>], rng: &mut Rng) {
    let tasks = order.len();
    let people = model.problem.people.len();
    let near = |rng: &mut Rng, from: usize| {
        let reach = 1 + rng.below(tasks.min(20));
        if rng.below(2) == 0 { from.saturating_sub(reach) } else { (from + reach).min(tasks - 1) }
    };
    match rng.below(if people > 1 { 10 } else { 7 }) {
        0..=4 => {
            let from = rng.below(tasks);
            let to = near(rng, from);
            let task = order.remove(from);
            order.insert(to, task);
        }
        5 | 6 => {
            let from = rng.below(tasks);
            let to = near(rng, from);
            order.swap(from, to);
        }
        7 | 8 => favour[rng.below(tasks)] = Some(rng.below(people)),
        _ => favour[rng.below(tasks)] = None,
    }
}
