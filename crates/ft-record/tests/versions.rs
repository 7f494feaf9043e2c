//! Events of every version are read for ever: the fixtures are never changed, only added to.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use ft_record::{Event, Fact, VERSION, read_event};

const V0: &str = include_str!("fixtures/v0.jsonl");
const V1: &str = include_str!("fixtures/v1.jsonl");

/// The kinds of facts of version 1: as many as the fixtures hold, each at least once.
const KINDS: usize = 39;

#[test]
fn version_1_is_read_and_written_as_it_stands() {
    let mut kinds = BTreeSet::new();
    for line in V1.lines() {
        let event = read_event(line).unwrap();
        assert_eq!(serde_json::to_string(&event).unwrap(), line, "what is of today is written as it was");
        kinds.insert(kind(&event));
    }
    assert_eq!(kinds.len(), KINDS, "{kinds:?}");
}

#[test]
fn version_0_is_lifted() {
    let events: Vec<Event> = V0.lines().map(|line| read_event(line).unwrap()).collect();
    assert!(events.iter().all(|event| event.v == VERSION));
    assert_eq!(events[0].fact, Fact::Happened { event: "Flush.left@start".into() });
    assert_eq!(events[1].fact, Fact::Happened { event: "Flush.left@end".into() });
    let Fact::Reading { value, unit, .. } = &events[2].fact else { panic!() };
    assert_eq!((*value, unit.as_str()), (3.5, "°C"));
    assert_eq!((events[0].zone.as_str(), events[3].zone.as_str()), ("UTC", "Europe/Madrid"));
}

#[test]
fn what_is_newer_or_nothing_says_so() {
    let newer = V1.lines().next().unwrap().replacen("\"v\":1", "\"v\":2", 1);
    assert!(read_event(&newer).unwrap_err().to_string().contains("version 2"));
    let unknown = V1.lines().next().unwrap().replacen("\"v\":1", "\"v\":1,\"mood\":\"good\"", 1);
    assert!(read_event(&unknown).unwrap_err().to_string().contains("mood"));
    for text in ["", "[]", "{}", "null", "{\"v\":-1}", "{\"v\":0,\"fact\":{\"what\":\"step-began\"}}"] {
        assert!(read_event(text).is_err(), "{text}");
    }
}

/// The name of a kind, as it is written; a new kind does not compile here until somebody adds its fixture.
fn kind(event: &Event) -> String {
    let name = serde_json::to_value(&event.fact).unwrap()["what"].as_str().unwrap().to_owned();
    match &event.fact {
        Fact::RunOpened { .. }
        | Fact::Happened { .. }
        | Fact::Differed { .. }
        | Fact::Corrected { .. }
        | Fact::TimerStarted { .. }
        | Fact::TimerStopped { .. }
        | Fact::PersonJoined { .. }
        | Fact::PersonLeft { .. }
        | Fact::Signed { .. }
        | Fact::PartSeen { .. }
        | Fact::PartMoved { .. }
        | Fact::PartMissing { .. }
        | Fact::PartFound { .. }
        | Fact::PartInspected { .. }
        | Fact::PartReplaced { .. }
        | Fact::Reading { .. }
        | Fact::ProbeWatched { .. }
        | Fact::AlarmRaised { .. }
        | Fact::AlarmEnded { .. }
        | Fact::AlarmAcknowledged { .. }
        | Fact::Note { .. }
        | Fact::Photo { .. }
        | Fact::FaultOpened { .. }
        | Fact::FaultClosed { .. }
        | Fact::LotReceived { .. }
        | Fact::LotOpened { .. }
        | Fact::Blended { .. }
        | Fact::Served { .. }
        | Fact::Stored { .. }
        | Fact::Discarded { .. }
        | Fact::Recalled { .. }
        | Fact::Released { .. }
        | Fact::Refused { .. }
        | Fact::Overridden { .. }
        | Fact::PersonAdded { .. }
        | Fact::RolesChanged { .. }
        | Fact::Trained { .. }
        | Fact::Practised { .. }
        | Fact::LengthsErased { .. } => name,
    }
}
