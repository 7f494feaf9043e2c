//! The night is a fold over the set of events: arrival, repetition and outages change nothing.
#![allow(clippy::unwrap_used)]

mod common;

use std::collections::BTreeMap;

use common::{event, happened, stored};
use ft_form::walk::State;
use ft_form::{Event as FormEvent, EventKind, Form};
use ft_record::fold::{self, Night};
use ft_record::{Event, Fact, Journey, PartRef};
use ft_testkit::chance::Chance;
use ft_testkit::kiosk;
use proptest::prelude::*;

/// A, then B; C is free.
fn small() -> Form {
    let mut form = Form { name: "small".into(), people: 2, ..Form::default() };
    for name in ["A", "B", "C"] {
        form.events.push(FormEvent::new(name, name, EventKind::Do));
    }
    form.events[1].pre = vec![0];
    form
}

fn night(form: &Form, events: &[Event]) -> Night {
    fold::run(&BTreeMap::from([("shake".to_owned(), form)]), &stored(events))
}

fn done(form: &Form, night: &Night) -> Vec<String> {
    night.machines["shake"].done.iter().map(|done| form.events[done.event].name.clone()).collect()
}

#[test]
fn two_ticks_of_one_step_are_one_step() {
    let form = small();
    let night = night(&form, &[happened("aa", 1, 10, "A"), happened("bb", 1, 20, "A")]);
    assert_eq!(done(&form, &night), ["A"]);
    let first = &night.machines["shake"].done[0];
    assert_eq!(first.by.as_deref(), Some("person of aa"));
    assert_eq!(first.also[0].by.as_deref(), Some("person of bb"));
    assert!(night.machines["shake"].conflicts.is_empty());
}

#[test]
fn a_step_out_of_its_turn_waits_and_is_tried_again() {
    let form = small();
    let early = happened("aa", 1, 10, "B");
    let alone = night(&form, std::slice::from_ref(&early));
    let conflict = &alone.machines["shake"].conflicts[0];
    assert_eq!(conflict.waits, ["A"]);
    assert!(conflict.sentence.starts_with("person of aa did `B`; first comes `A`"), "{}", conflict.sentence);
    let later = night(&form, &[early.clone(), happened("bb", 1, 30, "A")]);
    assert_eq!(done(&form, &later), ["A", "B"]);
    let anyway =
        Fact::Differed { event: Some("B".into()), found: BTreeMap::new(), because: "it was off".into() };
    let settled = night(&form, &[early.clone(), event("bb", 1, 30, anyway)]);
    assert_eq!(done(&form, &settled), ["B"]);
    assert!(settled.machines["shake"].done[0].anyway && settled.machines["shake"].conflicts.is_empty());
    let gone = Fact::Corrected { of: early.id.clone(), because: "a slip".into() };
    let corrected = night(&form, &[early, event("aa", 2, 30, gone)]);
    assert!(corrected.machines["shake"].conflicts.is_empty() && corrected.corrections.len() == 1);
}

#[test]
fn a_correction_can_be_corrected_and_takes_what_built_on_it_into_doubt() {
    let form = small();
    let (a, b) = (happened("aa", 1, 10, "A"), happened("aa", 2, 20, "B"));
    let undo = event("aa", 3, 30, Fact::Corrected { of: a.id.clone(), because: "a slip".into() });
    let undone = night(&form, &[a.clone(), b.clone(), undo.clone()]);
    assert_eq!(done(&form, &undone), [""; 0]);
    assert_eq!(undone.machines["shake"].conflicts[0].waits, ["A"], "B stood on A");
    let redo = event("bb", 1, 40, Fact::Corrected { of: undo.id.clone(), because: "it was done".into() });
    assert_eq!(done(&form, &night(&form, &[a.clone(), b.clone(), undo, redo])), ["A", "B"]);
    // Two corrections that name each other: the later one counts.
    let (mut one, mut two) =
        (event("aa", 5, 50, Fact::Note { text: String::new() }), happened("bb", 6, 60, ""));
    one.fact = Fact::Corrected { of: two.id.clone(), because: "x".into() };
    two.fact = Fact::Corrected { of: one.id.clone(), because: "y".into() };
    assert_eq!(done(&form, &night(&form, &[a, b, one, two])), ["A", "B"]);
}

