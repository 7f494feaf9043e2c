//! What the referee asks of a certificate, rule by rule: one that breaks the rule, and beside it one that barely does
//! not. Forms and certificates are written by hand, so that no prover has a share in them; the rules are those of
//! `docs/proof-format.md`.

use ft_form::certificate::{Certificate, Claim, Inferred, Slice, VERSION};
use ft_form::{Allowed, Cond, Effect, Event, EventKind, Form, Hazard, Op, Var, VarKind, Words};
use ft_verify::{Verified, verify};

/// A variable over `0..=hi` that begins at 0.
fn var(name: &str, hi: i32) -> Var {
    Var { name: name.into(), lo: 0, hi, init: 0, kind: VarKind::Num, vals: vec![], words: Words::new() }
}

/// A part of a condition: the variable has this value.
fn is(var: usize, value: i32) -> Allowed {
    Allowed { var, mask: 1 << value }
}

fn set(var: usize, c: i32) -> Effect {
    Effect { when: Cond::new(), var, op: Op::Set, c }
}

fn event(name: &str, pre: &[usize], guard: &[Allowed], eff: &[Effect]) -> Event {
    let mut event = Event::new(name, name, EventKind::Do);
    (event.pre, event.guard, event.eff) = (pre.to_vec(), guard.to_vec(), eff.to_vec());
    event
}

fn hazard(on: Option<usize>, when: &[Allowed]) -> Hazard {
    Hazard { id: "never".into(), on, when: when.to_vec(), words: Words::new(), origin: None }
}

fn form(vars: Vec<Var>, events: Vec<Event>, hazards: Vec<Hazard>, goal: &[Allowed]) -> Form {
    let form = Form { people: 1, vars, events, hazards, goal: goal.to_vec(), ..Form::default() };
    assert_eq!(form.problems(), Vec::<String>::new());
    form
}

fn slice(vars: &[usize], events: &[usize], states: u64, claims: &[Claim]) -> Slice {
    Slice { vars: vars.to_vec(), events: events.to_vec(), states, claims: claims.to_vec() }
}

fn of(slices: &[Slice]) -> Certificate {
    Certificate { version: VERSION, inferred: Vec::new(), slices: slices.to_vec() }
}

fn accepts(form: &Form, certificate: &Certificate) {
    assert!(verify(form, certificate).is_ok(), "{:?}", verify(form, certificate));
}

fn refuses(form: &Form, certificate: &Certificate, because: &str) {
    let said = verify(form, certificate).expect_err("this proves nothing");
    assert!(said.contains(because), "`{said}` does not say `{because}`");
}

/// A tap is shut, then a door is opened: never the one without the other.
fn tap_and_door() -> (Form, Certificate) {
    let events = vec![event("shut", &[], &[], &[set(0, 1)]), event("open", &[0], &[], &[set(1, 1)])];
    let form = form(
        vec![var("tap", 1), var("door", 1)],
        events,
        vec![hazard(None, &[is(0, 0), is(1, 1)])],
        &[is(0, 1), is(1, 1)],
    );
    let both = slice(&[0, 1], &[0, 1], 3, &[Claim::Hazard(0), Claim::Goal(0)]);
    let rest = slice(&[1], &[1], 2, &[Claim::Goal(1), Claim::Deadlock]);
    (form, of(&[both, rest]))
}

#[test]
fn states_and_claims_are_added_up() {
    let (form, good) = tap_and_door();
    assert_eq!(verify(&form, &good), Ok(Verified { states: 5, claims: 4 }));
}

#[test]
fn every_claim_is_needed() {
    let (form, good) = tap_and_door();
    let whys = ["hazard `never` is not excluded", "part 0 of the goal", "part 1 of the goal", "deadlocks"];
    for (at, why) in whys.into_iter().enumerate() {
        let mut less = good.clone();
        less.slices[at / 2].claims.remove(at % 2);
        refuses(&form, &less, why);
    }
}

#[test]
fn the_count_of_states_is_exact() {
    let (form, good) = tap_and_door();
    for (states, why) in
        [(0, "more than the 0"), (1, "more than the 1"), (2, "has 3 states"), (4, "has 3 states")]
    {
        let mut wrong = good.clone();
        wrong.slices[0].states = states;
        refuses(&form, &wrong, why);
    }
}

#[test]
fn versions_lists_and_numbers_are_looked_at() {
    let (form, good) = tap_and_door();
    refuses(&form, &Certificate { version: VERSION + 1, ..good.clone() }, "version");
    let lists: [(&[usize], &[usize]); 6] = [
        (&[1, 0], &[0, 1]),
        (&[0, 0], &[0, 1]),
        (&[0, 1, 2], &[0, 1]),
        (&[0, 1], &[1, 0]),
        (&[0, 1], &[0, 1, 1]),
        (&[0, 1], &[0, 1, 2]),
    ];
    for (vars, events) in lists {
        let mut wrong = good.clone();
        (wrong.slices[0].vars, wrong.slices[0].events) = (vars.to_vec(), events.to_vec());
        refuses(&form, &wrong, "not sorted lists of what the form has");
    }
    let mut short = good.clone();
    short.slices[0].events = vec![1];
    refuses(&form, &short, "leaves out `shut`");
    let strangers = [
        Claim::Hazard(1),
        Claim::Goal(2),
        Claim::Ready { event: 2, part: 0 },
        Claim::Ready { event: 0, part: 0 },
        Claim::Always { var: 2, mask: 3 },
        Claim::Rest { var: 2, mask: 3 },
    ];
    for claim in strangers {
        let mut wrong = good.clone();
        wrong.slices[0].claims.push(claim);
        refuses(&form, &wrong, "speaks of what does not exist");
    }
}

