//! Temperatures of where product was: a warm shelf shortens a date to the hour that the formula gives, a cold one
//! changes nothing, a gap is no good news, and nothing ever lengthens a date.

use std::collections::BTreeMap;

use ft_growth::{Advice, shipped};
use ft_lots::{Books, InventoryView, Limits, MarkDays};
use ft_morning::{Kept, Logs, kept, predicted};
use ft_record::{Event, Fact, LotOrigin, ReadingSource};
use jiff::tz::TimeZone;

/// 2026-06-01 06:00 UTC, milliseconds.
const BEGIN_MS: i64 = 1_780_293_600_000;
const HOUR_MS: f64 = 3_600_000.0;

fn ms(hours: f64) -> i64 {
    BEGIN_MS + (hours * HOUR_MS) as i64
}

fn event(order: u64, hours: f64, fact: Fact) -> Event {
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

/// A lot that was made at hour 0 and put somewhere, moved at given hours.
fn told(lot: &str, stays: &[(f64, &str)]) -> Vec<Event> {
    let made = Fact::LotReceived {
        lot: lot.into(),
        product: "plain mix".into(),
        litres: 5.0,
        origin: LotOrigin::Made,
        use_by: None,
    };
    let mut events = vec![event(1, 0.0, made)];
    for (order, (hours, place)) in (2..).zip(stays) {
        events.push(event(order, *hours, Fact::Stored { lot: lot.into(), place: (*place).into() }));
    }
    events
}

/// A probe that reads every ten minutes from one hour to another.
fn log(place: &str, from: f64, until: f64, value: f64, unit: &str) -> Vec<Event> {
    let count = ((until - from) * 6.0).round() as u64;
    let reading = |step: u64| {
        let fact = Fact::Reading {
            of: place.into(),
            value,
            unit: unit.into(),
            within: None,
            good: None,
            source: ReadingSource::Probe,
        };
        event(1000 + step, from + step as f64 / 6.0, fact)
    };
    (0..=count).map(reading).collect()
}

fn limits() -> Limits {
    Limits {
        mark: Some(MarkDays { days: 7, freezing_stops: false, decides: "test rule".into() }),
        rerun: None,
        rerun_forbidden: None,
        freezers: std::collections::BTreeSet::new(),
        zone: TimeZone::UTC,
        day_turns_h: 5,
    }
}

/// What is known of the lot at an hour, and its last day with and without it.
fn asked(events: &[Event], hours: f64) -> (Option<Kept>, String, String) {
    let (mut books, mut logs) = (Books::new(), Logs::default());
    for event in events {
        books.apply(event);
        logs.apply(event);
    }
    let plain = InventoryView::new(&books, ms(hours), &limits(), &BTreeMap::new());
    let all = kept(&books, &plain, &logs, &shipped());
    let short = InventoryView::new(&books, ms(hours), &limits(), &predicted(&all));
    let last = |view: &InventoryView| view.held[0].last_day.clone().expect("a day");
    (all.get("A").cloned(), last(&plain), last(&short))
}

/// Hand-computed from the lines of the data at 12 °C. The group of Bacillus cereus is the first to reach its alarm:
/// `√μ = 0.06659486 (12 − 4.3) = 0.51278`, `μ = 0.26294` a hour, one log10 after `ln 10 / μ = 8.757` h. Listeria:
/// `√μ = 0.027911 (12 + 1.6273) = 0.38035`, `μ = 0.14467` a hour, in 30 hours `30 μ / ln 10 = 1.8849` log10.
#[test]
fn a_warm_shelf_shortens_the_date_to_the_hour_of_the_formula() {
    let mut events = told("A", &[(0.0, "shelf")]);
    events.extend(log("shelf", 0.0, 30.0, 12.0, "°C"));
    let (kept, plain, short) = asked(&events, 30.0);
    let kept = kept.expect("the shelf is logged");
    let hours = (kept.discard_by_ms().expect("it has to go") - BEGIN_MS) as f64 / HOUR_MS;
    assert!((hours - 8.757).abs() < 0.001, "{hours}");
    let listeria = kept.report.growth.iter().find(|line| line.id == "listeria").expect("it is always shown");
    assert!((listeria.increase_log10 - 1.8849).abs() < 0.001, "{}", listeria.increase_log10);
    assert_eq!((plain.as_str(), short.as_str()), ("2026-06-07", "2026-06-01"));
    assert_eq!(kept.lot, ("A".to_owned(), 1.0));
}

#[test]
fn a_cold_room_adds_nothing_and_no_advice_lengthens_a_date() {
    let mut events = told("A", &[(0.0, "cold room")]);
    events.extend(log("cold room", 0.0, 20.0, 33.8, "°F"));
    let (kept, plain, short) = asked(&events, 20.0);
    let kept = kept.expect("it is logged");
    assert_eq!(kept.advice, Advice::NothingToAdd);
    assert!((kept.report.warmest_c - 1.0).abs() < 1e-9, "33.8 °F is 1 °C: {}", kept.report.warmest_c);
    assert_eq!(plain, short);
    // Ten days in the ice change nothing of its seven days.
    let mut events = told("A", &[(0.0, "ice")]);
    events.extend(log("ice", 0.0, 150.0, -20.0, "°C"));
    let (_, plain, short) = asked(&events, 150.0);
    assert_eq!((plain.as_str(), short.as_str()), ("2026-06-07", "2026-06-07"));
}

#[test]
fn a_gap_or_a_silent_probe_is_held_for_a_decision_and_no_log_is_no_answer() {
    let hold = |events: &[Event], hours: f64| {
        let (kept, ..) = asked(events, hours);
        matches!(kept.expect("it is logged").advice, Advice::HoldForDecision(_))
    };
    let mut gap = told("A", &[(0.0, "cold room")]);
    gap.extend(log("cold room", 0.0, 4.0, 1.0, "°C"));
    gap.extend(log("cold room", 6.0, 10.0, 1.0, "°C"));
    assert!(hold(&gap, 10.0), "two hours without a reading");
    let mut silent = told("A", &[(0.0, "cold room")]);
    silent.extend(log("cold room", 0.0, 4.0, 1.0, "°C"));
    assert!(!hold(&silent, 4.1));
    assert!(hold(&silent, 5.0), "nothing for the last hour");
    let dark = told("A", &[(0.0, "cellar")]);
    assert_eq!(asked(&dark, 5.0).0, None);
    // What somebody looked at by hand is no log.
    let mut by_hand = told("A", &[(0.0, "cold room")]);
    by_hand.extend(log("cold room", 0.0, 4.0, 1.0, "°C"));
    for event in &mut by_hand {
        if let Fact::Reading { source, .. } = &mut event.fact {
            *source = ReadingSource::Hand;
        }
    }
    assert_eq!(asked(&by_hand, 4.0).0, None);
}

#[test]
fn it_is_followed_from_place_to_place_and_what_was_not_logged_is_named() {
    let mut events = told("A", &[(0.0, "cold room"), (10.0, "shelf")]);
    events.extend(log("cold room", 0.0, 40.0, 1.0, "°C"));
    events.extend(log("shelf", 0.0, 40.0, 12.0, "°C"));
    let (kept, ..) = asked(&events, 40.0);
    let hours =
        (kept.expect("both are logged").discard_by_ms().expect("it has to go") - BEGIN_MS) as f64 / HOUR_MS;
    // Ten hours at 1 °C, below the least temperature of Bacillus cereus, then 8.757 h on the shelf. Between the last
    // reading before and the first after, ten minutes, a straight line from 1 to 12 °C: above 4.3 °C for 7 minutes,
    // whose squares come to a third of as long at 12 °C, 0.039 h less.
    assert!((hours - 18.718).abs() < 0.001, "{hours}");
    let mut events = told("A", &[(0.0, "cold room"), (10.0, "cellar")]);
    events.extend(log("cold room", 0.0, 40.0, 1.0, "°C"));
    let (kept, ..) = asked(&events, 12.0);
    let kept = kept.expect("the cold room is logged");
    assert_eq!(kept.unlogged, ["cellar"]);
    assert!((kept.report.hours - 10.0).abs() < 1e-9, "the cold room's log after it left says nothing of it");
}
