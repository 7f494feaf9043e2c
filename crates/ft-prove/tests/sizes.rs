//! Where sizes change how states are kept and how far a search goes: rows of every length, threads of every length,
//! and limits that are kept to the state and to the byte.

use ft_form::{Allowed, Cond, Effect, Event, EventKind, Form, Hazard, Op, Var, VarKind, Words};
use ft_prove::{Limits, Verdict, check, reference};

fn form(vars: usize, hi: i32, events: Vec<Event>, hazards: &[Cond]) -> Form {
    let var = |index: usize| Var {
        name: format!("v{index}"),
        lo: 0,
        hi,
        init: 0,
        kind: VarKind::Num,
        vals: vec![],
        words: Words::new(),
    };
    let hazard = |(index, when): (usize, &Cond)| Hazard {
        id: format!("h{index}"),
        on: None,
        when: when.clone(),
        words: Words::new(),
        origin: None,
    };
    let hazards = hazards.iter().enumerate().map(hazard).collect();
    let form = Form { people: 1, vars: (0..vars).map(var).collect(), events, hazards, ..Form::default() };
    assert_eq!(form.problems(), Vec::<String>::new());
    form
}

fn event(index: usize, pre: Vec<usize>, var: usize, op: Op, c: i32) -> Event {
    let mut event = Event::new(format!("e{index}"), format!("e{index}"), EventKind::Do);
    (event.pre, event.eff) = (pre, vec![Effect { when: Cond::new(), var, op, c }]);
    event
}

/// A condition that follows all variables and asks these for something.
fn all_but(vars: usize, asked: &[(usize, u64)]) -> Cond {
    let mask = |var: usize| asked.iter().find(|(of, _)| *of == var).map_or(u64::MAX, |(_, mask)| *mask);
    (0..vars).map(|var| Allowed { var, mask: mask(var) }).collect()
}

/// Events in a line, each with a variable of its own; all of them in one slice, so that a state is a row of up to
/// some forty words.
#[test]
fn long_rows_are_short_rows() {
    for size in [2, 8, 20, 40, 70, 100, 130, 300] {
        let pre = |index: usize| index.checked_sub(1).into_iter().collect();
        let events = (0..size).map(|index| event(index, pre(index), index, Op::Set, 1)).collect();
        let never = all_but(size, &[(0, 0b01), (size - 1, 0b10)]);
        let late = all_but(size, &[(size - 2, 0b10), (size - 1, 0b01)]);
        let flawed = form(size, 1, events, &[never, late]);
        let verdict = check(&flawed, &Limits::default());
        assert_eq!(verdict.flaws(), reference::explore(&flawed, 1_000).flaws, "{size} events");
        assert_eq!(verdict.flaws()[0].story.len(), size - 1);
        let safe = Form { hazards: flawed.hazards[..1].to_vec(), ..flawed };
        let Verdict::Proved(proof) = check(&safe, &Limits::default()) else {
            panic!("{size} events are safe")
        };
        assert_eq!(proof.states, size as u64 + 2, "the line, and a slice of nothing for deadlocks");
        assert!(ft_verify::verify(&safe, &proof.certificate).is_ok(), "{size} events");
    }
}

/// One event with 70 effects, eleven of which look at variables that the hazard is not about and that have too many values
/// to be gone through together: each may happen or not, which is 2,048 cases and not yet too many.
#[test]
fn cases_are_counted_and_not_their_words() {
    let mut events: Vec<Event> = (0..11).map(|index| event(index, vec![], 70 + index, Op::Set, 1)).collect();
    let mut long = event(11, vec![], 0, Op::Set, 1);
    let effect = |var: usize| {
        let when = if var < 11 { vec![Allowed { var: 70 + var, mask: 0b0001 }] } else { vec![] };
        Effect { when, var, op: Op::Set, c: 1 }
    };
    long.eff = (0..70).map(effect).collect();
    events.push(long);
    let form = form(81, 3, events, &[all_but(70, &[(68, 0b10), (69, 0b01)])]);
    let Verdict::Proved(proof) = check(&form, &Limits { states: 10_000, ..Limits::default() }) else {
        panic!("the last two come together")
    };
    assert!(2048 < proof.states && proof.states < 2048 + 20, "{} states", proof.states);
    assert!(ft_verify::verify(&form, &proof.certificate).is_ok(), "the referee counts the same");
}

/// Two lines of events that are alike are exchanged up to 64 events; prover and referee agree where that ends.
#[test]
fn long_threads_are_not_exchanged() {
    for (length, states) in [(1, 3), (63, 64 * 65 / 2), (64, 65 * 66 / 2), (65, 66 * 66)] {
        let pre = |at: usize| if at.is_multiple_of(length) { vec![] } else { vec![at - 1] };
        let events = (0..2 * length).map(|at| event(at, pre(at), 0, Op::Set, 0)).collect();
        let form = form(1, 1, events, &[vec![Allowed { var: 0, mask: 0b10 }]]);
        let Verdict::Proved(proof) = check(&form, &Limits::default()) else { panic!("{length} are safe") };
        assert_eq!(proof.states, states + 1, "{length} events in a line");
        let verified = ft_verify::verify(&form, &proof.certificate).expect("they agree");
        assert_eq!(verified.states, states + 1);
    }
}

/// Six events in any order, each with a variable of its own: 64 states, and one for deadlocks.
fn sixty_four() -> Form {
    let events = (0..6).map(|index| event(index, vec![], index, Op::Set, 1)).collect();
    form(6, 2, events, &[all_but(6, &[(0, 0b100)])])
}

#[test]
fn a_limit_of_states_is_kept_to_the_state() {
    let form = sixty_four();
    let with = |states: u64| check(&form, &Limits { states, ..Limits::default() });
    for states in [0, 1, 31, 62, 63, 64] {
        let Verdict::TooLarge(covered) = with(states) else { panic!("{states} states are not enough") };
        assert!(states < covered.states, "{} of {states}: what was seen is told", covered.states);
        assert!(
            covered.states <= states + 8,
            "{} of {states}: a state and its successors more",
            covered.states
        );
    }
    assert!(with(65).is_proved());
}

#[test]
fn a_share_is_of_the_states_alone() {
    let limits = Limits { states: 100, bytes: 7 };
    assert_eq!(limits.share(40), Limits { states: 2, bytes: 7 });
}

/// A state of two words takes 56 bytes, with its share of the table and with what is ready in it.
#[test]
fn a_limit_of_bytes_is_kept_to_the_byte() {
    let form = sixty_four();
    let with = |bytes: u64| check(&form, &Limits { bytes, ..Limits::default() });
    assert!(with(64 * 56).is_proved());
    assert!(matches!(with(64 * 56 - 1), Verdict::TooLarge(_)));
}

/// Six events that are alike are seven states up to exchanging them; the search for a shortest story, which does not
/// exchange them, needs all 64.
#[test]
fn the_search_for_a_story_keeps_the_limit_too() {
    let events = (0..6).map(|index| event(index, vec![], 0, Op::Add, 1)).collect();
    let form = form(1, 6, events, &[vec![Allowed { var: 0, mask: 1 << 6 }]]);
    let with = |states: u64| check(&form, &Limits { states, ..Limits::default() });
    for states in 0..7 + 64 {
        assert!(matches!(with(states), Verdict::TooLarge(_)), "{states} states are not enough");
    }
    assert_eq!(with(8 + 64).flaws()[0].story.len(), 6);
}
