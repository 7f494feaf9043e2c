//! On small forms, order and repair are compared with every other order there is: what is returned is safe in
//! each linear extension, nothing can be dropped from it, and no smaller repair exists.

use std::collections::BTreeSet;

use ft_form::walk::State;
use ft_form::{EventId, Form};
use ft_prove::{Limits, NoOrder, Repair, order, reference, repair, with_order};
use ft_testkit::tiny;

type Pair = (EventId, EventId);

/// Every pair that follows from these.
fn closure(size: usize, pairs: &[Pair]) -> BTreeSet<Pair> {
    let mut closed: BTreeSet<Pair> = pairs.iter().copied().collect();
    for middle in 0..size {
        for first in 0..size {
            for then in 0..size {
                if closed.contains(&(first, middle)) && closed.contains(&(middle, then)) {
                    closed.insert((first, then));
                }
            }
        }
    }
    closed
}

fn given(form: &Form) -> Vec<Pair> {
    let pairs = |(then, event): (EventId, &ft_form::Event)| {
        event.pre.iter().map(|&first| (first, then)).collect::<Vec<_>>()
    };
    form.events.iter().enumerate().flat_map(pairs).collect()
}

fn with_pairs(form: &Form, pairs: &BTreeSet<Pair>) -> Form {
    let mut form = form.clone();
    for (id, event) in form.events.iter_mut().enumerate() {
        event.pre = pairs.iter().filter(|pair| pair.1 == id).map(|pair| pair.0).collect();
    }
    form
}

/// Whether every linear extension can be carried out without a hazard to the goal. A guard on one of `waits` is
/// waited for; any other must hold when its event's turn has come.
fn is_safe(form: &Form, waits: &[usize], state: &State) -> bool {
    if state.is_finished() {
        return state.holds(form, &form.goal);
    }
    let shows = |event: EventId, next: &State| {
        form.hazards.iter().any(|hazard| match hazard.on {
            None => next.holds(form, &hazard.when),
            Some(on) => on == event && state.holds(form, &hazard.when),
        })
    };
    let mut may_any = false;
    for event in 0..form.events.len() {
        let of = &form.events[event];
        if state.done[event] || !of.pre.iter().all(|&before| state.done[before]) {
            continue;
        }
        if of.guard.iter().any(|part| waits.contains(&part.var) && !state.holds(form, &[*part])) {
            continue;
        }
        if of.guard.iter().any(|part| !state.holds(form, &[*part])) {
            return false;
        }
        may_any = true;
        let next = state.after(form, event);
        if shows(event, &next) || !is_safe(form, waits, &next) {
            return false;
        }
    }
    may_any
}

fn is_safe_from_start(form: &Form, waits: &[usize]) -> bool {
    let start = State::start(form);
    form.hazards.iter().all(|hazard| hazard.on.is_some() || !start.holds(form, &hazard.when))
        && is_safe(form, waits, &start)
}

/// Whether some order of all events is safe, with the world's answers as they may come.
fn has_safe_run(form: &Form, state: &State) -> bool {
    if state.is_finished() {
        return state.holds(form, &form.goal);
    }
    state.open(form).into_iter().any(|event| {
        let next = state.after(form, event);
        let is_hazard = form.hazards.iter().any(|hazard| match hazard.on {
            None => next.holds(form, &hazard.when),
            Some(on) => on == event && state.holds(form, &hazard.when),
        });
        !is_hazard && has_safe_run(form, &next)
    })
}

/// The pairs without one; what comes before an answer of the world follows from its own `pre`.
fn without(form: &Form, all: &BTreeSet<Pair>, pair: Pair) -> BTreeSet<Pair> {
    let nature = |event: EventId| form.events[event].nature;
    let mut less: Vec<Pair> = all.iter().copied().filter(|&one| one != pair && !nature(one.1)).collect();
    less.extend(given(form).into_iter().filter(|pair| nature(pair.1)));
    closure(form.events.len(), &less)
}

#[test]
fn orders_are_safe_and_nothing_can_be_dropped() {
    let (mut found, mut none) = (0, 0);
    for seed in 0..3000 {
        let form = tiny::form(seed, 6);
        let size = form.events.len();
        match order(&form, &Limits::default()) {
            Ok(order) => {
                found += 1;
                assert!(order.is_minimal, "seed {seed}");
                let ordered = with_order(&form, &order);
                assert!(
                    is_safe_from_start(&ordered, &order.waits),
                    "seed {seed}: safe in each linear extension"
                );
                let pairs: Vec<Pair> = order.edges.iter().map(|edge| (edge.before, edge.after)).collect();
                assert_eq!(ordered, with_pairs(&form, &pairs.iter().copied().collect()), "seed {seed}");
                let all = closure(size, &pairs);
                for edge in &order.edges {
                    assert!(!edge.reasons.is_empty(), "seed {seed}");
                    let pair = (edge.before, edge.after);
                    if form.events[edge.after].nature {
                        assert!(form.events[edge.after].pre.contains(&edge.before), "seed {seed}");
                        continue;
                    }
                    let looser = with_pairs(&form, &without(&form, &all, pair));
                    assert!(
                        !is_safe_from_start(&looser, &order.waits),
                        "seed {seed}: {pair:?} is not needed"
                    );
                }
            }
            Err(NoOrder::Unsafe { missing }) => {
                none += 1;
                let world = form.events.iter().any(|event| event.nature);
                let start = State::start(&form);
                let hazard = form.hazards.iter().any(|h| h.on.is_none() && start.holds(&form, &h.when));
                assert!(world || hazard || !has_safe_run(&form, &start), "seed {seed}: {missing:?}");
            }
            Err(NoOrder::TooLarge) => panic!("seed {seed} is not large"),
        }
    }
    println!("{found} orders, {none} without");
    assert!(500 < found && 200 < none, "{found} {none}");
}

