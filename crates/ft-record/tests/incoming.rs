//! What a device may send.
#![allow(clippy::unwrap_used)]

mod common;

use common::{event, happened};
use ft_record::incoming::{Known, SENTENCES, check};
use ft_record::{Event, Fact};

#[test]
fn every_reason_to_refuse() {
    let known = Known { machines: ["shake".to_owned()].into() };
    assert_eq!(check(&happened("aa", 1, 0, "A"), &known), Ok(()));
    let wrong = |change: fn(&mut Event)| {
        let mut event = happened("aa", 1, 0, "A");
        change(&mut event);
        let refusal = check(&event, &known).unwrap_err();
        for language in ["en", "es"] {
            let sentence = refusal.sentence(language);
            assert!(
                sentence.ends_with('.') && sentence.len() < 260 && !sentence.contains("{}"),
                "{sentence}"
            );
        }
        refusal.code
    };
    assert_eq!(wrong(|event| event.v = 9), "E0001");
    assert_eq!(wrong(|event| event.id = "<script>".repeat(9000)), "E0002");
    assert_eq!(wrong(|event| event.id.make_ascii_uppercase()), "E0002");
    assert_eq!(wrong(|event| event.order = 0), "E0003");
    assert_eq!(wrong(|event| event.order = u64::MAX), "E0003");
    assert_eq!(wrong(|event| event.at_ms = 0), "E0004");
    assert_eq!(wrong(|event| event.zone = "'; DROP".into()), "E0014");
    assert_eq!(wrong(|event| event.device = String::new()), "E0006");
    assert_eq!(wrong(|event| event.person = Some("x".repeat(201))), "E0006");
    assert_eq!(wrong(|event| event.run = Some("tonight".into())), "E0015");
    assert_eq!(wrong(|event| event.machine = Some("oven".into())), "E0007");
    assert_eq!(wrong(|event| event.machine = None), "E0008");
    assert_eq!(wrong(|event| event.run = None), "E0008");
    assert_eq!(wrong(|event| event.fact = Fact::Note { text: "x".repeat(5000) }), "E0009");
    assert_eq!(wrong(|event| event.fact = Fact::Refused { reasons: vec!["x".repeat(99); 999] }), "E0009");
    assert_eq!(wrong(|event| event.fact = Fact::Corrected { of: "x".into(), because: " ".into() }), "E0010");
    assert_eq!(wrong(|event| event.fact = Fact::Photo { sha256: "AB".into(), media: "x".into() }), "E0011");
    assert_eq!(wrong(|event| event.fact = Fact::Served { from: "x".into(), litres: -1.0 }), "E0012");
    assert_eq!(wrong(|event| event.fact = Fact::Served { from: "x".into(), litres: f64::NAN }), "E0005");
    assert_eq!(
        wrong(|event| event.fact = Fact::TimerStarted { timer: "x".into(), seconds: u32::MAX }),
        "E0013"
    );
}

#[test]
fn a_part_is_looked_at_by_day_too() {
    let known = Known { machines: ["shake".to_owned()].into() };
    let part = ft_record::PartRef { part: "O-ring".into(), side: None, number: Some(1) };
    let fact = Fact::PartInspected { part, good: true, lubricated: true, note: None };
    let mut looked_at = event("aa", 1, 0, fact);
    looked_at.run = None;
    assert_eq!(check(&looked_at, &known), Ok(()));
    looked_at.machine = None;
    assert_eq!(check(&looked_at, &known).unwrap_err().code, "E0008");
}

/// Each sentence has the same blanks in each language, and as many as are filled.
#[test]
fn sentences_in_every_language() {
    let blanks = |text: &str| text.matches("{}").count();
    for sentence in SENTENCES {
        assert!(!sentence.spanish.is_empty() && sentence.english != sentence.spanish);
        assert_eq!(blanks(sentence.english), blanks(sentence.spanish), "{}", sentence.key);
    }
    assert!(SENTENCES.windows(2).all(|pair| pair[0].key < pair[1].key));
}

#[test]
fn ids_of_the_tests_are_ids() {
    assert!(ft_record::is_uuid7(&event("aa", 1, 0, Fact::Note { text: String::new() }).id));
}
