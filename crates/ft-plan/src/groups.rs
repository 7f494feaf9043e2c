//! Decides which parts share a wash load, together with the plan.

use ft_night::{Grouping, Lag, Plan, Point, Problem, first_grouping, group_faults};

use crate::bound::{Bounds, bounds};
use crate::budget::{Budget, Meter};
use crate::build::first::{Built, genes_of};
use crate::build::{Night, crew_of};
use crate::model::{Cuts, FULL_LOAD, Model, Piece, Share};
use crate::rng::Rng;
use crate::score::to_plan;
use crate::search::frame::Frame;
use crate::search::sequence::Sequence;
use crate::search::timing::Timing;
use crate::search::{Judge, Search};
use crate::settle_word;

/// Plans with the loads open.
pub fn plan(problem: &Problem, budget: &Budget) -> Plan {
    let problem = &problem.without_words();
    let judge = Judge { card_tasks: problem.tasks.len(), ..Judge::default() };
    let mut meter = Meter::new(*budget);
    let mut best: Option<Built> = None;
    let mut seen = std::collections::BTreeSet::new();
    for loads in starts(problem) {
        if seen.insert(loads.clone()) {
            let built = Built::by_rule(problem, loads, &judge, &mut meter);
            if best.as_ref().is_none_or(|best| built.value < best.value) {
                best = Some(built);
            }
        }
        if meter.is_over() {
            break;
        }
    }
    let best = best.expect("there is always a grouping to start from");
    let is_open = !is_fixed(problem) && problem.wash.items.len() > 1;
    improve(problem, &best, None, is_open, &judge, Rng::new(budget.seed), &mut meter)
}

/// The plan that a search from a built night, or from the order of an older plan where that is better, ends with.
fn improve(
    problem: &Problem,
    built: &Built,
    older: Option<&Plan>,
    is_open: bool,
    judge: &Judge,
    mut rng: Rng,
    meter: &mut Meter,
) -> Plan {
    let floor = floor(problem);
    let night = Night::build(&built.model, &built.genes);
    let (mut plan, mut fault) = (to_plan(&night, &built.loads, problem.tasks.len()), night.fault);
    let mut value = built.value;
    let gains = built.model.gains_by_cuts();
    let few = if gains { CUT_AFTER * built.model.pieces.len() as u64 } else { u64::MAX };
    for (cuts, until) in [(Cuts::Few, few), (Cuts::Many, u64::MAX)] {
        if !floor.conflict.is_empty() || meter.is_over() || cuts == Cuts::Many && !gains {
            break;
        }
        let frame = Frame::new(problem, &plan.loads, &floor, is_open, cuts);
        let mut timing = Timing::new(&frame);
        let mut begin = Sequence::of_plan(&frame, &plan);
        if let Some(older) = older.filter(|older| cuts == Cuts::Few && older.loads == plan.loads) {
            let older = Sequence::of_plan(&frame, older);
            meter.spend();
            if judge.value_of(timing.run(&older)) < judge.value_of(timing.run(&begin)) {
                begin = older;
            }
        }
        let mut search = Search { frame: &frame, judge, floor: floor.ends_at, rng: &mut rng, meter };
        let better = search.run(begin, until);
        // The night was built into gaps, which a sequence leaves open: it may be the better one.
        if better.value <= value {
            let state = timing.run(&better.sequence);
            (plan, fault) = (better.sequence.to_plan(&frame, state), state.front.fault);
            value = better.value;
        }
    }
    settle_word(Plan { work_units: meter.spent, ..plan }, fault, &floor)
}

/// Schedules for each piece after which pieces are cut wherever that can gain anything: before, the search without is
/// further. Source: none, by measurement on nights by seed.
const CUT_AFTER: u64 = 3_000;

/// Plans on from what really happened, changing as little as helps.
///
/// `problem` has the present and the past in it, and the loads of `old` as its given ones.
pub fn replan(problem: &Problem, old: &Plan, swap_s: u32, budget: &Budget) -> Plan {
    let problem = &problem.without_words();
    let mut meter = Meter::new(*budget);
    let loads = first_grouping(problem);
    let model = Model::new(problem.with_loads(&loads));
    let old_of = |act: usize| old.find(model.acts[act].task, model.acts[act].phase);
    let crew = |one: &ft_night::Assignment| crew_of(&one.people);
    let begun: Vec<bool> = model.past.iter().map(Option::is_some).collect();
    let next = |person: usize| {
        let theirs =
            |act: &usize| !begun[*act] && old_of(*act).is_some_and(|one| one.people.contains(&person));
        (0..begun.len()).filter(theirs).min_by_key(|&act| old_of(act).map(|one| one.start_s))
    };
    let judge = Judge {
        card_tasks: problem.tasks.len(),
        kept: (0..model.acts.len()).map(|act| old_of(act).map(crew)).collect(),
        next: (0..problem.people.len()).filter_map(|person| Some((next(person)?, person))).collect(),
        begun: begun.clone(),
        swap_s,
    };
    let begin = |piece: usize| old_of(model.pieces[piece].acts.start).map_or(u32::MAX, |one| one.start_s);
    let mut order: Vec<usize> = (0..model.pieces.len()).collect();
    order.sort_by_key(|&piece| begin(piece));
    let favour = |piece: &Piece| piece.acts.clone().find_map(|act| old_of(act)?.people.first().copied());
    let genes = genes_of(&order, model.pieces.iter().map(favour).collect());
    let kept = Built::new(loads.clone(), model, &judge, genes, &mut meter);
    let fresh = Built::by_rule(problem, loads, &judge, &mut meter);
    let start = if kept.value <= fresh.value { kept } else { fresh };
    improve(problem, &start, Some(old), false, &judge, Rng::new(budget.seed), &mut meter)
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
    let mut meter = Meter::new(Budget::units(1, 0));
    let judge = Judge { card_tasks: problem.tasks.len(), ..Judge::default() };
    let genes = genes_of(&order, vec![None; model.pieces.len()]);
    let built = Built::new(loads, Model::new(whole), &judge, genes, &mut meter);
    let night = Night::build(&built.model, &built.genes);
    let plan = to_plan(&night, &built.loads, problem.tasks.len());
    settle_word(Plan { work_units: 1, ..plan }, night.fault, &floor(&problem))
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
pub fn floor(problem: &Problem) -> Bounds {
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
