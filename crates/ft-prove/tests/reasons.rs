//! What an order and a repair give as reasons, on forms small enough to see that they are right.

use ft_form::{Allowed, Asked, Cond, Effect, Event, EventKind, Form, Hazard, Op, Var, VarKind, Words};
use ft_prove::{
    Limits, Order, OrderEdge, Reason, Repair, order, repair, was_asked, why, why_before, with_order,
};
use ft_testkit::tiny;

fn var(name: &str, hi: i32, init: i32) -> Var {
    let kind = if name.starts_with('#') { VarKind::Res } else { VarKind::Enum };
    Var { name: name.into(), lo: 0, hi, init, kind, vals: vec![], words: Words::new() }
}

fn is(var: usize, value: i32) -> Allowed {
    Allowed { var, mask: 1 << value }
}

fn effect(var: usize, op: Op, c: i32) -> Effect {
    Effect { when: Cond::new(), var, op, c }
}

fn set(var: usize, c: i32) -> Vec<Effect> {
    vec![effect(var, Op::Set, c)]
}

fn event(name: &str, pre: &[usize], guard: &[Allowed], eff: Vec<Effect>) -> Event {
    let (step, kind) = match name.split_once('@') {
        Some((step, "start")) => (step, EventKind::Start),
        Some((step, _)) => (step, EventKind::End),
        None => (name, EventKind::Do),
    };
    let mut event = Event::new(name, step, kind);
    (event.pre, event.guard, event.eff) = (pre.to_vec(), guard.to_vec(), eff);
    event
}

fn form(vars: Vec<Var>, events: Vec<Event>, goal: Cond) -> Form {
    Form { people: 1, vars, events, goal, ..Form::default() }
}

fn ordered(form: &Form) -> Order {
    assert_eq!(form.problems(), Vec::<String>::new());
    order(form, &Limits::default()).expect("the card is safe")
}

/// The one edge's reasons.
fn reasons(form: &Form) -> Vec<Reason> {
    let order = ordered(form);
    assert_eq!(order.edges.iter().map(|edge| (edge.before, edge.after)).collect::<Vec<_>>(), [(0, 1)]);
    order.edges[0].reasons.clone()
}

#[test]
fn one_step_enables_another() {
    let events = vec![event("fill", &[], &[], set(0, 1)), event("use", &[0], &[is(0, 1)], vec![])];
    let part = is(0, 1);
    assert_eq!(reasons(&form(vec![var("water", 1, 0)], events, vec![])), [Reason::Enables { part }]);
}

#[test]
fn one_step_would_spoil_what_another_needs() {
    let events = vec![event("use", &[], &[is(0, 1)], vec![]), event("drain", &[0], &[], set(0, 0))];
    let protects = Reason::Protects { hazard: None, part: Some(is(0, 1)) };
    assert_eq!(reasons(&form(vec![var("water", 1, 1)], events, vec![])), [protects]);
}

#[test]
fn one_step_keeps_a_hazard_away() {
    let events = vec![event("vent", &[], &[], set(0, 0)), event("open", &[0], &[], set(1, 1))];
    let mut form = form(vec![var("pressure", 1, 1), var("door", 1, 0)], events, vec![]);
    let when = vec![is(0, 1), is(1, 1)];
    form.hazards = vec![Hazard { id: "jet".into(), on: None, when, words: Words::new(), origin: None }];
    assert_eq!(reasons(&form), [Reason::Protects { hazard: Some(0), part: None }]);
}

#[test]
fn one_step_would_undo_the_goal() {
    let events = vec![event("wet", &[], &[], set(0, 0)), event("dry", &[0], &[], set(0, 1))];
    let protects = Reason::Protects { hazard: None, part: Some(is(0, 1)) };
    assert_eq!(reasons(&form(vec![var("dry", 1, 0)], events, vec![is(0, 1)])), [protects]);
}

#[test]
fn a_step_begins_before_it_ends() {
    let events = vec![event("soak@start", &[], &[], vec![]), event("soak@end", &[0], &[], vec![])];
    assert_eq!(reasons(&form(vec![], events, vec![])), [Reason::SameStep]);
}

#[test]
fn the_author_asked_for_it() {
    let because = Words::from([("en".to_string(), "Guests come first.".to_string())]);
    let mut events = vec![event("serve", &[], &[], vec![]), event("wipe", &[0], &[], vec![])];
    events[1].asked = vec![Asked { before: 0, because: because.clone() }];
    let form = form(vec![], events, vec![]);
    assert_eq!(reasons(&form), [Reason::Asked { because }]);
    assert!(was_asked(&form, &ordered(&form).edges[0]));
}