/// Minutes of the longest chain.
fn finish_min(form: &Form, event: EventId, pairs: &BTreeSet<Pair>) -> f64 {
    let before = pairs.iter().filter(|pair| pair.1 == event).map(|pair| finish_min(form, pair.0, pairs));
    before.fold(0.0, f64::max) + form.events[event].dur_min
}

/// Whether the orders may be added: no circle, none in front of the world's answers, and none between them.
fn may_add(form: &Form, all: &BTreeSet<Pair>, old: &BTreeSet<Pair>, new: &[Pair]) -> bool {
    let nature = |event: EventId| form.events[event].nature;
    all.iter().all(|pair| pair.0 != pair.1)
        && new.iter().all(|pair| !nature(pair.1))
        && all.iter().all(|pair| old.contains(pair) || !(nature(pair.0) && nature(pair.1)))
}

/// The fewest orders that make the form safe, and the earliest finish that so many give.
fn smallest(form: &Form, most: usize) -> Option<(usize, f64)> {
    let size = form.events.len();
    let old = closure(size, &given(form));
    let candidates: Vec<Pair> = (0..size)
        .flat_map(|first| (0..size).map(move |then| (first, then)))
        .filter(|pair| pair.0 != pair.1 && !old.contains(pair) && !old.contains(&(pair.1, pair.0)))
        .collect();
    let mut sets: Vec<Vec<usize>> = vec![vec![]];
    for count in 0..=most {
        let mut best: Option<f64> = None;
        for set in &sets {
            let new: Vec<Pair> = set.iter().map(|&at| candidates[at]).collect();
            let mut pairs = given(form);
            pairs.extend(&new);
            let all = closure(size, &pairs);
            if !may_add(form, &all, &old, &new) {
                continue;
            }
            let explored = reference::explore(&with_pairs(form, &all), 10_000);
            if explored.flaws.is_empty() {
                let finish = (0..size).map(|event| finish_min(form, event, &all)).fold(0.0, f64::max);
                best = Some(best.map_or(finish, |best| best.min(finish)));
            }
        }
        if let Some(finish) = best {
            return Some((count, finish));
        }
        sets = sets
            .iter()
            .flat_map(|set| {
                let next = set.last().map_or(0, |last| last + 1);
                (next..candidates.len()).map(|at| [&set[..], &[at]].concat())
            })
            .collect();
    }
    None
}

#[test]
fn repairs_are_as_small_and_as_quick_as_any() {
    let mut by_size = [0; 8];
    let mut impossible = 0;
    for seed in 0..1500 {
        let mut form = tiny::form(seed, 4);
        if seed % 2 == 1 {
            // Everything within a minute.
            form.events.iter_mut().for_each(|event| event.dur_min /= 32.0);
        }
        let size = form.events.len();
        // Six orders hold any order of four events.
        let expected = smallest(&form, 6);
        match repair(&form, &Limits::default()) {
            Repair::Nothing => {
                assert_eq!(expected.map(|expected| expected.0), Some(0), "seed {seed}");
                by_size[0] += 1;
            }
            Repair::Add(added) => {
                let mut pairs = given(&form);
                pairs.extend(added.iter().map(|added| (added.before, added.after)));
                let all = closure(size, &pairs);
                let finish = (0..size).map(|event| finish_min(&form, event, &all)).fold(0.0, f64::max);
                assert_eq!(expected, Some((added.len(), finish)), "seed {seed}: {added:?}");
                assert!(reference::explore(&with_pairs(&form, &all), 10_000).flaws.is_empty(), "seed {seed}");
                by_size[added.len()] += 1;
            }
            Repair::Impossible { missing } => {
                assert_eq!(expected, None, "seed {seed}");
                assert!(!missing.is_empty(), "seed {seed} says what is missing");
                impossible += 1;
            }
            Repair::TooLarge => panic!("seed {seed} is not large"),
        }
    }
    println!("by size {by_size:?}, impossible {impossible}");
    assert!(by_size[1] > 50 && by_size[2] > 5 && impossible > 50, "{by_size:?} {impossible}");
}
