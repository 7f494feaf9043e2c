//! The release and the lot trace against the length of the record: `cargo run --release -p ft-year -- 1 2 4`.

use std::collections::{BTreeMap, BTreeSet};
use std::time::{Duration, Instant};

use ft_lots::{InventoryView, Limits, MarkDays, TraceView};
use ft_release::{Morning, Settings, may_it_serve};
use ft_year::{Site, Year};

const NIGHTS: u32 = 365;

fn main() {
    let years: Vec<u32> = std::env::args().skip(1).filter_map(|word| word.parse().ok()).collect();
    let years = if years.is_empty() { vec![1, 2, 4] } else { years };
    let site = Site::demo();
    println!("A made-up year of the demo kitchen, seed 1; best and worst of 20, in milliseconds.");
    println!(
        "| years | events | fold, whole | last event | release, 4 machines | inventory | trace, an old lot | trace, a new lot |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    for count in years {
        measure(&site, count);
    }
}

fn measure(site: &Site, years: u32) {
    let mut year = Year::new(site, 1);
    let nights: Vec<_> = (0..NIGHTS * years).map(|_| year.next_night()).collect();
    let events: usize = nights.iter().map(Vec::len).sum();
    let mut morning = Morning::new();
    let began = Instant::now();
    nights.iter().flatten().for_each(|event| morning.apply(event));
    let fold = began.elapsed();
    let Some(last) = nights.last().and_then(|night| night.last()) else { return };
    let one = times(|| {
        let mut again = last.clone();
        again.order += 1;
        again.id.push('x');
        morning.apply(&again);
    });
    let at_ms = year.asked_ms();
    let (limits, settings) = (limits(), Settings::default());
    let release = times(|| {
        for machine in &site.machines {
            let decision = may_it_serve(&morning, &machine.expected, &limits, &settings, at_ms);
            assert!(decision.may_serve, "a good year");
        }
    });
    let inventory = times(|| {
        std::hint::black_box(InventoryView::new(morning.books(), at_ms, &limits, &BTreeMap::new()));
    });
    let lots: Vec<&String> = morning.books().lots().keys().filter(|lot| lot.starts_with('L')).collect();
    let day = |lot: &str| lot[1..].split('-').next().and_then(|day| day.parse::<u32>().ok()).unwrap_or(0);
    let traced = |lot: &str| {
        times(|| {
            let view = TraceView::new(morning.books(), lot, &limits);
            assert!(view.served_litres > 0.0, "the lot was served");
        })
    };
    let old = lots.iter().find(|lot| day(lot) == 11).expect("a lot of the first days");
    let new = lots.iter().find(|lot| day(lot) == NIGHTS * years - 3).expect("a lot of the last days");
    println!(
        "| {years} | {events} | {} | {} | {} | {} | {} | {} |",
        shown((fold, fold)),
        shown(one),
        shown(release),
        shown(inventory),
        shown(traced(old)),
        shown(traced(new)),
    );
}

fn times(mut what: impl FnMut()) -> (Duration, Duration) {
    let mut took: Vec<Duration> = (0..20)
        .map(|_| {
            let began = Instant::now();
            what();
            began.elapsed()
        })
        .collect();
    took.sort_unstable();
    (took[0], took[took.len() - 1])
}

fn shown((best, worst): (Duration, Duration)) -> String {
    let ms = |took: Duration| took.as_secs_f64() * 1000.0;
    if best == worst { format!("{:.0}", ms(best)) } else { format!("{:.3} to {:.3}", ms(best), ms(worst)) }
}

fn limits() -> Limits {
    Limits {
        mark: Some(MarkDays { days: 7, freezing_stops: false, decides: "made up".into() }),
        rerun: None,
        rerun_forbidden: None,
        freezers: BTreeSet::new(),
        zone: jiff::tz::TimeZone::UTC,
        day_turns_h: 5,
    }
}
