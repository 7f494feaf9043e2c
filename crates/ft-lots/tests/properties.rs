//! Mass is conserved, shares sum to one, and a recall finds exactly the places that ever held the lot.

mod kit;

use std::collections::{BTreeMap, BTreeSet};

use ft_lots::{Books, TraceView};
use kit::{at, away, blended, received, served};
use proptest::prelude::*;

const PLACES: [&str; 6] = ["L0", "L1", "L2", "m/a", "m/b", "can"];

/// A move in quarter litres.
#[derive(Debug, Clone, Copy)]
enum Step {
    Over(usize, usize, u32),
    Served(usize, u32),
    Away(usize, u32),
    AwayAll(usize),
    More(usize, u32),
}

fn step() -> impl Strategy<Value = Step> {
    let place = 0..PLACES.len();
    prop_oneof![
        5 => (place.clone(), place.clone(), 1..40u32).prop_map(|(from, into, q)| Step::Over(from, into, q)),
        2 => (place.clone(), 1..20u32).prop_map(|(from, q)| Step::Served(from, q)),
        1 => (place.clone(), 1..20u32).prop_map(|(from, q)| Step::Away(from, q)),
        1 => place.prop_map(Step::AwayAll),
        1 => (0..3usize, 1..40u32).prop_map(|(lot, q)| Step::More(lot, q)),
    ]
}

/// The plainest books: whole quarter litres, and the set of lots that a place may hold. No shares, no floats.
#[derive(Default)]
struct Oracle {
    quarters: BTreeMap<&'static str, u32>,
    lots: BTreeMap<&'static str, BTreeSet<String>>,
    ever: BTreeMap<String, BTreeSet<&'static str>>,
}

impl Oracle {
    fn put(&mut self, place: &'static str, lots: BTreeSet<String>, quarters: u32) {
        if quarters == 0 {
            return;
        }
        *self.quarters.entry(place).or_default() += quarters;
        for lot in &lots {
            self.ever.entry(lot.clone()).or_default().insert(place);
        }
        self.lots.entry(place).or_default().extend(lots);
    }

    fn draw(&mut self, place: &'static str, quarters: u32) -> BTreeSet<String> {
        let held = self.quarters.entry(place).or_default();
        if quarters > *held {
            let missing = quarters - *held;
            self.put(place, BTreeSet::from([ft_lots::UNKNOWN.to_owned()]), missing);
        }
        let held = self.quarters.entry(place).or_default();
        *held -= quarters;
        let lots = self.lots.entry(place).or_default();
        if *held == 0 { std::mem::take(lots) } else { lots.clone() }
    }
}

fn run(steps: &[Step]) -> (Books, Oracle, Vec<ft_record::Event>) {
    let mut books = Books::new();
    let mut oracle = Oracle::default();
    let mut events = Vec::new();
    let litres = |quarters: u32| f64::from(quarters) / 4.0;
    for lot in &PLACES[..3] {
        events.push(received(lot, 10.0, None));
        oracle.put(lot, BTreeSet::from([(*lot).to_owned()]), 40);
    }
    for step in steps {
        let fact = match *step {
            Step::Over(from, into, _) if from == into => continue,
            Step::Over(from, into, q) => {
                let lots = oracle.draw(PLACES[from], q);
                oracle.put(PLACES[into], lots, q);
                blended(PLACES[from], PLACES[into], litres(q))
            }
            Step::Served(from, q) => {
                oracle.draw(PLACES[from], q);
                served(PLACES[from], litres(q))
            }
            Step::Away(from, q) => {
                oracle.draw(PLACES[from], q);
                away(PLACES[from], Some(litres(q)))
            }
            Step::AwayAll(from) => {
                let all = oracle.quarters.get(PLACES[from]).copied().unwrap_or(0);
                oracle.draw(PLACES[from], all);
                away(PLACES[from], None)
            }
            Step::More(lot, q) => {
                oracle.put(PLACES[lot], BTreeSet::from([PLACES[lot].to_owned()]), q);
                received(PLACES[lot], litres(q), None)
            }
        };
        events.push(fact);
    }
    let events: Vec<ft_record::Event> =
        events.into_iter().enumerate().map(|(i, fact)| at(i as u64 + 1, i as f64 / 4.0, fact)).collect();
    for event in &events {
        books.apply(event);
    }
    (books, oracle, events)
}