/// Each step takes one bucket and then needs the other's: whoever begins both stands there with one each.
#[test]
fn somebody_would_wait_for_kit() {
    let take = |var: usize| vec![effect(var, Op::Add, -1)];
    let both = || vec![effect(0, Op::Add, 1), effect(1, Op::Add, 1)];
    let has = |var: usize| is(var, 1);
    let events = vec![
        event("a@start", &[], &[has(0)], take(0)),
        event("a more", &[0], &[has(1)], take(1)),
        event("a@end", &[1], &[], both()),
        event("b@start", &[2], &[has(1)], take(1)),
        event("b more", &[3], &[has(0)], take(0)),
        event("b@end", &[4], &[], both()),
    ];
    let order = ordered(&form(vec![var("#red", 1, 1), var("#blue", 1, 1)], events, vec![]));
    let across: Vec<_> = order.edges.iter().filter(|edge| edge.before < 3 && 3 <= edge.after).collect();
    assert!(!across.is_empty(), "{order:?}");
    for edge in across {
        assert!(edge.reasons.iter().all(|reason| matches!(reason, Reason::Kit { .. })), "{edge:?}");
    }
}

/// Two steps may each bring what a third waits for, and the card lets it wait: then so does the order.
#[test]
fn what_the_card_waits_for_is_waited_for() {
    let events = vec![
        event("left", &[], &[], set(0, 1)),
        event("right", &[], &[], set(0, 1)),
        event("use", &[], &[is(0, 1)], vec![]),
        event("other", &[], &[is(1, 0)], vec![]),
    ];
    let order = ordered(&form(vec![var("water", 1, 0), var("light", 1, 0)], events, vec![]));
    assert_eq!((order.waits, order.edges), (vec![0], vec![]));
}

/// A line of three with a branch that leads elsewhere.
#[test]
fn chains_of_edges_and_the_form_they_make() {
    let events = vec![
        event("fill", &[], &[], set(0, 1)),
        event("soak", &[0], &[is(0, 1)], set(1, 1)),
        event("branch", &[0, 1], &[is(0, 1)], vec![]),
        event("rinse", &[1, 2], &[is(1, 1)], vec![]),
    ];
    let card = form(vec![var("filled", 1, 0), var("soaked", 1, 0)], events, vec![]);
    let order = ordered(&card);
    let pairs = |edges: Vec<&ft_prove::OrderEdge>| {
        edges.into_iter().map(|edge| (edge.before, edge.after)).collect::<Vec<_>>()
    };
    assert_eq!(pairs(order.edges.iter().collect()), [(0, 1), (0, 2), (1, 3)]);
    assert_eq!(pairs(why_before(&order, 0, 3)), [(0, 1), (1, 3)]);
    assert_eq!(pairs(why_before(&order, 1, 3)), [(1, 3)]);
    assert_eq!(pairs(why_before(&order, 2, 3)), []);
    assert_eq!(pairs(why(&order, 3)), [(1, 3)]);
    assert!(order.edges.iter().all(|edge| !was_asked(&card, edge)));
    let loose: Vec<Vec<usize>> =
        with_order(&card, &order).events.into_iter().map(|event| event.pre).collect();
    assert_eq!(loose, [vec![], vec![0], vec![0], vec![1]]);
}

fn impossible(form: &Form) -> Vec<String> {
    assert_eq!(form.problems(), Vec::<String>::new());
    match repair(form, &Limits::default()) {
        Repair::Impossible { missing } => missing,
        other => panic!("no order helps: {other:?}"),
    }
}

#[test]
fn what_no_order_helps_is_said() {
    let goal = form(vec![var("clean", 1, 0)], vec![event("look", &[], &[], vec![])], vec![is(0, 1)]);
    assert_eq!(impossible(&goal), ["nothing brings `clean` to its goal"]);
    let guard = form(vec![var("water", 1, 0)], vec![event("rinse", &[], &[is(0, 1)], vec![])], vec![]);
    let rinse = "`rinse` can never be done: nothing brings `water` to what it needs";
    assert_eq!(impossible(&guard), [rinse]);
    // The world answers a look, and one answer is a hazard.
    let when = vec![is(0, 0)];
    let answer = |value| vec![Effect { when: when.clone(), var: 0, op: Op::Set, c: value }];
    let mut events = vec![event("worn", &[], &[], answer(2)), event("sound", &[], &[], answer(1))];
    for event in &mut events {
        event.nature = true;
    }
    let mut world = form(vec![var("seal", 2, 0)], events, vec![]);
    let when = vec![is(0, 2)];
    world.hazards = vec![Hazard { id: "worn".into(), on: None, when, words: Words::new(), origin: None }];
    assert_eq!(impossible(&world), ["some order is safe, but not for each answer that the world may give"]);
}