/// Two people ticked one step; one of them takes it back: it has not happened, until somebody ticks it again.
#[test]
fn a_step_that_two_ticked_is_taken_back_as_one() {
    let form = small();
    let (a, b) = (happened("aa", 1, 10, "A"), happened("bb", 1, 20, "A"));
    let undo =
        |of: &Event, at| event("aa", 9, at, Fact::Corrected { of: of.id.clone(), because: "a slip".into() });
    for of in [&a, &b] {
        let undone = night(&form, &[a.clone(), b.clone(), undo(of, 30)]);
        assert_eq!(done(&form, &undone), [""; 0]);
        let other = if of.id == a.id { &b } else { &a };
        assert_eq!(undone.corrections[0].with, std::slice::from_ref(&other.id));
    }
    let again = happened("bb", 2, 40, "A");
    assert_eq!(done(&form, &night(&form, &[a.clone(), b.clone(), undo(&a, 30), again.clone()])), ["A"]);
    // The other device, without network, takes back the same tick: what was ticked again meanwhile stays.
    let late = event("bb", 3, 50, Fact::Corrected { of: a.id.clone(), because: "a slip".into() });
    assert_eq!(done(&form, &night(&form, &[a.clone(), b.clone(), undo(&a, 30), again, late])), ["A"]);
    // A correction that is itself corrected brings both back.
    let undone = undo(&a, 30);
    let redo = event("bb", 4, 60, Fact::Corrected { of: undone.id.clone(), because: "it was done".into() });
    let both = night(&form, &[a, b, undone, redo]);
    assert_eq!((done(&form, &both), both.machines["shake"].done[0].also.len()), (vec!["A".to_owned()], 1));
}

#[test]
fn a_clock_that_goes_back_does_not_turn_a_device_s_order() {
    let form = small();
    let night =
        night(&form, &[happened("aa", 2, 10, "B"), happened("aa", 1, 500, "A"), happened("bb", 1, 400, "C")]);
    assert_eq!(done(&form, &night), ["C", "A", "B"]);
}

#[test]
fn a_part_is_followed_from_hand_to_hand() {
    let form = small();
    let ring = |number| PartRef { part: "O-ring".into(), side: None, number };
    let seen = Fact::PartSeen { part: ring(Some(2)), slot: "B4".into() };
    let lost = Fact::PartMissing { part: ring(Some(1)), last_seen: None };
    let mut events = vec![
        event("aa", 1, 10, Fact::PartMoved { part: ring(None), to: Journey::Washed }),
        event("bb", 1, 20, seen),
        event("bb", 2, 30, lost),
    ];
    let night_then = night(&form, &events);
    let missing: Vec<_> = night_then.missing().collect();
    assert_eq!(missing.len(), 1);
    let (machine, part, now) = missing[0];
    assert_eq!((machine, part.number), ("shake", Some(1)));
    assert_eq!((now.last_seen.as_deref(), now.seen_by.as_deref()), (Some("washed"), Some("person of aa")));
    assert_eq!(night_then.parts["shake"][&ring(Some(2))].slot.as_deref(), Some("B4"));
    events.push(event("aa", 2, 40, Fact::PartFound { part: ring(Some(1)), place: "drain".into() }));
    assert_eq!(night(&form, &events).missing().count(), 0);
}

