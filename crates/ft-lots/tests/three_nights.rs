//! Three nights of blending, worked out by hand.
//!
//! Night 1: 10 L of lot A are all that is in the hopper. 6 L are served. The 4 L that are left, all A, are kept in can
//! R1. Night 2: R1's 4 L and 6 L of lot B make 10 L: 40 % A, 60 % B. 5 L are served: 2 L of A and 3 L of B. The other
//! 5 L (2 A, 3 B) are kept in can R2. Night 3: R2's 5 L and 5 L of lot C make 10 L: 2 L of A, 3 of B, 5 of C. 4 L are
//! served: 0.8 A, 1.2 B, 2 C. The other 6 L (1.2 A, 1.8 B, 3 C) are thrown away.
//!
//! Of the 10 L of A: 6 + 2 + 0.8 = 8.8 L were served, 1.2 L thrown away. A was in 6 + 5 + 4 = 15 L that were served.

mod kit;

use ft_lots::{Books, Due, GlassView, InventoryView, Limits, MarkDays, TraceView};
use jiff::tz::TimeZone;
use kit::{at, away, blended, can, ms, opened, received, served};
use std::collections::BTreeMap;

const HOPPER: &str = "twist/hopper";

fn events() -> Vec<ft_record::Event> {
    let facts = [
        (0.0, received("A", 10.0, Some("2026-06-30"))),
        (1.0, opened("A")),
        (2.0, blended("A", HOPPER, 10.0)),
        (12.0, served(HOPPER, 4.0)),
        (14.0, served(HOPPER, 2.0)),
        (15.0, can("R1")),
        (15.0, blended(HOPPER, "R1", 4.0)),
        (24.0, received("B", 6.0, None)),
        (26.0, blended("R1", HOPPER, 4.0)),
        (26.1, blended("B", HOPPER, 6.0)),
        // Past midnight, which belongs to the evening before.
        (43.0, served(HOPPER, 5.0)),
        (44.0, can("R2")),
        (44.0, blended(HOPPER, "R2", 5.0)),
        (48.0, received("C", 5.0, None)),
        (50.0, blended("R2", HOPPER, 5.0)),
        (50.1, blended("C", HOPPER, 5.0)),
        (62.0, served(HOPPER, 4.0)),
        (63.0, away(HOPPER, None)),
    ];
    let numbered = facts.into_iter().enumerate();
    numbered.map(|(index, (hours, fact))| at(index as u64 + 1, hours, fact)).collect()
}

fn limits() -> Limits {
    Limits {
        mark: Some(MarkDays { days: 7, freezing_stops: false, decides: "test rule".into() }),
        rerun: None,
        rerun_forbidden: None,
        freezers: ["freezer".to_owned()].into(),
        zone: TimeZone::UTC,
        day_turns_h: 5,
    }
}

fn books() -> Books {
    let mut books = Books::new();
    for event in events() {
        books.apply(&event);
    }
    books
}

#[track_caller]
fn same(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-12, "{found}, expected {expected}");
}

fn shares(view: &GlassView) -> Vec<(&str, f64)> {
    view.contents.shares.iter().map(|share| (share.lot.as_str(), share.share)).collect()
}

#[test]
fn a_glass_is_traced_back_to_its_lots() {
    let books = books();
    for (hours, expected) in [
        (3.0, vec![("A", 1.0)]),
        (30.0, vec![("B", 0.6), ("A", 0.4)]),
        (55.0, vec![("C", 0.5), ("B", 0.3), ("A", 0.2)]),
        // After the serving the shares are the same; only the volume is less.
        (62.5, vec![("C", 0.5), ("B", 0.3), ("A", 0.2)]),
        (70.0, vec![]),
    ] {
        let view = GlassView::new(&books, HOPPER, ms(hours), &limits());
        let found = shares(&view);
        assert_eq!(found.len(), expected.len(), "at {hours} h: {found:?}");
        for (one, other) in found.iter().zip(&expected) {
            assert_eq!(one.0, other.0);
            same(one.1, other.1);
        }
    }
    let third = GlassView::new(&books, HOPPER, ms(55.0), &limits()).contents;
    assert_eq!(third.oldest_lot.as_deref(), Some("A"));
    same(third.oldest_share.unwrap(), 0.2);
    same(third.oldest_days.unwrap(), 55.0 / 24.0);
    same(third.mean_days.unwrap(), (0.2 * 55.0 + 0.3 * 31.0 + 0.5 * 7.0) / 24.0);
}

#[test]
fn a_recalled_lot_is_traced_on_to_its_nights_and_litres() {
    let mut books = books();
    let because = "listeria in the maker's sample".to_owned();
    books.apply(&at(99, 80.0, ft_record::Fact::Recalled { lot: "A".into(), because }));
    let view = TraceView::new(&books, "A", &limits());
    same(view.in_litres, 10.0);
    same(view.served_litres, 8.8);
    same(view.away_litres, 1.2);
    same(view.held_litres, 0.0);
    same(view.touched_litres, 15.0);
    let nights: Vec<(&str, f64, f64)> =
        view.nights.iter().map(|line| (line.night.as_str(), line.litres, line.of_litres)).collect();
    // 43 h after the first morning at 6 is 1 in the night of the second evening.
    assert_eq!(
        nights.iter().map(|line| line.0).collect::<Vec<_>>(),
        ["2026-06-01", "2026-06-02", "2026-06-03"]
    );
    for (line, (litres, of_litres)) in nights.iter().zip([(6.0, 6.0), (2.0, 5.0), (0.8, 4.0)]) {
        same(line.1, litres);
        same(line.2, of_litres);
    }
    assert_eq!(view.served[1].from_ms, ms(12.0), "the hours begin where the last serving was told");
    let places: Vec<&str> = view.places.iter().map(|span| span.place.as_str()).collect();
    assert_eq!(places, ["A", HOPPER, "R1", HOPPER, "R2", HOPPER]);
    assert!(view.recalled.is_some() && view.hold_now.is_empty());
    assert!(ft_lots::trace_text(&view, &TimeZone::UTC).contains("0.800 L of it in 4.00 L"));
}

