//! Decides which parts share a wash load, together with the plan.

use ft_night::{Grouping, Plan, Problem, first_grouping, group_faults};

use crate::bound::{Bounds, bounds};
use crate::budget::{Budget, Meter};
use crate::build::Night;
use crate::model::Model;
use crate::rng::Rng;
use crate::score::to_plan;
use crate::search::{Found, anneal, first};
use crate::settle_word;

/// A grouping with the best order found for it.
struct Grouped {
    loads: Grouping,
    whole: Problem,
    found: Found,
}

/// Plans with the loads open.
pub fn plan(problem: &Problem, budget: &Budget) -> Plan {
    let mut meter = Meter::new(*budget);
    let mut rng = Rng::new(budget.seed);
    let mut best: Option<Grouped> = None;
    let mut seen = std::collections::BTreeSet::new();
    for loads in starts(problem) {
        if seen.insert(loads.clone()) {
            let whole = problem.with_loads(&loads);
            let model = Model::new(&whole);
            let found = first(&model, &bounds(&model), problem.tasks.len(), &mut meter);
            if best.as_ref().is_none_or(|best| found.value < best.found.value) {
                best = Some(Grouped { loads, whole, found });
            }
        }
        if meter.is_over() {
            break;
        }
    }
    let mut best = best.expect("there is always a grouping to start from");
    let floor = floor(problem);
    if floor.conflict.is_empty() {
        improve(problem, &mut best, &floor, &mut rng, &mut meter);
    }
    let model = Model::new(&best.whole);
    let night = Night::build(&model, &best.found.genes);
    let mut plan = to_plan(&night, &best.loads, problem.tasks.len());
    plan.work_units = meter.spent;
    let mut known = if problem.wash.items.is_empty() { bounds(&model) } else { floor };
    known.ends_at = known.ends_at.min(i64::from(plan.score.ends_at_s).max(0));
    settle_word(plan, night.fault, &known)
}

/// Bounds that hold whatever the grouping: those of the problem in which every load is as short as it can be for a
/// single item of no size, and each item goes by itself without hand work of the load (which is shared).
fn floor(problem: &Problem) -> Bounds {
    let mut least = problem.clone();
    if problem.wash.items.is_empty() {
        return bounds(&Model::new(problem));
    }
    // What a load costs whoever is in it may be shared; what each item costs may not.
    for journey in &mut least.wash.journeys {
        for stage in &mut journey.stages {
            if stage.phase.people > 0 {
                stage.phase.people = 0;
            }
            stage.room = None;
        }
    }
    let singles = Grouping((0..problem.wash.items.len()).map(|item| vec![item]).collect());
    let whole = least.with_loads(&singles);
    bounds(&Model::new(&whole))
}

/// Groupings to start from: the card's, each part by itself, and loads as full as they get.
fn starts(problem: &Problem) -> Vec<Grouping> {
    let card = first_grouping(problem);
    if is_fixed(problem) || problem.wash.items.is_empty() {
        return vec![card];
    }
    let singles = Grouping((0..problem.wash.items.len()).map(|item| vec![item]).collect());
    let full = merged(problem, &card);
    let all = [full, card, merged(problem, &singles), singles];
    all.into_iter().filter(|loads| group_faults(problem, loads).is_empty()).collect()
}

/// Whether a load has begun: then no part changes its load any more.
fn is_fixed(problem: &Problem) -> bool {
    problem.done.iter().any(|done| done.task >= problem.tasks.len())
}

/// Loads merged as long as they fit, first into first.
fn merged(problem: &Problem, loads: &Grouping) -> Grouping {
    let mut out: Vec<Vec<usize>> = Vec::new();
    for load in &loads.0 {
        let home = out.iter_mut().find(|home| {
            let both: Vec<usize> = home.iter().chain(load).copied().collect();
            fits(problem, &both)
        });
        match home {
            Some(home) => home.extend(load),
            None => out.push(load.clone()),
        }
    }
    Grouping(out)
}

