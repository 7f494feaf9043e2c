//! Recall of a lot after three nights of blending, on the page: the hours and shares, worked out by hand.
//!
//! A barrel is stirred: what is drawn has the shares of what is there.
//! Night 1: 8 L of L1 go in, 4 L are served (4.00 L of it L1), 4 L are kept in a can.
//! Night 2: the can (4 L, all L1) and 4 L of L2 go in: L1 is 1/2. 6 L are served (3.00 L), 2 L are kept (1 L of L1).
//! Night 3: the can (2 L, half L1) and 6 L of L3 go in: L1 is 1/8. 4 L are served (0.50 L); 4 L stay (0.50 L of L1).
//! In all 7.50 L of 10 L were served, in 14 L; 2 L were never opened, 0.50 L is in the barrel.

use std::collections::{BTreeMap, BTreeSet};

use ft_lots::{Books, GlassView, InventoryView, Limits, MarkDays, RerunHours, TraceView};
use ft_morning::{Place, Site};
use ft_pages::{Language, Page, Person, Shell};
use ft_record::{Event, Fact, LotOrigin, VERSION};
use jiff::tz::TimeZone;

const HOUR_MS: i64 = 3_600_000;
/// 2026-06-01 16:00 UTC.
const FIRST_MS: i64 = 1_780_329_600_000;
const BARREL: &str = "twist machine/barrel";

/// Events at hours after the first.
fn events(facts: Vec<(i64, Fact)>) -> Vec<Event> {
    let event = |(order, (hours, fact)): (usize, (i64, Fact))| Event {
        v: VERSION,
        id: format!("e{order}"),
        device: "tablet".into(),
        order: order as u64 + 1,
        at_ms: FIRST_MS + hours * HOUR_MS,
        zone: "UTC".into(),
        person: Some("Teo".into()),
        run: None,
        machine: None,
        fact,
    };
    facts.into_iter().enumerate().map(event).collect()
}

fn received(lot: &str, litres: f64, origin: LotOrigin) -> Fact {
    let use_by = (origin == LotOrigin::Delivered).then(|| "2026-06-30".to_owned());
    Fact::LotReceived { lot: lot.into(), product: "mix".into(), litres, origin, use_by }
}

fn blended(from: &str, into: &str, litres: f64) -> Fact {
    Fact::Blended { from: from.into(), into: into.into(), litres }
}

fn served(litres: f64) -> Fact {
    Fact::Served { from: BARREL.into(), litres }
}

fn three_nights() -> Books {
    let mut books = Books::new();
    let facts = vec![
        (0, received("L1", 10.0, LotOrigin::Delivered)),
        (1, blended("L1", BARREL, 8.0)),
        (5, served(4.0)),
        (6, received("R1", 4.0, LotOrigin::Rerun)),
        (6, blended(BARREL, "R1", 4.0)),
        (24, received("L2", 10.0, LotOrigin::Delivered)),
        (25, blended("R1", BARREL, 4.0)),
        (25, blended("L2", BARREL, 4.0)),
        (29, served(6.0)),
        (30, received("R2", 2.0, LotOrigin::Rerun)),
        (30, blended(BARREL, "R2", 2.0)),
        (48, received("L3", 6.0, LotOrigin::Delivered)),
        (49, blended("R2", BARREL, 2.0)),
        (49, blended("L3", BARREL, 6.0)),
        (53, served(4.0)),
        (60, Fact::Recalled { lot: "L1".into(), because: "the supplier rang".into() }),
    ];
    for event in &events(facts) {
        books.apply(event);
    }
    books
}

fn limits() -> Limits {
    Limits {
        mark: Some(MarkDays { days: 7, freezing_stops: false, decides: "a rule of this test".into() }),
        rerun: Some(RerunHours { hours: 24.0, decides: "a rule of this test".into() }),
        rerun_forbidden: None,
        freezers: BTreeSet::new(),
        zone: TimeZone::UTC,
        day_turns_h: 5,
    }
}

fn shell(language: Language) -> Shell {
    Shell {
        language,
        page: Page::Lots,
        machine: None,
        person: Some(Person { name: "Teo".into() }),
        pages: vec![Page::Lots],
        machines: Vec::new(),
        kitchen: "invented".into(),
    }
}

#[test]
fn recall_after_three_nights() {
    let books = three_nights();
    let view = TraceView::new(&books, "L1", &limits());
    let label = BTreeMap::from([("es".to_owned(), "máquina de dos sabores".to_owned())]);
    let machine = machine();
    for language in Language::ALL {
        let site = Site {
            language,
            zone: TimeZone::UTC,
            machines: vec![Place { name: "twist machine", label: &label, machine: &machine }],
        };
        let told = ft_morning::trace(&site, &view, &[], false);
        let rows: Vec<_> = told
            .served
            .iter()
            .map(|line| (line.night.as_str(), line.of.as_str(), line.litres.as_str(), line.share))
            .collect();
        assert_eq!(
            rows,
            [
                ("2026-06-01", "4.00 L", "4.00 L", 1.0),
                ("2026-06-02", "6.00 L", "3.00 L", 0.5),
                ("2026-06-03", "4.00 L", "0.50 L", 0.125),
            ]
        );
        let sums: Vec<&str> = told.sums.iter().map(|(_, sum)| sum.as_str()).collect();
        assert_eq!(sums, ["10.00 L", "7.50 L", "0.00 L", "2.50 L", "14.00 L"]);
        assert_eq!(told.hold_now.len(), 2);
        let page = ft_pages::trace(&shell(language), &told);
        // Between the serving before and this one.
        assert!(page.contains("2026-06-01 21:00 – 2026-06-02 21:00"), "the hours are said");
        assert!(page.contains("the supplier rang") && page.contains("0.50 L") && page.contains("2.00 L"));
        assert!(page.contains("<td class=\"number\">12 %</td>"), "an eighth, rounded to even");
    }
}

/// On the page of lots, what holds some of it has to go now, however little.
#[test]
fn what_holds_a_recalled_lot_has_to_go() {
    let books = three_nights();
    let at_ms = FIRST_MS + 61 * HOUR_MS;
    let inventory = InventoryView::new(&books, at_ms, &limits(), &BTreeMap::new());
    let label = BTreeMap::new();
    let machine = machine();
    let site = Site {
        language: Language::English,
        zone: TimeZone::UTC,
        machines: vec![Place { name: "twist machine", label: &label, machine: &machine }],
    };
    let view = ft_morning::lots(&site, &inventory, &BTreeMap::new(), (vec![], vec![]), (true, true));
    let due = |place: &str| view.held.iter().find(|held| held.place == place).map(|held| held.due);
    assert_eq!(due(BARREL), Some(ft_pages::Due::Now));
    assert_eq!(due("L1"), Some(ft_pages::Due::Now));
    assert_eq!(due("L2"), Some(ft_pages::Due::Later));
    let glass = ft_morning::glass(&site, &GlassView::new(&books, BARREL, FIRST_MS + 50 * HOUR_MS, &limits()));
    let shares: Vec<(&str, f64)> = glass.shares.iter().map(|one| (one.lot.as_str(), one.share)).collect();
    assert_eq!(shares, [("L3", 0.75), ("L1", 0.125), ("L2", 0.125)]);
}

/// The demo's machine file, for its vessels.
fn machine() -> ft_machine::Machine {
    let text = include_str!("../../../demo/twist.machine.kdl");
    let (file, problems) = ft_compile::read(text);
    assert!(!ft_compile::has_errors(&problems));
    file.machine.expect("a machine")
}
