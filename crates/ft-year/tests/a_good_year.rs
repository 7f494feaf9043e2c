//! A year in which everything went well may serve every morning; the same year with one night left out may not.

use std::collections::BTreeSet;

use ft_lots::{Limits, MarkDays};
use ft_release::{Morning, Settings, may_it_serve, text};
use ft_year::{Site, Year};

fn limits() -> Limits {
    Limits {
        mark: Some(MarkDays { days: 7, freezing_stops: false, decides: "test rule".into() }),
        rerun: None,
        rerun_forbidden: None,
        freezers: BTreeSet::new(),
        zone: jiff::tz::TimeZone::UTC,
        day_turns_h: 5,
    }
}

#[test]
fn the_real_machines_may_serve_after_a_good_night_and_each_left_out_event_is_a_no() {
    let site = Site::demo();
    let mut year = Year::new(&site, 1);
    let mut all = Vec::new();
    let mut morning = Morning::new();
    for _ in 0..9 {
        let events = year.next_night();
        for event in &events {
            morning.apply(event);
        }
        all.extend(events);
        for machine in &site.machines {
            let decision =
                may_it_serve(&morning, &machine.expected, &limits(), &Settings::default(), year.asked_ms());
            assert!(decision.may_serve, "{}", text(&decision, "en"));
        }
    }
    // Of the last closing and opening, every 7th step left out.
    let last = all.iter().filter(|event| matches!(event.fact, ft_record::Fact::RunOpened { .. }));
    let runs: BTreeSet<&String> = last.map(|event| &event.id).rev().take(8).collect();
    let steps: Vec<usize> = (0..all.len())
        .filter(|&index| {
            all[index].run.as_ref().is_some_and(|run| runs.contains(run))
                && matches!(all[index].fact, ft_record::Fact::Happened { .. })
        })
        .collect();
    assert!(steps.len() > 200, "{}", steps.len());
    for &left_out in steps.iter().step_by(7) {
        let mut morning = Morning::new();
        let kept = all.iter().enumerate().filter(|(index, _)| *index != left_out);
        kept.for_each(|(_, event)| morning.apply(event));
        let of = all[left_out].machine.as_deref();
        for machine in &site.machines {
            let decision =
                may_it_serve(&morning, &machine.expected, &limits(), &Settings::default(), year.asked_ms());
            assert_eq!(decision.may_serve, of != Some(machine.name()), "{:?}", all[left_out].fact);
        }
    }
}

#[test]
fn the_same_seed_is_the_same_year() {
    let site = Site::demo();
    let (mut one, mut other) = (Year::new(&site, 3), Year::new(&site, 3));
    for _ in 0..3 {
        assert_eq!(one.next_night(), other.next_night());
    }
}
