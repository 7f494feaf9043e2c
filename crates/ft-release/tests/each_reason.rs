//! A good night and morning give a yes; each thing that is wrong gives a no for that reason alone, and says what would
//! turn it into a yes.

mod kit;

use ft_record::{Fact, Journey, SignedAs};
use ft_release::{Code, Settings, may_it_serve, text};
use kit::{ASKED_MIN, EVENING_MS, MINUTE_MS, Record, TANK, expected, limits, ring};

#[test]
fn a_good_night_and_morning_may_serve() {
    let decision = Record::good().decide();
    assert!(decision.may_serve, "{}", text(&decision, "en"));
    assert!(decision.reasons.is_empty());
    assert!(text(&decision, "es").contains("puede servir"));
    assert!(decision.caution["en"].contains("a person decides"));
}

/// A good record spoiled in one way, and the one reason that it must give.
fn cases() -> Vec<(&'static str, Record, Code)> {
    let good = Record::good;
    let with = |spoil: &dyn Fn(&mut Record)| {
        let mut record = good();
        spoil(&mut record);
        record
    };
    let part_fact = |to: Journey| Fact::PartMoved { part: ring(), to };
    vec![
        (
            "never opened",
            good().without(|event| event.run.as_deref() == Some("morning") || event.id == "morning"),
            Code::NoOpening,
        ),
        (
            "never closed",
            good().without(|event| event.run.as_deref() == Some("night") || event.id == "night"),
            Code::NoClosing,
        ),
        (
            "cleaned under a ring that was on",
            with(&|r| {
                // Told as it happened, out of its turn: once set aside, the danger still stands, and a lead judges both.
                let clean = r
                    .events
                    .iter_mut()
                    .find(|e| e.fact == Fact::Happened { event: "Clean barrel".into() })
                    .expect("it is there");
                clean.fact = Fact::Differed {
                    event: Some("Clean barrel".into()),
                    found: [].into(),
                    because: "in a hurry".into(),
                };
                clean.at_ms = EVENING_MS + 5 * MINUTE_MS;
                clean.device = "other".into();
            }),
            Code::Dangerous,
        ),
        ("a step told before what it waits for", good().without_step("Sanitise@end"), Code::OutOfOrder),
        (
            "closed since",
            with(&|r| {
                r.open("again", 620.0, "closing");
                for (minute, name) in [
                    (621.0, "Ring off"),
                    (621.1, "Wash"),
                    (621.2, "Rinse"),
                    (621.3, "Dip@start"),
                    (622.9, "Dip@end"),
                    (623.0, "Lay out"),
                    (624.0, "Clean barrel"),
                ] {
                    r.happened("again", minute, "Teo", name);
                }
                r.signed("again", 625.0, "Teo", SignedAs::Closer);
            }),
            Code::NoOpening,
        ),
        (
            "another machine file",
            with(&|r| {
                for event in &mut r.events {
                    if let Fact::RunOpened { machines, procedure, .. } = &mut event.fact
                        && procedure == "opening"
                    {
                        machines[0].file_sha256 = "0".repeat(64);
                    }
                }
            }),
            Code::FileChanged,
        ),
        ("a circuit's cleaning left out", good().without_step("Clean barrel"), Code::StepSkipped),
        ("the last step left out", good().without_step("Mix in"), Code::StepSkipped),
        (
            "mended in the wrong order",
            with(&|r| {
                // Laid out before the dip ended, and nobody settled it: what follows waits for it.
                let dip = r
                    .events
                    .iter()
                    .position(|e| e.fact == Fact::Happened { event: "Mix in".into() })
                    .expect("it is there");
                r.events[dip].at_ms = EVENING_MS + 575 * MINUTE_MS;
                r.events[dip].device = "other".into();
                let ended = r
                    .events
                    .iter()
                    .position(|e| e.fact == Fact::Happened { event: "Sanitise@end".into() })
                    .expect("it is there");
                r.events.remove(ended);
                r.add(
                    582.0,
                    "Wren",
                    Some("morning"),
                    Fact::Differed {
                        event: Some("Sanitise@end".into()),
                        found: [].into(),
                        because: "told late".into(),
                    },
                );
            }),
            Code::Differed,
        ),
        (
            "told differently",
            with(&|r| {
                r.add(
                    595.0,
                    "Wren",
                    Some("morning"),
                    Fact::Differed {
                        event: None,
                        found: [("cooling".into(), 1)].into(),
                        because: "it was on already".into(),
                    },
                );
            }),
            Code::Differed,
        ),
        (
            "the end is not right",
            with(&|r| {
                // Found off after all; the difference itself is set aside by the lead, the end cannot be.
                let id = r.add(
                    595.0,
                    "Wren",
                    Some("morning"),
                    Fact::Differed {
                        event: None,
                        found: [("cooling".into(), 0)].into(),
                        because: "it is off".into(),
                    },
                );
                r.machine(
                    596.0,
                    "Marisol",
                    Fact::Overridden { reason: format!("differed/opening: {id}"), because: "seen".into() },
                );
            }),
            Code::EndMissed,
        ),
        (
            "a part is missing",
            with(&|r| {
                r.add(30.0, "Teo", Some("night"), Fact::PartMissing { part: ring(), last_seen: None });
            }),
            Code::PartMissing,
        ),
        (
            "a small part is missing that no form knows",
            with(&|r| {
                let part = ft_record::PartRef { part: "pin".into(), side: None, number: Some(2) };
                r.machine(-900.0, "Teo", Fact::PartMissing { part, last_seen: Some("the sink".into()) });
            }),
            Code::PartMissing,
        ),
        (
            "a part fell on the floor after it was laid out",
            with(&|r| {
                r.add(60.0, "Teo", Some("night"), part_fact(Journey::Off));
            }),
            Code::JourneyIncomplete,
        ),
        (
            "a part was taken off again",
            with(&|r| {
                r.add(595.0, "Wren", Some("morning"), part_fact(Journey::LaidOut));
            }),
            Code::PartNotFitted,
        ),
        (
            "a part is bad",
            with(&|r| {
                r.add(
                    595.0,
                    "Wren",
                    Some("morning"),
                    Fact::PartInspected { part: ring(), good: false, lubricated: true, note: None },
                );
            }),
            Code::PartBad,
        ),
        (
            "a part is dry",
            with(&|r| {
                r.add(
                    595.0,
                    "Wren",
                    Some("morning"),
                    Fact::PartInspected { part: ring(), good: true, lubricated: false, note: None },
                );
            }),
            Code::NotLubricated,
        ),
        (
            "a part is past its life",
            with(&|r| {
                r.events.retain(|event| !matches!(event.fact, Fact::PartInspected { .. }));
                r.machine(
                    -31.0 * 1440.0,
                    "Teo",
                    Fact::PartReplaced { part: ring(), failed: false, supplier_lot: None },
                );
            }),
            Code::PastLife,
        ),
        (
            "a dip was too short",
            with(&|r| {
                let dip = r
                    .events
                    .iter_mut()
                    .find(|e| e.fact == Fact::Happened { event: "Dip@end".into() })
                    .expect("it is there");
                dip.at_ms = EVENING_MS + 23 * MINUTE_MS + 59_000;
            }),
            Code::ContactShort,
        ),
        (
            "the strip was too weak",
            with(&|r| {
                r.reading("morning", 581.5, "Sanitiser strength", 90.0, "mg/L");
            }),
            Code::ReadingFailed,
        ),
        (
            "the strip was too weak when the step ended, and good later",
            with(&|r| {
                r.reading("morning", 581.5, "Sanitiser strength", 90.0, "mg/L");
                r.reading("morning", 586.0, "Sanitiser strength", 150.0, "mg/L");
            }),
            Code::ReadingFailed,
        ),
        (
            "a reading in a unit of another kind",
            with(&|r| {
                r.reading("morning", 589.5, "Temperature of the mix", 3.0, "mg/L");
            }),
            Code::ReadingFailed,
        ),
        (
            "a reading that no step asks for is bad",
            with(&|r| {
                r.add(
                    26.0,
                    "Teo",
                    Some("night"),
                    Fact::Reading {
                        of: "dip sink".into(),
                        value: 20.0,
                        unit: "mg/L".into(),
                        within: Some("50..100 mg/L".into()),
                        good: Some(true),
                        source: ft_record::ReadingSource::Hand,
                    },
                );
            }),
            Code::ReadingFailed,
        ),
        (
            "nothing was measured",
            good().without(|e| matches!(&e.fact, Fact::Reading { of, .. } if of == "Sanitiser strength")),
            Code::ReadingMissing,
        ),
        (
            "the mix was too warm",
            with(&|r| {
                r.reading("morning", 589.5, "Temperature of the mix", 5.0, "°C");
            }),
            Code::ReadingFailed,
        ),
        (
            "the hopper is too warm",
            with(&|r| {
                probe(r, 629.0, 41.1, "°F");
            }),
            Code::TooWarm,
        ),
        (
            "the probe is silent",
            with(&|r| {
                r.events.retain(|e| !matches!(&e.fact, Fact::Reading { of, .. } if of == TANK));
                probe(r, 590.0, 3.0, "°C");
            }),
            Code::TemperatureUnknown,
        ),
        (
            "an expired lot",
            with(&|r| {
                r.lot("B", 500.0, Some("2026-06-01"));
                r.machine(591.0, "Wren", Fact::Blended { from: "B".into(), into: TANK.into(), litres: 0.01 });
            }),
            Code::LotExpired,
        ),
        (
            "a lot that was opened eight days ago",
            with(&|r| {
                r.lot("B", -8.0 * 1440.0, Some("2026-06-30"));
                r.machine(591.0, "Wren", Fact::Blended { from: "B".into(), into: TANK.into(), litres: 1.0 });
            }),
            Code::LotExpired,
        ),
        (
            "a recalled lot",
            with(&|r| {
                r.add(
                    620.0,
                    "Marisol",
                    None,
                    Fact::Recalled { lot: "A".into(), because: "maker's call".into() },
                );
            }),
            Code::LotExpired,
        ),
        (
            "product of unknown origin",
            with(&|r| {
                r.machine(
                    591.0,
                    "Wren",
                    Fact::Blended { from: "a jug".into(), into: TANK.into(), litres: 1.0 },
                );
            }),
            Code::LotExpired,
        ),
        ("no lot was told", good().without(|e| matches!(e.fact, Fact::Blended { .. })), Code::LotsUntold),
        (
            "a fault is open",
            with(&|r| {
                r.machine(-60.0, "Teo", Fact::FaultOpened { text: "the door hinge is loose".into() });
            }),
            Code::FaultOpen,
        ),
        (
            "somebody who may not do it alone",
            with(&|r| {
                person(r, "Clean barrel", Some("Wren"));
            }),
            Code::NotAllowed,
        ),
        (
            "nobody was signed in",
            with(&|r| {
                person(r, "Clean barrel", None);
            }),
            Code::NotAllowed,
        ),
        (
            "nobody signed the closing",
            good().without(|e| e.fact == Fact::Signed { r#as: SignedAs::Closer }),
            Code::NotSigned,
        ),
        (
            "signed by who may not",
            with(&|r| {
                let signed = r
                    .events
                    .iter_mut()
                    .find(|e| e.fact == Fact::Signed { r#as: SignedAs::Opener })
                    .expect("it is there");
                signed.person = Some("Teo".into());
            }),
            Code::NotSigned,
        ),
    ]
}

fn probe(record: &mut Record, minute: f64, value: f64, unit: &str) {
    let source = ft_record::ReadingSource::Probe;
    let fact = Fact::Reading { of: TANK.into(), value, unit: unit.into(), within: None, good: None, source };
    record.machine(minute, "", fact);
}

fn person(record: &mut Record, step: &str, who: Option<&str>) {
    let event = record
        .events
        .iter_mut()
        .find(|e| e.fact == Fact::Happened { event: step.into() })
        .expect("it is there");
    event.person = who.map(str::to_owned);
}

#[test]
fn each_single_reason_is_a_no() {
    for (name, record, code) in cases() {
        let decision = record.decide();
        let told = text(&decision, "en");
        assert!(!decision.may_serve, "{name}: {told}");
        let standing: Vec<Code> = decision.standing().map(|reason| reason.code).collect();
        assert!(standing.iter().all(|other| *other == code || follows(code, *other)), "{name}: {told}");
        assert!(standing.contains(&code), "{name}: {told}");
        for reason in &decision.reasons {
            for words in [&reason.sentence, &reason.yes_when] {
                assert!(words["en"].len() > 10 && words["es"].len() > 10, "{name}: {words:?}");
                assert_ne!(words["en"], words["es"], "{name}");
            }
            assert_eq!(reason.key, format!("{}/{}", reason.code.word(), reason.subject));
        }
        serde_json::to_string(&decision).expect("a decision is plain data");
    }
}

/// What cannot be wrong alone: a step that is left out leaves its part or circuit behind as well.
fn follows(code: Code, other: Code) -> bool {
    match code {
        Code::StepSkipped => {
            matches!(other, Code::JourneyIncomplete | Code::NotSanitised | Code::EndMissed)
        }
        Code::Dangerous => other == Code::Differed,
        Code::OutOfOrder => matches!(other, Code::StepSkipped | Code::NotSanitised),
        _ => false,
    }
}

#[test]
fn every_code_has_a_case() {
    let covered: std::collections::BTreeSet<Code> = cases().into_iter().map(|(.., code)| code).collect();
    let apart = [Code::NotSanitised, Code::SanitisedTooEarly];
    let missed: Vec<Code> =
        Code::ALL.into_iter().filter(|code| !covered.contains(code) && !apart.contains(code)).collect();
    assert_eq!(missed, [], "these two have tests of their own: {apart:?}");
}

#[test]
fn a_circuit_that_nobody_sanitised_is_a_no() {
    let mut expected = expected();
    for event in expected.closing.form.events.iter_mut().chain(&mut expected.opening.form.events) {
        event.eff.retain(|effect| effect.var != 1);
    }
    expected.closing.form.goal.retain(|goal| goal.var != 1);
    let morning = Record::good().morning();
    let at_ms = EVENING_MS + (ASKED_MIN * MINUTE_MS as f64) as i64;
    let decision = may_it_serve(&morning, &expected, &limits(), &Settings::default(), at_ms);
    let codes: Vec<Code> = decision.reasons.iter().map(|reason| reason.code).collect();
    assert_eq!(codes, [Code::NotSanitised]);
}

#[test]
fn a_lead_may_set_some_aside_and_nobody_others() {
    for (name, mut record, code) in cases() {
        let before = record.decide();
        record.override_all(629.0, "Teo", &before);
        assert!(!record.decide().may_serve, "{name}: a closer may not");
        record.override_all(629.5, "Marisol", &before);
        let after = record.decide();
        assert_eq!(after.may_serve, code.may_be_overridden(), "{name}: {}", text(&after, "en"));
        if after.may_serve {
            let by = after.reasons[0].overridden.as_ref().expect("it was set aside, visibly");
            assert_eq!((by.by.as_str(), by.because.as_str()), ("Marisol", "looked at by me"));
        }
    }
}

#[test]
fn an_override_covers_neither_what_comes_later_nor_another_night() {
    let mut record = Record::good();
    let fault = record.machine(-60.0, "Teo", Fact::FaultOpened { text: "a rattle".into() });
    let aside = |record: &mut Record, minute: f64| {
        let reason = format!("fault-open/{fault}");
        record.machine(minute, "Marisol", Fact::Overridden { reason, because: "it is the lid".into() });
    };
    let mut early = record.clone();
    aside(&mut early, 300.0);
    assert!(!early.decide().may_serve, "before the opening began it was another day's decision");
    aside(&mut record, 620.0);
    assert!(record.decide().may_serve);
    record.machine(621.0, "Teo", Fact::FaultOpened { text: "another rattle".into() });
    assert!(!record.decide().may_serve);
    let mut empty = Record::good();
    empty.machine(-60.0, "Teo", Fact::FaultOpened { text: "a rattle".into() });
    let reason = empty.decide().reasons[0].key.clone();
    empty.machine(620.0, "Marisol", Fact::Overridden { reason, because: "  ".into() });
    assert!(!empty.decide().may_serve, "without a reason it is no decision");
}

#[test]
fn what_would_turn_it_into_a_yes_does() {
    let mut record = Record::good();
    let fault = record.machine(-60.0, "Teo", Fact::FaultOpened { text: "a rattle".into() });
    record.add(30.0, "Teo", Some("night"), Fact::PartMissing { part: ring(), last_seen: None });
    assert_eq!(record.decide().reasons.len(), 2);
    record.machine(610.0, "Wren", Fact::FaultClosed { of: fault, text: "tightened".into() });
    record.machine(611.0, "Wren", Fact::PartFound { part: ring(), place: "under the sink".into() });
    assert!(record.decide().may_serve);
}

#[test]
fn a_watcher_who_may_makes_a_step_allowed() {
    let mut record = Record::good();
    person(&mut record, "Clean barrel", Some("Wren"));
    record.signed("night", 45.0, "Wren", SignedAs::Watcher);
    assert!(!record.decide().may_serve, "nobody watches themselves");
    record.signed("night", 45.0, "Teo", SignedAs::Watcher);
    assert!(record.decide().may_serve);
}

#[test]
fn circuits_have_a_window_that_the_release_meets_for_good() {
    let record = Record::good();
    let late = 582.0 + 24.0 * 60.0 + 1.0;
    let only = |record: &Record, minute: f64| -> Vec<Code> {
        let decision = record.decide_at(minute);
        decision
            .reasons
            .iter()
            .map(|reason| reason.code)
            .filter(|code| *code != Code::TemperatureUnknown)
            .collect()
    };
    assert_eq!(only(&record, late), [Code::SanitisedTooEarly]);
    let mut released = record.clone();
    released.machine(ASKED_MIN, "Marisol", Fact::Released { of_run: "morning".into() });
    assert_eq!(only(&released, late), []);
}

#[test]
fn an_empty_record_is_a_no() {
    let at_ms = EVENING_MS;
    let nothing = ft_release::Morning::new();
    let decision = may_it_serve(&nothing, &expected(), &limits(), &Settings::default(), at_ms);
    assert!(!decision.may_serve);
    let codes: Vec<Code> = decision.reasons.iter().map(|reason| reason.code).collect();
    assert!(codes.contains(&Code::NoClosing) && codes.contains(&Code::NoOpening), "{codes:?}");
}

#[test]
fn limits_are_read_as_people_write_them_and_compared_in_their_unit() {
    use ft_release::Limit;
    let holds = |limit: &str, value: f64, unit: &str| Limit::read(limit).and_then(|l| l.holds(value, unit));
    assert_eq!(holds("< 5 °C", 5.0, "°C"), Some(false));
    assert_eq!(holds("<= 41 °F", 5.0, "°C"), Some(true));
    assert_eq!(holds("< 41 °F", 4.9, "°C"), Some(true));
    assert_eq!(holds("100..200 mg/L", 200.0, "ppm"), Some(true));
    assert_eq!(holds("100..200 mg/L", 200.1, "ppm"), Some(false));
    assert_eq!(holds("28..34 mL", 30.0, "mL"), Some(true));
    assert_eq!(holds("28..34 mL", 30.0, "g"), None);
    assert_eq!(holds("-8..-4 °C", -5.0, "°C"), Some(true));
    assert_eq!(holds("-8..-4 °C", f64::NAN, "°C"), Some(false));
    assert_eq!(Limit::read("about right"), None);
}
