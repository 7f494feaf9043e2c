//! What the tests of the record share.
#![allow(clippy::unwrap_used, dead_code)]

use ft_record::{Event, Fact, GENESIS, Stored, VERSION, uuid7};

pub const RUN: &str = "018f0000-0000-7000-8000-000000000000";

/// The event of a device by its count, at a time in milliseconds after a night's beginning.
pub fn event(device: &str, order: u64, at: i64, fact: Fact) -> Event {
    let mut random = [0; 10];
    random[..2].copy_from_slice(device.as_bytes().get(..2).unwrap_or(&[device.as_bytes()[0]; 2]));
    random[2..].copy_from_slice(&order.to_be_bytes());
    let at_ms = 1_764_100_000_000 + at;
    Event {
        v: VERSION,
        id: uuid7(u64::try_from(at_ms).unwrap(), random),
        device: device.to_owned(),
        order,
        at_ms,
        zone: "Atlantic/Canary".to_owned(),
        person: Some(format!("person of {device}")),
        run: Some(RUN.to_owned()),
        machine: Some("shake".to_owned()),
        fact,
    }
}

pub fn happened(device: &str, order: u64, at: i64, name: &str) -> Event {
    event(device, order, at, Fact::Happened { event: name.to_owned() })
}

/// The events in a chain, in this order.
pub fn stored(events: &[Event]) -> Vec<Stored> {
    let mut prev = GENESIS;
    let chain = events.iter().zip(1..).map(|(event, seq)| {
        let stored = Stored::link(prev, seq, 1_764_100_000_000, event.clone());
        prev = stored.hash;
        stored
    });
    chain.collect()
}