#[test]
fn people_and_timers() {
    let form = small();
    let timer = |device, order, at, seconds| {
        event(device, order, at, Fact::TimerStarted { timer: "dry".into(), seconds })
    };
    let events = vec![
        event("aa", 1, 0, Fact::PersonJoined { who: "Ana".into() }),
        event("aa", 2, 1, Fact::PersonJoined { who: "Leo".into() }),
        event("aa", 3, 2, Fact::PersonLeft { who: "Leo".into() }),
        timer("aa", 4, 1000, 60),
        timer("bb", 1, 2000, 30),
    ];
    let here = night(&form, &events);
    assert_eq!(here.present().collect::<Vec<_>>(), ["Ana"]);
    assert_eq!(here.timers.len(), 1);
    assert_eq!(here.timers[0].ends_ms - 1_764_100_000_000, 61_000, "the later end counts");
}

/// A walk of a random procedure by some devices, some moves forgotten, some twice, some wrong.
fn scripted(seed: u64) -> (Form, Vec<Event>) {
    let mut chance = Chance::new(seed);
    let size = kiosk::small(&mut chance);
    let form = kiosk::whole(seed, size);
    let mut state = State::start(&form);
    let (mut events, mut orders) = (Vec::new(), BTreeMap::new());
    for at in 0..40 {
        let open = state.open(&form);
        let wild = open.is_empty() || chance.percent(15);
        let id = if wild { chance.below(form.events.len()) } else { open[chance.below(open.len())] };
        if !wild {
            state = state.after(&form, id);
        }
        let device = ["aa", "bb", "cc"][chance.below(3)];
        let order = orders.entry(device).or_insert(0);
        *order += 1;
        let name = form.events[id].name.clone();
        // Clocks differ by up to three moves.
        let time = at * 100 + chance.below(300) as i64;
        let fact = match chance.below(20) {
            0 => Fact::Differed { event: Some(name), found: BTreeMap::new(), because: "so it was".into() },
            1 => Fact::Corrected {
                of: events.last().map_or(String::new(), |event: &Event| event.id.clone()),
                because: "a slip".into(),
            },
            _ => Fact::Happened { event: name },
        };
        events.push(event(device, *order, time, fact));
    }
    (form, events)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn arrival_and_repetition_change_nothing(
        seed in any::<u64>(), order in prop::collection::vec(any::<u32>(), 40), twice in prop::collection::vec(0usize..40, 0..20),
    ) {
        let (form, events) = scripted(seed);
        let expected = night(&form, &events);
        let mut arrived = events.clone();
        arrived.extend(twice.iter().filter_map(|&at| events.get(at).cloned()));
        let mut keyed: Vec<(u32, Event)> =
            arrived.into_iter().enumerate().map(|(at, event)| (order[at % 40].rotate_left(at as u32), event)).collect();
        keyed.sort_by_key(|(key, _)| *key);
        let arrived: Vec<Event> = keyed.into_iter().map(|(_, event)| event).collect();
        prop_assert_eq!(night(&form, &arrived), expected);
    }

    /// Whatever comes in: what counts as done is a walk that the form allows, but for what somebody said to differ;
    /// and every move is accounted for, as done, as also, as conflict or as corrected.
    #[test]
    fn what_is_done_is_a_walk_and_nothing_is_dropped(seed in any::<u64>()) {
        let (form, events) = scripted(seed);
        let night = night(&form, &events);
        let mine = &night.machines["shake"];
        let mut state = State::start(&form);
        for done in &mine.done {
            prop_assert!(done.anyway || state.may(&form, done.event).is_ok());
            state = state.after(&form, done.event);
        }
        prop_assert_eq!(&state, &mine.state);
        let told = mine.done.iter().map(|done| 1 + done.also.len()).sum::<usize>() + mine.conflicts.len();
        let corrected: std::collections::BTreeSet<&str> =
            night.corrections.iter().flat_map(|one| one.with.iter().chain([&one.of])).map(String::as_str).collect();
        let moves = events.iter().filter(|event| !matches!(event.fact, Fact::Corrected { .. }));
        prop_assert_eq!(told, moves.filter(|event| !corrected.contains(event.id.as_str())).count());
        // No conflict could happen now: it was tried again.
        for conflict in &mine.conflicts {
            let id = form.events.iter().position(|known| known.name == conflict.event).unwrap();
            prop_assert!(state.may(&form, id).is_err());
        }
    }
}
