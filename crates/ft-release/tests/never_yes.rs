//! No sequence of events with a missing part, a skipped stage, a failed reading or an expired lot ever gives a yes,
//! also with every override in it; and adding an unresolved problem never turns a no into a yes.

mod kit;

use std::collections::BTreeSet;

use ft_record::{Event, Fact, Journey, PartRef, ReadingSource, Role, SignedAs, Training};
use ft_release::text;
use kit::{Record, TANK, expected, ring};
use proptest::prelude::*;

const WHO: [&str; 5] = ["Marisol", "Teo", "Wren", "Nobody", ""];
const STEPS: [&str; 11] = [
    "Ring off",
    "Wash",
    "Rinse",
    "Dip@start",
    "Dip@end",
    "Lay out",
    "Clean barrel",
    "Fit ring",
    "Sanitise@start",
    "Sanitise@end",
    "Mix in",
];

/// What must never give a yes.
#[derive(Debug, Clone)]
enum Problem {
    Missing(Option<u32>, f64),
    Skipped(usize),
    Failed(f64, f64),
    Expired(f64, f64),
}

fn problem() -> impl Strategy<Value = Problem> {
    prop_oneof![
        (prop::option::of(1..4u32), -3000.0..629.0).prop_map(|(number, at)| Problem::Missing(number, at)),
        (0..STEPS.len()).prop_map(Problem::Skipped),
        (prop_oneof![0.0..99.9, 200.1..900.0], 581.1..629.0)
            .prop_map(|(value, at)| Problem::Failed(value, at)),
        (0.001..2.0, 580.0..629.0).prop_map(|(litres, at)| Problem::Expired(litres, at)),
    ]
}

impl Problem {
    /// Puts the problem into a record; gives the id of the event that must stay.
    fn put(&self, record: &mut Record) -> Option<String> {
        match self {
            Self::Missing(number, at) => {
                let part = PartRef { number: *number, ..ring() };
                Some(record.machine(*at, "Teo", Fact::PartMissing { part, last_seen: None }))
            }
            Self::Skipped(step) => {
                let name = STEPS[*step];
                record.events.retain(|event| event.fact != Fact::Happened { event: name.into() });
                None
            }
            Self::Failed(value, at) => {
                Some(record.reading("morning", *at, "Sanitiser strength", *value, "mg/L"))
            }
            Self::Expired(litres, at) => {
                record.lot("old", 100.0, Some("2026-05-31"));
                let fact = Fact::Blended { from: "old".into(), into: TANK.into(), litres: *litres };
                Some(record.machine(*at, "Wren", fact))
            }
        }
    }

    /// Whether an event would truly mend it: then it is no longer a problem, and stays out of the noise.
    fn is_mended_by(&self, fact: &Fact) -> bool {
        match (self, fact) {
            (Self::Missing(..), Fact::PartFound { .. } | Fact::PartReplaced { .. }) => true,
            (Self::Skipped(step), Fact::Happened { event }) => event == STEPS[*step],
            (Self::Skipped(step), Fact::Differed { event, .. }) => event.as_deref() == Some(STEPS[*step]),
            (Self::Failed(..), Fact::Reading { of, .. }) => of == "Sanitiser strength",
            (Self::Expired(..), Fact::Discarded { lot, .. }) => lot == TANK,
            _ => false,
        }
    }
}

fn part() -> impl Strategy<Value = PartRef> {
    prop::option::of(1..4u32).prop_map(|number| PartRef { number, ..ring() })
}