#[test]
fn a_can_of_kept_product_is_followed_as_a_whole() {
    // 5 L went into R2 and then into the hopper: 4 of 10 L were served, 6 thrown away, half of each from R2.
    let view = TraceView::new(&books(), "R2", &limits());
    same(view.in_litres, 5.0);
    same(view.served_litres, 2.0);
    same(view.away_litres, 3.0);
}

#[test]
fn what_a_late_tablet_tells_and_what_is_corrected_is_put_right() {
    let expected = TraceView::new(&books(), "A", &limits());
    let mut late = events();
    late.reverse();
    let mut books = Books::new();
    for event in &late {
        books.apply(event);
    }
    assert_eq!(TraceView::new(&books, "A", &limits()), expected);
    // A serving that never was: 4 L more are in the hopper, of which 4 were kept and the rest stayed.
    let slip = ft_record::Fact::Corrected { of: "e4".into(), because: "wrong machine".into() };
    books.apply(&at(50, 90.0, slip));
    same(GlassView::new(&books, HOPPER, ms(25.0), &limits()).contents.litres, 4.0);
    assert_eq!(books.shortfalls().count(), 0);
}

#[test]
fn the_earliest_date_holds_and_a_prediction_only_shortens() {
    let books = books();
    // A was opened on 1 June: with 7 days its last is 7 June; B was first drawn from on 2 June, C on 3 June.
    let view = |hours: f64, predicted: &BTreeMap<String, ft_lots::Predicted>| {
        let view = InventoryView::new(&books, ms(hours), &limits(), predicted);
        let held = view.find(HOPPER).expect("the hopper holds something").clone();
        (held.last_day.unwrap(), held.decided_by_lot, held.due)
    };
    let none = BTreeMap::new();
    assert_eq!(view(55.0, &none), ("2026-06-07".into(), Some("A".into()), Due::Later));
    // Three in the afternoon; the test begins on 1 June at six in the morning.
    let predict = |day: &str| {
        let hours = 24.0 * (day[8..].parse::<f64>().unwrap() - 1.0) + 9.0;
        let predicted = ft_lots::Predicted { by_ms: ms(hours), because: "warm shelf".into() };
        BTreeMap::from([(HOPPER.to_owned(), predicted)])
    };
    assert_eq!(view(55.0, &predict("2026-06-03")), ("2026-06-03".into(), None, Due::Today));
    // Three has come: it is not kept for the rest of the day.
    assert_eq!(view(57.0, &predict("2026-06-03")), ("2026-06-03".into(), None, Due::Now));
    assert_eq!(view(55.0, &predict("2026-06-20")).0, "2026-06-07");
    assert_eq!(view(55.0, &predict("2026-06-02")).2, Due::Now);
}

#[test]
fn product_that_the_books_do_not_hold_is_told_and_has_no_date() {
    let mut books = Books::new();
    books.apply(&at(1, 0.0, received("A", 5.0, Some("2026-06-30"))));
    books.apply(&at(2, 1.0, blended("A", HOPPER, 5.0)));
    books.apply(&at(3, 2.0, served(HOPPER, 6.0)));
    books.apply(&at(4, 3.0, blended("nobody's", HOPPER, 2.0)));
    let short: Vec<f64> = books.shortfalls().map(|one| one.drawn_litres - one.held_litres).collect();
    assert_eq!(short, [1.0, 2.0]);
    let view = InventoryView::new(&books, ms(4.0), &limits(), &BTreeMap::new());
    let held = view.find(HOPPER).expect("the hopper holds something");
    assert_eq!((held.due, held.last_day.as_deref()), (Due::Now, None));
    assert_eq!(held.contents.shares[0].lot, ft_lots::UNKNOWN);
    assert!(ft_lots::inventory_text(&view).contains("Not accounted for"));
}

#[test]
fn days_in_the_freezer_are_not_counted_where_the_texts_allow_it() {
    let mut books = Books::new();
    let stored = |place: &str| ft_record::Fact::Stored { lot: "A".into(), place: place.into() };
    for (order, hours, fact) in [
        (1, 0.0, received("A", 5.0, None)),
        (2, 1.0, opened("A")),
        (3, 24.0, stored("freezer")),
        (4, 24.0 * 11.0, stored("cold room")),
    ] {
        books.apply(&at(order, hours, fact));
    }
    let last = |freezing_stops: bool| {
        let mark = Some(MarkDays { days: 7, freezing_stops, decides: "test rule".into() });
        let view =
            InventoryView::new(&books, ms(24.0 * 11.5), &Limits { mark, ..limits() }, &BTreeMap::new());
        view.held[0].last_day.clone().unwrap()
    };
    // In on 2 June, out on 12 June: nine days wholly in it.
    assert_eq!((last(false).as_str(), last(true).as_str()), ("2026-06-07", "2026-06-16"));
}