/// Whether an event may bring the part about (`want`), or take it away.
fn may_make(form: &Form, event: usize, part: Allowed, want: bool) -> bool {
    let low = form.vars[part.var].lo;
    form.events[event].eff.iter().filter(|effect| effect.var == part.var).any(|effect| match effect.op {
        Op::Set => (part.mask >> (effect.c - low) & 1 == 1) == want,
        Op::Add => true,
    })
}

fn touches(form: &Form, event: usize, var: usize) -> bool {
    let event = &form.events[event];
    event.guard.iter().any(|part| part.var == var) || event.eff.iter().any(|effect| effect.var == var)
}

/// Whether it changes something that effects on `var`, or on what those look at, look at.
fn stirs(form: &Form, event: usize, var: usize) -> bool {
    let mut read = vec![var];
    let mut at = 0;
    while let Some(&changed) = read.get(at) {
        for effect in form.events.iter().flat_map(|event| &event.eff).filter(|effect| effect.var == changed) {
            for part in &effect.when {
                if !read.contains(&part.var) {
                    read.push(part.var);
                }
            }
        }
        at += 1;
    }
    form.events[event].eff.iter().any(|effect| read[1..].contains(&effect.var))
}

/// What a reason says of two events can be seen in them.
fn is_true(form: &Form, edge: &OrderEdge, reason: &Reason) -> bool {
    let (first, then) = (&form.events[edge.before], &form.events[edge.after]);
    // No order is put in front of an answer of the world, but in front of what it waits for; then the two need not show it.
    let is_asked = form.events.iter().any(|event| event.nature && event.pre.contains(&edge.after));
    match reason {
        Reason::Protects { .. } if is_asked => true,
        Reason::Enables { part } => {
            let is_needed = then.guard.contains(part) || form.goal.contains(part);
            is_needed && may_make(form, edge.before, *part, true)
        }
        Reason::Protects { hazard: Some(index), .. } => {
            let hazard = &form.hazards[*index];
            let is_about = |event: usize| {
                hazard.on == Some(event)
                    || hazard
                        .when
                        .iter()
                        .any(|part| touches(form, event, part.var) || stirs(form, event, part.var))
            };
            is_about(edge.before) && is_about(edge.after)
        }
        Reason::Protects { part: Some(part), .. } => {
            let spoils = |event: usize| may_make(form, event, *part, false) || stirs(form, event, part.var);
            spoils(edge.after) || spoils(edge.before) && may_make(form, edge.after, *part, true)
        }
        Reason::Protects { .. } => true,
        Reason::Kit { var } => {
            form.vars[*var].kind == VarKind::Res
                && touches(form, edge.before, *var)
                && touches(form, edge.after, *var)
        }
        Reason::Asked { because } => {
            then.asked.iter().any(|asked| asked.before == edge.before && asked.because == *because)
        }
        Reason::SameStep => first.step == then.step,
    }
}

#[test]
fn each_reason_can_be_seen_in_the_two_events() {
    let (mut reasons, mut vague) = (0, 0);
    let mut wrong = Vec::new();
    for seed in 0..4000 {
        let form = tiny::form(seed, 7);
        let Ok(order) = order(&form, &Limits::default()) else { continue };
        for edge in &order.edges {
            for reason in &edge.reasons {
                reasons += 1;
                vague += usize::from(*reason == Reason::Protects { hazard: None, part: None });
                if !is_true(&form, edge, reason) {
                    wrong.push((seed, edge.before, edge.after, reason.clone()));
                }
            }
        }
    }
    println!("{reasons} reasons, {vague} of them say no more than that something would be undone");
    assert!(wrong.is_empty(), "{} of {reasons}: {:?}", wrong.len(), &wrong[..wrong.len().min(5)]);
    assert!(1000 < reasons && 5 * vague < reasons, "{vague} of {reasons} are vague");
}
