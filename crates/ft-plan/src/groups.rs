//! Decides which parts share a wash load, together with the plan.

use ft_night::{Grouping, Lag, Plan, Point, Problem, first_grouping, group_faults};

use crate::bound::{Bounds, bounds};
use crate::budget::{Budget, Meter};
use crate::build::Night;
use crate::model::{FULL_LOAD, Model, Share};
use crate::rng::Rng;
use crate::score::to_plan;
use crate::search::{Found, Judge, anneal, first, genes_of, try_genes};
use crate::settle_word;

/// A grouping with the best order found for it.
struct Grouped {
    loads: Grouping,
    whole: Problem,
    found: Found,
}

/// Plans with the loads open.
pub fn plan(problem: &Problem, budget: &Budget) -> Plan {
    let judge = Judge { card_tasks: problem.tasks.len(), ..Judge::default() };
    let mut meter = Meter::new(*budget);
    let mut rng = Rng::new(budget.seed);
    let mut best: Option<Grouped> = None;
    let mut seen = std::collections::BTreeSet::new();
    for loads in starts(problem) {
        if seen.insert(loads.clone()) {
            let whole = problem.with_loads(&loads);
            let model = Model::new(&whole);
            let found = first(&model, &bounds(&model), &judge, &mut meter);
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
        improve(problem, &judge, &mut best, &floor, &mut rng, &mut meter);
    }
    finish(problem, &best, &floor, &meter)
}

/// The plan of what was found, with its word.
fn finish(problem: &Problem, best: &Grouped, known: &Bounds, meter: &Meter) -> Plan {
    let model = Model::new(&best.whole);
    let night = Night::build(&model, &best.found.genes);
    let mut plan = to_plan(&night, &best.loads, problem.tasks.len());
    plan.work_units = meter.spent;
    settle_word(plan, night.fault, known)
}

/// Plans on from what really happened, changing as little as helps.
///
/// `problem` has the present and the past in it, and the loads of `old` as its given ones.
pub fn replan(problem: &Problem, old: &Plan, swap_s: u32, budget: &Budget) -> Plan {
    let mut meter = Meter::new(*budget);
    let mut rng = Rng::new(budget.seed);
    let loads = first_grouping(problem);
    let whole = problem.with_loads(&loads);
    let model = Model::new(&whole);
    let old_of = |act: &crate::model::Act| old.find(act.task, act.phase);
    let crew = |one: &ft_night::Assignment| one.people.iter().fold(0, |crew, person| crew | 1 << person);
    let judge = Judge {
        card_tasks: problem.tasks.len(),
        kept: model.acts.iter().map(|act| old_of(act).map(crew)).collect(),
        swap_s,
    };
    let begin = |task: usize| old.find(task, 0).map_or(u32::MAX, |one| one.start_s);
    let mut order: Vec<usize> = (0..model.tasks()).collect();
    order.sort_by_key(|&task| begin(task));
    let favour =
        |task: usize| model.acts_of(task).find_map(|act| old_of(&model.acts[act])?.people.first().copied());
    let genes = genes_of(&order, (0..model.tasks()).map(favour).collect());
    let kept = try_genes(&model, &judge, &genes, &mut meter);
    let fresh = first(&model, &bounds(&model), &judge, &mut meter);
    let start = if kept.value <= fresh.value { kept } else { fresh };
    let rounds = meter.left();
    let found = anneal(&model, &judge, start, rounds, &mut rng, &mut meter);
    drop(model);
    let best = Grouped { loads, whole, found };
    finish(problem, &best, &floor(problem), &meter)
}

/// The card in its order: every task begins only after the one before it has begun, or ended where one person works.
pub fn in_a_line(problem: &Problem, people: usize) -> Plan {
    let mut problem = problem.clone();
    problem.people.truncate(people);
    let loads = starts(&problem).into_iter().find(|loads| group_faults(&problem, loads).is_empty());
    let loads = loads.unwrap_or_else(|| first_grouping(&problem));
    let mut whole = problem.with_loads(&loads);
    let order = card_order(&Model::new(&whole), problem.tasks.len());
    for pair in order.windows(2) {
        let from = if people == 1 { Point::end(pair[0]) } else { Point::begin(pair[0]) };
        whole.lags.push(Lag { from, to: Point::begin(pair[1]), ..Lag::default() });
    }
    let model = Model::new(&whole);
    let mut meter = Meter::new(Budget::units(1, 0));
    let judge = Judge { card_tasks: problem.tasks.len(), ..Judge::default() };
    let genes = genes_of(&order, vec![None; model.tasks()]);
    let found = try_genes(&model, &judge, &genes, &mut meter);
    drop(model);
    let best = Grouped { loads, whole, found };
    finish(&problem, &best, &floor(&problem), &meter)
}

/// The card's order with every load as soon as its parts are there.
fn card_order(model: &Model, card_tasks: usize) -> Vec<usize> {
    let mut waits = model.waits_for.clone();
    let mut order = Vec::new();
    let mut is_in = vec![false; model.tasks()];
    while order.len() < model.tasks() {
        let open = |task: &usize| !is_in[*task] && waits[*task] == 0;
        let load = (card_tasks..model.tasks()).find(open);
        let Some(task) = load.or_else(|| (0..card_tasks).find(open)) else { break };
        is_in[task] = true;
        order.push(task);
        for &after in &model.followers[task] {
            waits[after] -= 1;
        }
    }
    order
}

/// Bounds that hold whatever the grouping; once a load has begun the grouping stands, and so they are its own.
///
/// Where it is open each part goes by itself, through stages whose common time is charged once
/// for every load that is needed at least.
///
/// The chain through a stage, on the other hand, has its full length for every part. What a person of some pace needs
/// for own and common seconds together is rounded up once; here both are rounded down.
fn floor(problem: &Problem) -> Bounds {
    if problem.wash.items.is_empty() {
        return bounds(&Model::new(problem));
    }
    if is_fixed(problem) {
        return bounds(&Model::new(&problem.with_loads(&first_grouping(problem))));
    }
    let singles = Grouping((0..problem.wash.items.len()).map(|item| vec![item]).collect());
    let whole = problem.with_loads(&singles);
    let mut model = Model::new(&whole);
    let tasks = problem.tasks.len();
    for act in model.acts.iter_mut().filter(|act| act.task >= tasks) {
        let item = &problem.wash.items[act.task - tasks];
        let journey = &problem.wash.journeys[item.journey];
        let stage = &journey.stages[act.phase];
        let before: usize =
            problem.wash.journeys[..item.journey].iter().map(|other| other.stages.len()).sum();
        let paced = |hands_s: u32, wait_s: u32| {
            let seconds = |person: &ft_night::Person| {
                i64::from(hands_s) * i64::from(person.paced(100)) / 100 + i64::from(wait_s)
            };
            problem.people.iter().map(seconds).collect()
        };
        act.share = Some(Share {
            pool: before + act.phase,
            size: i64::from(item.size) * FULL_LOAD / i64::from(journey.units.max(1)),
            own: paced(stage.each_s, 0),
            common: paced(stage.phase.hands_s, stage.phase.wait_s),
        });
        act.shares_room = true;
    }
    bounds(&model)
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
fn improve(
    problem: &Problem,
    judge: &Judge,
    best: &mut Grouped,
    floor: &Bounds,
    rng: &mut Rng,
    meter: &mut Meter,
) {
    let open = !is_fixed(problem) && problem.wash.items.len() > 1;
    let mut stretch = 400;
    while !meter.is_over() && !is_done(best, floor) {
        let before = meter.spent;
        let rounds = meter.left().min(stretch);
        let model = Model::new(&best.whole);
        best.found = anneal(&model, judge, best.found.clone(), rounds, rng, meter);
        if open {
            for _ in 0..8 {
                if meter.is_over() {
                    break;
                }
                try_grouping(problem, judge, best, stretch / 8, rng, meter);
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
    let score = best.found.value.2;
    let ends = i64::from(score.ends_at_s) <= floor.ends_at;
    best.found.value.0 == 0 && ends && score.walking_s == 0 && score.habit_breaks == 0
}

fn try_grouping(
    problem: &Problem,
    judge: &Judge,
    best: &mut Grouped,
    rounds: u64,
    rng: &mut Rng,
    meter: &mut Meter,
) {
    let Some(loads) = neighbour(problem, &best.loads, rng) else { return };
    let whole = problem.with_loads(&loads);
    let model = Model::new(&whole);
    let genes = carry_over(problem, best, &loads);
    let found = try_genes(&model, judge, &genes, meter);
    let found = anneal(&model, judge, found, rounds, rng, meter);
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
    genes_of(&order, favour)
}