fn limits() -> ft_lots::Limits {
    ft_lots::Limits {
        mark: None,
        rerun: None,
        rerun_forbidden: None,
        freezers: BTreeSet::new(),
        zone: jiff::tz::TimeZone::UTC,
        day_turns_h: 5,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn mass_is_conserved_and_shares_sum_to_one(steps in prop::collection::vec(step(), 0..60)) {
        let (books, oracle, _) = run(&steps);
        let (came, held, went) = books.now().balance();
        prop_assert!((came - held - went).abs() < 1e-9 * came.max(1.0), "{came} {held} {went}");
        for place in PLACES {
            let litres = books.now().litres(place).unwrap_or(0.0);
            let expected = f64::from(oracle.quarters.get(place).copied().unwrap_or(0)) / 4.0;
            prop_assert!((litres - expected).abs() < 1e-9, "{place}: {litres}, expected {expected}");
            let glass = ft_lots::GlassView::new(&books, place, i64::MAX, &limits());
            let sum: f64 = glass.contents.shares.iter().map(|share| share.share).sum();
            prop_assert!(glass.contents.shares.is_empty() || (sum - 1.0).abs() < 1e-12);
        }
        // Each lot's own mass: what came in was served, thrown away, or is still there.
        for lot in &PLACES[..3] {
            let trace = TraceView::new(&books, lot, &limits());
            let went = trace.served_litres + trace.away_litres + trace.held_litres;
            prop_assert!((trace.in_litres - went).abs() < 1e-9 * trace.in_litres.max(1.0));
        }
    }

    #[test]
    fn a_recall_finds_exactly_the_places_that_ever_held_the_lot(steps in prop::collection::vec(step(), 0..60)) {
        let (books, oracle, _) = run(&steps);
        for lot in &PLACES[..3] {
            let trace = TraceView::new(&books, lot, &limits());
            let found: BTreeSet<&str> = trace.places.iter().map(|span| span.place.as_str()).collect();
            let expected: BTreeSet<&str> = oracle.ever.get(*lot).into_iter().flatten().copied().collect();
            prop_assert_eq!(found, expected);
            let now: BTreeSet<&str> = trace.hold_now.iter().map(|(place, _)| place.as_str()).collect();
            let holds = |place: &&&str| oracle.lots.get(**place).is_some_and(|lots| lots.contains(*lot));
            let expected: BTreeSet<&str> = PLACES.iter().filter(holds).copied().collect();
            prop_assert_eq!(now, expected);
        }
    }

    /// Snapshots and late events change nothing: the past as asked for is the past as it was.
    #[test]
    fn the_books_do_not_depend_on_when_they_were_told(
        steps in prop::collection::vec(step(), 300..700),
        late in prop::collection::vec(any::<prop::sample::Index>(), 0..6),
        asked in any::<prop::sample::Index>(),
    ) {
        let (books, _, mut events) = run(&steps);
        let at_ms = events[asked.index(events.len())].at_ms;
        let mut early = Books::new();
        for event in events.iter().filter(|event| event.at_ms <= at_ms) {
            early.apply(event);
        }
        for place in PLACES {
            let (now, then) = (early.now().litres(place).unwrap_or(0.0), books.at(at_ms).litres(place).unwrap_or(0.0));
            prop_assert!((now - then).abs() < 1e-12);
        }
        for index in late {
            let event = events.remove(index.index(events.len()));
            events.push(event);
        }
        let mut told = Books::new();
        for event in &events {
            told.apply(event);
        }
        prop_assert_eq!(TraceView::new(&told, "L1", &limits()), TraceView::new(&books, "L1", &limits()));
    }
}
