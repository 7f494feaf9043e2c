//! Improves the order of placing by annealing: small changes, kept where they help and sometimes where they do not.

use ft_night::Score;

use crate::bound::Bounds;
use crate::budget::Meter;
use crate::build::{Genes, Night};
use crate::model::Model;
use crate::rng::Rng;
use crate::score::score;

/// A decision and what came of it.
#[derive(Clone)]
pub struct Found {
    pub genes: Genes,
    /// Faults first, then the wishes.
    pub value: (i64, Score),
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
pub fn try_genes(model: &Model, card_tasks: usize, genes: &Genes, meter: &mut Meter) -> Found {
    meter.spend();
    let night = Night::build(model, genes);
    Found { genes: genes.clone(), value: (night.fault, score(&night, card_tasks)), start: night.start }
}

/// The best of the first orders.
pub fn first(model: &Model, bounds: &Bounds, card_tasks: usize, meter: &mut Meter) -> Found {
    let mut best: Option<Found> = None;
    for order in first_orders(model, bounds) {
        let found = try_genes(model, card_tasks, &genes_of(&order, vec![None; model.tasks()]), meter);
        if best.as_ref().is_none_or(|best| found.value < best.value) {
            best = Some(found);
        }
        if meter.is_over() {
            break;
        }
    }
    best.expect("there is always a first order")
}

fn energy(value: &(i64, Score)) -> f64 {
    let score = value.1;
    value.0 as f64 * 20.0
        + f64::from(score.ends_at_s)
        + score.attended_s as f64 * 0.02
        + score.walking_s as f64 * 0.02
        + f64::from(score.habit_breaks) * 0.01
}

/// Anneals for `rounds` schedules from `from`; gives the best seen.
pub fn anneal(
    model: &Model,
    card_tasks: usize,
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
        let found = try_genes(model, card_tasks, &genes_of(&next_order, favour), meter);
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
