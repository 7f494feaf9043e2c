//! Decides which parts share a wash load, together with the plan.

use std::rc::Rc;

use ft_night::{Grouping, Lag, Plan, Point, Problem, first_grouping, group_faults};

use crate::bound::{Bounds, bounds};
use crate::budget::{Budget, Meter};
use crate::build::{Genes, Night};
use crate::model::{FULL_LOAD, Model, Piece, Share};
use crate::rng::Rng;
use crate::score::to_plan;
use crate::search::{Anneal, Found, Judge, first, genes_of, try_genes};
use crate::settle_word;

/// Plans with the loads open.
pub fn plan(problem: &Problem, budget: &Budget) -> Plan {
    let problem = &problem.without_words();
    let judge = Judge { card_tasks: problem.tasks.len(), ..Judge::default() };
    let mut meter = Meter::new(*budget);
    let mut rng = Rng::new(budget.seed);
    let mut best: Option<Found> = None;
    let mut seen = std::collections::BTreeSet::new();
    for loads in starts(problem) {
        if seen.insert(loads.clone()) {
            let model = Rc::new(Model::new(problem.with_loads(&loads)));
            let found = first(&Rc::new(loads), &model, &bounds(&model), &judge, &mut meter);
            if best.as_ref().is_none_or(|best| found.value < best.value) {
                best = Some(found);
            }
        }
        if meter.is_over() {
            break;
        }
    }
    let mut best = best.expect("there is always a grouping to start from");
    let floor = floor(problem);
    if floor.conflict.is_empty() {
        best = improve(problem, &judge, best, &floor, &mut rng, &mut meter);
    }
    finish(problem, &best, &floor, &meter)
}

/// The plan of what was found, with its word.
fn finish(problem: &Problem, best: &Found, known: &Bounds, meter: &Meter) -> Plan {
    let night = Night::build(&best.model, &best.genes);
    let mut plan = to_plan(&night, &best.loads, problem.tasks.len());
    plan.work_units = meter.spent;
    settle_word(plan, night.fault, known)
}

/// Plans on from what really happened, changing as little as helps.
///
/// `problem` has the present and the past in it, and the loads of `old` as its given ones.
pub fn replan(problem: &Problem, old: &Plan, swap_s: u32, budget: &Budget) -> Plan {
    let problem = &problem.without_words();
    let mut meter = Meter::new(*budget);
    let mut rng = Rng::new(budget.seed);
    let loads = Rc::new(first_grouping(problem));
    let model = Rc::new(Model::new(problem.with_loads(&loads)));
    let old_of = |act: usize| old.find(model.acts[act].task, model.acts[act].phase);
    let crew = |one: &ft_night::Assignment| one.people.iter().fold(0, |crew, person| crew | 1 << person);
    let judge = Judge {
        card_tasks: problem.tasks.len(),
        kept: (0..model.acts.len()).map(|act| old_of(act).map(crew)).collect(),
        swap_s,
    };
    let begin = |piece: usize| old_of(model.pieces[piece].acts.start).map_or(u32::MAX, |one| one.start_s);
    let mut order: Vec<usize> = (0..model.pieces.len()).collect();
    order.sort_by_key(|&piece| begin(piece));
    let favour = |piece: &Piece| piece.acts.clone().find_map(|act| old_of(act)?.people.first().copied());
    let genes = genes_of(&order, model.pieces.iter().map(favour).collect());
    let kept = try_genes(&loads, &model, &judge, genes, &mut meter);
    let fresh = first(&loads, &model, &bounds(&model), &judge, &mut meter);
    let start = if kept.value <= fresh.value { kept } else { fresh };
    let rounds = meter.left();
    let anneal = Anneal { open: None, judge: &judge, rounds, rng: &mut rng, meter: &mut meter };
    let best = anneal.run(start);
    finish(problem, &best, &floor(problem), &meter)
}

/// The card in its order: every task begins only after the one before it has begun, or ended where one person works.
pub fn in_a_line(problem: &Problem, people: usize) -> Plan {
    let mut problem = problem.clone();
    problem.people.truncate(people);
    let loads = starts(&problem).into_iter().find(|loads| group_faults(&problem, loads).is_empty());
    let loads = loads.unwrap_or_else(|| first_grouping(&problem));
    let mut whole = problem.with_loads(&loads);
    let model = Model::new(whole.clone());
    let first_piece = |piece: &usize| model.first_piece[model.pieces[*piece].task] == *piece;
    let order = card_order(&model, problem.tasks.len());
    let tasks: Vec<usize> =
        order.iter().filter(|piece| first_piece(piece)).map(|&piece| model.pieces[piece].task).collect();
    for pair in tasks.windows(2) {
        let from = if people == 1 { Point::end(pair[0]) } else { Point::begin(pair[0]) };
        whole.lags.push(Lag { from, to: Point::begin(pair[1]), ..Lag::default() });
    }
    let model = Rc::new(Model::new(whole));
    let mut meter = Meter::new(Budget::units(1, 0));
    let judge = Judge { card_tasks: problem.tasks.len(), ..Judge::default() };
    let genes = genes_of(&order, vec![None; model.pieces.len()]);
    let best = try_genes(&Rc::new(loads), &model, &judge, genes, &mut meter);
    finish(&problem, &best, &floor(&problem), &meter)
}