fn fits(problem: &Problem, load: &[usize]) -> bool {
    let items = &problem.wash.items;
    let journey = items[load[0]].journey;
    let units: u32 = load.iter().map(|&item| items[item].size).sum();
    load.iter().all(|&item| items[item].journey == journey) && units <= problem.wash.journeys[journey].units
}

/// Anneals in stretches; between them tries other groupings.
fn improve(problem: &Problem, best: &mut Grouped, floor: &Bounds, rng: &mut Rng, meter: &mut Meter) {
    let open = !is_fixed(problem) && problem.wash.items.len() > 1;
    let card_tasks = problem.tasks.len();
    let mut stretch = 400;
    while !meter.is_over() && !is_done(best, floor) {
        let before = meter.spent;
        let rounds = meter.left().min(stretch);
        let model = Model::new(&best.whole);
        best.found = anneal(&model, card_tasks, best.found.clone(), rounds, rng, meter);
        if open {
            for _ in 0..8 {
                if meter.is_over() {
                    break;
                }
                try_grouping(problem, best, stretch / 8, rng, meter);
            }
        }
        if meter.spent == before {
            break;
        }
        stretch = stretch * 3 / 2;
    }
}

/// Nothing left to wish: ends at the bound without walking or breaks that could be saved is not provable, so only
/// the trivial case counts.
fn is_done(best: &Grouped, floor: &Bounds) -> bool {
    let score = best.found.value.1;
    let ends = i64::from(score.ends_at_s) <= floor.ends_at;
    best.found.value.0 == 0 && ends && score.walking_s == 0 && score.habit_breaks == 0
}

fn try_grouping(problem: &Problem, best: &mut Grouped, rounds: u64, rng: &mut Rng, meter: &mut Meter) {
    let Some(loads) = neighbour(problem, &best.loads, rng) else { return };
    let whole = problem.with_loads(&loads);
    let model = Model::new(&whole);
    let genes = carry_over(problem, best, &loads);
    let found = crate::search::try_genes(&model, problem.tasks.len(), &genes, meter);
    let found = anneal(&model, problem.tasks.len(), found, rounds, rng, meter);
    if found.value < best.found.value {
        *best = Grouped { loads, whole, found };
    }
}

/// Moves an item to another load or to one of its own, or merges two loads.
fn neighbour(problem: &Problem, loads: &Grouping, rng: &mut Rng) -> Option<Grouping> {
    let mut next = loads.0.clone();
    let from = rng.below(next.len());
    let to = rng.below(next.len() + 1);
    if from == to {
        return None;
    }
    if rng.below(3) == 0 && to < next.len() {
        let moved = std::mem::take(&mut next[from]);
        next[to].extend(moved);
    } else {
        let item = rng.below(next[from].len());
        let item = next[from].remove(item);
        if to < next.len() { next[to].push(item) } else { next.push(vec![item]) }
    }
    next.retain(|load| !load.is_empty());
    let fine = next.iter().all(|load| fits(problem, load));
    (fine && next != loads.0).then_some(Grouping(next))
}

/// The order found for one grouping, for another: a load comes where the last of its parts came.
fn carry_over(problem: &Problem, best: &Grouped, loads: &Grouping) -> crate::build::Genes {
    let tasks = problem.tasks.len();
    let old = &best.found.genes;
    let mut item_rank = vec![(0, None); problem.wash.items.len()];
    for (index, load) in best.loads.0.iter().enumerate() {
        for &item in load {
            item_rank[item] = (old.rank[tasks + index], old.favour[tasks + index]);
        }
    }
    let mut keyed: Vec<(usize, usize)> = (0..tasks).map(|task| (old.rank[task], task)).collect();
    let mut favour = old.favour[..tasks].to_vec();
    for (index, load) in loads.0.iter().enumerate() {
        let last = load.iter().map(|&item| item_rank[item]).max().unwrap_or((0, None));
        keyed.push((last.0, tasks + index));
        favour.push(last.1);
    }
    keyed.sort_unstable();
    let order: Vec<usize> = keyed.into_iter().map(|(_, task)| task).collect();
    crate::search::genes_of(&order, favour)
}
