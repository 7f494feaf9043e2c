//! Events for tests, written shortly.

use ft_record::{Event, Fact, LotOrigin, OpenReason};

/// 2026-06-01 06:00 UTC, milliseconds.
pub const DAY_ONE_MS: i64 = 1_780_293_600_000;
pub const HOUR_MS: i64 = 3_600_000;

/// An event of number `order` at so many hours after [`DAY_ONE_MS`].
pub fn at(order: u64, hours: f64, fact: Fact) -> Event {
    Event {
        v: ft_record::VERSION,
        id: format!("e{order}"),
        device: "tablet".into(),
        order,
        at_ms: ms(hours),
        zone: "UTC".into(),
        person: Some("Marisol".into()),
        run: None,
        machine: None,
        fact,
    }
}

pub fn ms(hours: f64) -> i64 {
    DAY_ONE_MS + (hours * HOUR_MS as f64) as i64
}

#[allow(dead_code)]
pub fn received(lot: &str, litres: f64, use_by: Option<&str>) -> Fact {
    Fact::LotReceived {
        lot: lot.into(),
        product: "plain mix".into(),
        litres,
        origin: LotOrigin::Delivered,
        use_by: use_by.map(str::to_owned),
    }
}

#[allow(dead_code)]
pub fn can(lot: &str) -> Fact {
    Fact::LotReceived {
        lot: lot.into(),
        product: "rerun".into(),
        litres: 1.0,
        origin: LotOrigin::Rerun,
        use_by: None,
    }
}

#[allow(dead_code)]
pub fn opened(lot: &str) -> Fact {
    Fact::LotOpened { lot: lot.into(), reason: OpenReason::Pack }
}

pub fn blended(from: &str, into: &str, litres: f64) -> Fact {
    Fact::Blended { from: from.into(), into: into.into(), litres }
}

pub fn served(from: &str, litres: f64) -> Fact {
    Fact::Served { from: from.into(), litres }
}

#[allow(dead_code)]
pub fn away(lot: &str, litres: Option<f64>) -> Fact {
    Fact::Discarded { lot: lot.into(), litres, because: "test".into() }
}