/// Nothing in a circle ever happens, and a slice that follows nothing sees nothing of that.
#[test]
fn a_circle_is_no_order() {
    let form = |first: &[usize]| {
        form(vec![], vec![event("a", first, &[], &[]), event("b", &[0], &[], &[])], vec![], &[])
    };
    let blind = of(&[slice(&[], &[], 1, &[Claim::Deadlock])]);
    accepts(&form(&[]), &blind);
    refuses(&form(&[1]), &blind, "before themselves");
}

/// `use` needs what only `fill` makes, so `fill` comes first and the hazard of using it empty cannot be.
///
/// `again` is an event more that changes the variable.
fn filled(again: Event) -> (Form, Certificate) {
    let events =
        vec![event("fill", &[], &[], &[set(0, 2)]), event("use", &[], &[is(0, 2)], &[set(1, 1)]), again];
    let form = form(vec![var("water", 3), var("used", 1)], events, vec![], &[]);
    let inferred = vec![Inferred { before: 0, after: 1, var: 0 }];
    (form, Certificate { inferred, ..of(&[slice(&[], &[], 1, &[])]) })
}

#[test]
fn an_inferred_order_is_forced() {
    let add = Effect { op: Op::Add, ..set(0, 1) };
    let nothing_else = [
        event("other", &[], &[], &[]),
        event("other value", &[], &[], &[set(0, 1)]),
        event("other variable", &[], &[], &[set(1, 1)]),
        event("after the one", &[0], &[], &[set(0, 2)]),
        event("too late", &[1], &[], &[set(0, 2)]),
    ];
    for again in nothing_else {
        let (form, certificate) = filled(again);
        refuses(&form, &certificate, "deadlocks are not excluded");
    }
    for again in [event("set", &[], &[], &[set(0, 2)]), event("add", &[], &[], &[add])] {
        let (form, certificate) = filled(again);
        refuses(&form, &certificate, "nothing forces `fill` before `use`");
    }
    let (mut form, certificate) = filled(event("other", &[], &[], &[]));
    form.vars[0].init = 2;
    refuses(&form, &certificate, "nothing forces `fill` before `use`");
}

#[test]
fn an_inferred_order_speaks_of_what_there_is() {
    let (form, good) = filled(event("other", &[], &[], &[]));
    for (before, after, var) in [(3, 1, 0), (0, 3, 0), (0, 1, 2)] {
        let inferred = vec![Inferred { before, after, var }];
        refuses(&form, &Certificate { inferred, ..good.clone() }, "what does not exist");
    }
    let inferred = vec![Inferred { before: 0, after: 1, var: 1 }];
    refuses(&form, &Certificate { inferred, ..good }, "nothing forces");
}

/// What follows from an inferred order is known, too: all before the one comes before all after the other.
#[test]
fn an_inferred_order_is_closed() {
    let events = vec![
        event("open", &[], &[], &[set(2, 1)]),
        event("fill", &[0], &[], &[set(0, 1)]),
        event("use", &[], &[is(0, 1)], &[]),
        event("done", &[2], &[], &[set(1, 1)]),
    ];
    let vars = vec![var("water", 1), var("done", 1), var("open", 1)];
    let form = form(vars, events, vec![hazard(None, &[is(1, 1), is(2, 0)])], &[]);
    let never = slice(&[1, 2], &[0, 3], 3, &[Claim::Hazard(0)]);
    let always = slice(&[0], &[1, 2], 3, &[Claim::Ready { event: 2, part: 0 }]);
    let deadlock = slice(&[], &[], 1, &[Claim::Deadlock]);
    let bare = of(&[never, always, deadlock]);
    let inferred = vec![Inferred { before: 1, after: 2, var: 0 }];
    accepts(&form, &Certificate { inferred, ..bare.clone() });
    refuses(&form, &bare, "Hazard(0) does not hold");
}

/// The event is never able to happen. A slice that follows the event but not what it waits for, or the other way
/// round, would not see that.
#[test]
fn a_deadlock_is_looked_for_where_it_may_be() {
    let events = vec![event("waits", &[], &[is(0, 1)], &[]), event("other", &[], &[], &[set(1, 1)])];
    let form = form(vec![var("never set", 1), var("other", 1)], events, vec![], &[]);
    for (vars, events, states) in [(&[][..], &[0][..], 2), (&[0], &[], 1), (&[], &[], 1)] {
        let claim = of(&[slice(vars, events, states, &[Claim::Deadlock])]);
        refuses(&form, &claim, "does not follow part 0 of the guard of `waits`");
    }
    refuses(&form, &of(&[slice(&[0], &[0], 1, &[Claim::Deadlock])]), "Deadlock does not hold");
}

/// Two events that look alike but for their place before the event of a claim are not exchanged.
#[test]
fn threads_that_a_claim_tells_apart_are_not_exchanged() {
    let events = vec![
        event("a", &[], &[], &[set(0, 1)]),
        event("b", &[], &[], &[set(0, 1)]),
        event("read", &[0], &[is(0, 1)], &[]),
    ];
    let form = form(vec![var("set", 1)], events, vec![], &[]);
    let deadlock = slice(&[], &[], 1, &[Claim::Deadlock]);
    let ready = |states| slice(&[0], &[0, 1], states, &[Claim::Ready { event: 2, part: 0 }]);
    accepts(&form, &of(&[ready(4), deadlock.clone()]));
    refuses(&form, &of(&[ready(3), deadlock.clone()]), "more than the 3 states");
    // Without such a claim they are: none, one, both.
    let always = slice(&[0], &[0, 1], 3, &[Claim::Always { var: 0, mask: 3 }]);
    accepts(&form, &of(&[always, ready(4), deadlock]));
}