fn fact() -> impl Strategy<Value = Fact> {
    let steps = prop::sample::select(STEPS.to_vec());
    let journeys = prop::sample::select(vec![
        Journey::Off,
        Journey::Washed,
        Journey::Rinsed,
        Journey::Sanitised,
        Journey::LaidOut,
        Journey::Fitted,
    ]);
    let roles = prop::sample::subsequence(vec![Role::Closer, Role::Opener, Role::Trainer], 0..3);
    let keys = prop::sample::select(vec![
        "part-missing/door ring",
        "lot-expired/twist/hopper: old",
        "reading-failed/opening: Sanitiser strength",
        "step-skipped/closing: Clean barrel",
        "lots-untold/twist/hopper",
        "everything",
        "",
    ]);
    let places = prop::sample::select(vec!["A", "old", "B", TANK, "can"]);
    let events = prop_oneof![(1..25u64).prop_map(|n| format!("e{n}")), Just("morning".to_owned())];
    prop_oneof![
        steps.clone().prop_map(|event| Fact::Happened { event: event.into() }),
        (prop::option::of(steps), 0..7i32).prop_map(|(event, ring)| Fact::Differed {
            event: event.map(str::to_owned),
            found: [("ring".to_owned(), ring)].into(),
            because: "seen".into(),
        }),
        events.prop_map(|of| Fact::Corrected { of, because: "a slip".into() }),
        prop::sample::select(vec![SignedAs::Closer, SignedAs::Opener, SignedAs::Lead, SignedAs::Watcher])
            .prop_map(|r#as| Fact::Signed { r#as }),
        (part(), journeys).prop_map(|(part, to)| Fact::PartMoved { part, to }),
        part().prop_map(|part| Fact::PartMissing { part, last_seen: None }),
        part().prop_map(|part| Fact::PartFound { part, place: "sink".into() }),
        (part(), any::<bool>(), any::<bool>()).prop_map(|(part, good, lubricated)| Fact::PartInspected {
            part,
            good,
            lubricated,
            note: None
        }),
        part().prop_map(|part| Fact::PartReplaced { part, failed: false, supplier_lot: None }),
        (
            prop::sample::select(vec!["Sanitiser strength", "Temperature of the mix", TANK, "sink"]),
            0.0..300.0,
            any::<bool>()
        )
            .prop_map(|(of, value, good)| Fact::Reading {
                of: of.into(),
                value,
                unit: if of.starts_with("San") { "mg/L".into() } else { "°C".into() },
                within: None,
                good: Some(good),
                source: ReadingSource::Hand,
            }),
        Just(Fact::FaultOpened { text: "a rattle".into() }),
        (places.clone(), places.clone(), 0.001..0.2).prop_map(|(from, into, litres)| Fact::Blended {
            from: from.into(),
            into: into.into(),
            litres,
        }),
        (places.clone(), 0.001..0.1).prop_map(|(from, litres)| Fact::Served { from: from.into(), litres }),
        places.prop_map(|lot| Fact::Discarded { lot: lot.into(), litres: None, because: "old".into() }),
        Just(Fact::Released { of_run: "morning".into() }),
        keys.prop_map(|reason| Fact::Overridden { reason: reason.into(), because: "I say so".into() }),
        roles.prop_map(|roles| Fact::RolesChanged { who: "Wren".into(), roles }),
        Just(Fact::Trained { who: "Teo".into(), skill: "barrels".into(), how: Training::Withdrawn }),
        Just(Fact::Note { text: "quiet night".into() }),
    ]
}

/// A fact, when, by whom, in which run.
type Noise = (Fact, f64, usize, usize);

fn noise(most: usize) -> impl Strategy<Value = Vec<Noise>> {
    prop::collection::vec((fact(), -3000.0..629.0, 0..WHO.len(), 0..3usize), 0..most)
}

fn add(record: &mut Record, (fact, minute, who, run): &Noise) {
    let run = [None, Some("night"), Some("morning")][*run];
    record.add(*minute, WHO[*who], run, fact.clone());
    record.events.last_mut().expect("it was just added").machine = Some(kit::MACHINE.into());
}

/// Every reason set aside by the lead, twice: the second time with what the first one changed.
fn set_all_aside(record: &mut Record) {
    for minute in [629.3, 629.6] {
        let decision = record.decide();
        record.override_all(minute, "Marisol", &decision);
    }
}

/// Events in another order of arrival.
fn shuffled(record: &Record, keys: &[u32]) -> Record {
    let mut keyed: Vec<(u32, Event)> =
        record.events.iter().cloned().enumerate().map(|(i, e)| (keys[i % keys.len()], e)).collect();
    keyed.sort_by_key(|(key, _)| *key);
    Record { events: keyed.into_iter().map(|(_, event)| event).collect() }
}

/// How many records each property sees; `PROPTEST_CASES` asks for more.
fn cases() -> u32 {
    std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(400)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_must_never_serve_never_serves(
        problem in problem(),
        noise in noise(25),
        keys in prop::collection::vec(any::<u32>(), 97),
    ) {
        let mut record = Record::good();
        let stays = problem.put(&mut record);
        for one in noise {
            let corrects = |of: &str| Some(of) == stays.as_deref() || (stays.is_none() && of == "morning");
            let is_correction = matches!(&one.0, Fact::Corrected { of, .. } if corrects(of));
            if !problem.is_mended_by(&one.0) && !is_correction {
                add(&mut record, &one);
            }
        }
        set_all_aside(&mut record);
        prop_assert!(!record.decide().may_serve, "{problem:?}");
        let late = shuffled(&record, &keys).decide();
        prop_assert!(!late.may_serve, "{problem:?}: {}", text(&late, "en"));
    }

    /// A yes means that nothing of the four is wrong, as told by the plainest reading of the record.
    #[test]
    fn a_yes_has_nothing_wrong(noise in noise(6), left_out in prop::option::weighted(0.3, 0..40usize)) {
        let mut record = Record::good();
        if let Some(index) = left_out.filter(|index| *index < record.events.len()) {
            record.events.remove(index);
        }
        for one in &noise {
            add(&mut record, one);
        }
        set_all_aside(&mut record);
        if record.decide().may_serve {
            plainly_right(&record)?;
        }
    }

    #[test]
    fn a_problem_never_turns_a_no_into_a_yes(noise in noise(8), problem in problem(), fault in any::<bool>()) {
        let mut record = Record::good();
        // A step that is told twice, once as it did not go, is a no; leaving one of the two out is no problem.
        for one in noise.iter().filter(|one| !problem.is_mended_by(&one.0)) {
            add(&mut record, one);
        }
        set_all_aside(&mut record);
        let before = record.decide();
        let mut worse = record.clone();
        if fault {
            worse.machine(629.8, "Teo", Fact::FaultOpened { text: "a smell".into() });
        } else {
            problem.put(&mut worse);
        }
        let after = worse.decide();
        prop_assert!(before.may_serve || !after.may_serve);
        // Whatever stood before still stands, but for what the new event itself speaks of anew.
        if fault {
            for reason in before.standing() {
                prop_assert!(after.standing().any(|other| other.key == reason.key), "{}", reason.key);
            }
            prop_assert!(!after.may_serve);
        }
    }
}

/// The four things, read off the events without the fold.
fn plainly_right(record: &Record) -> Result<(), TestCaseError> {
    let corrected: BTreeSet<&String> = record
        .events
        .iter()
        .filter_map(|event| match &event.fact {
            Fact::Corrected { of, .. } => Some(of),
            _ => None,
        })
        .collect();
    let mut stands: Vec<&Event> =
        record.events.iter().filter(|event| !corrected.contains(&event.id)).collect();
    stands.sort_by_key(|event| event.at_ms);
    let work = expected();
    for (run, form) in [("night", &work.closing.form), ("morning", &work.opening.form)] {
        for step in &form.events {
            let is_told = stands.iter().any(|event| {
                event.run.as_deref() == Some(run)
                    && match &event.fact {
                        Fact::Happened { event } => *event == step.name,
                        Fact::Differed { event, .. } => event.as_ref() == Some(&step.name),
                        _ => false,
                    }
            });
            prop_assert!(is_told, "{} was skipped", step.name);
        }
    }
    for number in [None, Some(1), Some(2), Some(3)] {
        let of = |part: &PartRef| *part == PartRef { number, ..ring() };
        let last = stands.iter().rev().find_map(|event| match &event.fact {
            Fact::PartMissing { part, .. } if of(part) => Some(true),
            Fact::PartFound { part, .. } | Fact::PartReplaced { part, .. } if of(part) => Some(false),
            _ => None,
        });
        prop_assert_ne!(last, Some(true), "a part is missing");
    }
    let strength = stands.iter().rev().find_map(|event| match &event.fact {
        Fact::Reading { of, value, good, .. }
            if of == "Sanitiser strength" && event.run.as_deref() == Some("morning") =>
        {
            Some((*value, *good))
        }
        _ => None,
    });
    let (value, good) = strength.expect("a yes has a reading");
    prop_assert!((100.0..=200.0).contains(&value) && good != Some(false));
    // Nothing in date was ever told of the lots `old` and `B`: a yes has none of them in the hopper.
    let books = record.morning();
    let held = books.books().now().portions(TANK).map(|all| all.map(|p| p.lot.clone()).collect::<Vec<_>>());
    for lot in held.unwrap_or_default() {
        prop_assert_eq!(lot.as_str(), "A");
    }
    Ok(())
}

/// The property above is not empty: noise that harms nothing is a yes.
#[test]
fn harmless_noise_is_a_yes() {
    let mut record = Record::good();
    record.machine(100.0, "Teo", Fact::Note { text: "quiet night".into() });
    record.add(24.0, "Teo", Some("night"), Fact::PartMoved { part: ring(), to: Journey::Sanitised });
    record.add(610.0, "Wren", Some("morning"), Fact::Happened { event: "Mix in".into() });
    assert!(record.decide().may_serve, "{}", text(&record.decide(), "en"));
}