/// The card's order of the pieces, with every load as soon as its parts are there.
fn card_order(model: &Model, card_tasks: usize) -> Vec<usize> {
    let mut waits: Vec<usize> = model.pieces.iter().map(|piece| piece.waits_for).collect();
    let mut order = Vec::new();
    let mut is_in = vec![false; model.pieces.len()];
    let card = model.first_piece[card_tasks];
    while order.len() < model.pieces.len() {
        let open = |piece: &usize| !is_in[*piece] && waits[*piece] == 0;
        let load = (card..model.pieces.len()).find(open);
        let Some(piece) = load.or_else(|| (0..card).find(open)) else { break };
        is_in[piece] = true;
        order.push(piece);
        for &after in &model.pieces[piece].followers {
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
        return bounds(&Model::new(problem.clone()));
    }
    if is_fixed(problem) {
        return bounds(&Model::new(problem.with_loads(&first_grouping(problem))));
    }
    let singles = Grouping((0..problem.wash.items.len()).map(|item| vec![item]).collect());
    let mut model = Model::new(problem.with_loads(&singles));
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

/// Schedules of the first stretch of annealing; each later one is longer.
const FIRST_STRETCH: u64 = 400;

/// Anneals in stretches, each from the best so far.
fn improve(
    problem: &Problem,
    judge: &Judge,
    mut best: Found,
    floor: &Bounds,
    rng: &mut Rng,
    meter: &mut Meter,
) -> Found {
    let open = (!is_fixed(problem) && problem.wash.items.len() > 1).then_some(problem);
    let mut stretch = crate::search::knob("STRETCH", 400.0) as u64;
    while !meter.is_over() && !is_done(&best, floor) {
        let before = meter.spent;
        let rounds = meter.left().min(stretch);
        best = Anneal { open, judge, rounds, rng, meter }.run(best);
        if meter.spent == before {
            break;
        }
        stretch = (stretch as f64 * crate::search::knob("GROW", 1.5)) as u64;
    }
    best
}

/// Nothing left to wish: ends at the bound without walking or breaks that could be saved is not provable, so only
/// the trivial case counts.
fn is_done(best: &Found, floor: &Bounds) -> bool {
    let score = best.value.2;
    let ends = i64::from(score.ends_at_s) <= floor.ends_at;
    best.value.0 == 0 && ends && score.walking_s == 0 && score.habit_breaks == 0
}

/// Moves an item to another load or to one of its own, or merges two loads.
pub fn neighbour(problem: &Problem, loads: &Grouping, rng: &mut Rng) -> Option<Grouping> {
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

/// The genes found for one grouping, for another: each stage of a load comes where the last of its parts came.
pub fn carry_over(problem: &Problem, found: &Found, loads: &Grouping, model: &Model) -> Genes {
    let (tasks, old) = (problem.tasks.len(), &found.model);
    let mut load_of = vec![0; problem.wash.items.len()];
    for (index, load) in found.loads.0.iter().enumerate() {
        for &item in load {
            load_of[item] = index;
        }
    }
    let card = model.first_piece[tasks];
    let mut keyed: Vec<(usize, usize)> = (0..card).map(|piece| (found.genes.rank[piece], piece)).collect();
    let mut favour = found.genes.favour[..card].to_vec();
    for (index, load) in loads.0.iter().enumerate() {
        let first = model.first_piece[tasks + index];
        for piece in first..model.first_piece[tasks + index + 1] {
            let same = |&item: &usize| old.first_piece[tasks + load_of[item]] + piece - first;
            let last = load.iter().map(same).max_by_key(|&piece| found.genes.rank[piece]);
            let last = last.expect("a load has a part");
            keyed.push((found.genes.rank[last], piece));
            favour.push(found.genes.favour[last]);
        }
    }
    keyed.sort_unstable();
    let order: Vec<usize> = keyed.into_iter().map(|(_, piece)| piece).collect();
    genes_of(&order, favour)
}
