//! A probe followed: what goes into the record, gaps, alarms.
#![allow(clippy::unwrap_used)]
#![allow(clippy::float_cmp)] // Values go through unchanged.

use ft_probe::alarm::Why;
use ft_probe::{Reading, Refusal, Said, Watch, read};

const START: i64 = 1_780_350_000_000;

fn watch() -> Watch {
    let text = "probes { broker \"b\"; probe \"cold room\" { unit \"°C\"; every \"10 s\"; silent-after \"1 min\"; \
                topic \"a\"; limit \"< 5 °C\"; warn \"< 4.5 °C\"; look-ahead \"20 min\" window=\"10 min\"; }; }";
    Watch::new(read(text).mapping.probes.into_iter().next().unwrap(), START)
}

fn reading(s: i64, value: f64) -> Reading {
    Reading { at_ms: START + 1000 * s, value, is_converted: false }
}

/// Feeds readings of seconds and values, each at its own moment.
fn feed(watch: &mut Watch, readings: impl IntoIterator<Item = (i64, f64)>) -> Vec<Said> {
    let mut said = Vec::new();
    for (s, value) in readings {
        said.extend(watch.take(Ok(reading(s, value)), START + 1000 * s));
        said.extend(watch.tick(START + 1000 * s));
    }
    said
}

fn raised(said: &[Said]) -> Vec<(Why, i64)> {
    let raised = said.iter().filter_map(|one| match one {
        Said::Raised { why, at_ms, .. } => Some((*why, (at_ms - START) / 1000)),
        _ => None,
    });
    raised.collect()
}

fn ended(said: &[Said]) -> Vec<Why> {
    said.iter().filter_map(|one| if let Said::Ended { why, .. } = one { Some(*why) } else { None }).collect()
}

/// A cold room that warms by 0.1 °C a minute: the slope is told before the level, the level before the limit.
#[test]
fn somebody_is_asked_before_the_limit_is_met() {
    let mut watch = watch();
    let steady = (0..600).step_by(10).map(|s| (s, 3.0 + if s % 20 == 0 { 0.05 } else { -0.05 }));
    assert_eq!(raised(&feed(&mut watch, steady)), [], "a steady room asks for nobody");
    let met = 600 + 20 * 60;
    let warms =
        |from: i64, to: i64| (from..to).step_by(10).map(|s| (s, 3.0 + 0.1 * (s as f64 - 600.0) / 60.0));
    let mut said = feed(&mut watch, warms(600, met));
    let nearing = watch.alarms.open().find(|(why, _)| *why == Why::Nearing).map(|(_, open)| open.by_ms);
    assert!(nearing.unwrap() <= START + 1000 * (met + 10), "by when to look is not after the limit is met");
    said.extend(feed(&mut watch, warms(met, 2400)));
    let all = raised(&said);
    let order: Vec<Why> = all.iter().map(|(why, _)| *why).collect();
    assert_eq!(order, [Why::Nearing, Why::Close, Why::Outside]);
    assert_eq!(all[2].1, met, "the limit is met twenty minutes later");
    assert!(all[0].1 < met - 600, "told {} s before", met - all[0].1);
    let cools = (2400..2600).step_by(10).map(|s| (s, 3.0));
    let ended = ended(&feed(&mut watch, cools));
    assert!(ended.contains(&Why::Outside), "{ended:?}");
    assert_eq!(watch.alarms.open().count(), 0);
}

/// While an alarm lasts, by when to look only moves earlier, whatever the readings do. Seeded random walks.
#[test]
fn a_forecast_shortens_and_never_lengthens() {
    let mut state = 7_u64;
    let mut random = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(1_u32 << 31) - 0.5
    };
    let mut seen = 0;
    for _ in 0..60 {
        let (mut watch, mut value) = (watch(), 3.5);
        let mut before: Vec<(Why, i64, i64)> = Vec::new();
        for step in 0..400 {
            value += 0.08 * random() + 0.002;
            feed(&mut watch, [(10 * step, value)]);
            let now: Vec<(Why, i64, i64)> =
                watch.alarms.open().map(|(why, open)| (why, open.since_ms, open.by_ms)).collect();
            for (why, since, by) in &now {
                if let Some((_, _, was)) = before.iter().find(|(w, s, _)| w == why && s == since) {
                    seen += 1;
                    assert!(by <= was, "{why:?} moved from {was} to {by}");
                }
            }
            before = now;
        }
    }
    assert!(seen > 1000, "alarms lasted: {seen}");
}

#[test]
fn a_silence_is_a_gap_and_its_ends_are_in_the_record() {
    let mut watch = watch();
    let said = feed(&mut watch, [(0, 3.0), (10, 3.01), (20, 3.02)]);
    assert_eq!(said, [Said::Kept { at_ms: START, value: 3.0 }]);
    assert_eq!(watch.tick(START + 80_000), [], "sixty seconds are promised");
    let silent = watch.tick(START + 81_000);
    assert_eq!(silent[0], Said::Kept { at_ms: START + 20_000, value: 3.02 }, "the last before it");
    assert!(matches!(silent[1], Said::Raised { why: Why::Silent, value: None, .. }));
    assert_eq!(watch.tick(START + 500_000), [], "said once");
    assert!(watch.shown.iter().any(|(_, value)| value.is_none()), "the picture breaks its line");
    let back = feed(&mut watch, [(600, 3.1)]);
    assert_eq!(ended(&back), [Why::Silent]);
    assert!(back.contains(&Said::Kept { at_ms: START + 600_000, value: 3.1 }), "the first after it");
}

#[test]
fn a_probe_that_never_spoke_is_silent() {
    let mut watch = watch();
    assert_eq!(raised(&watch.tick(START + 61_000)), [(Why::Silent, 61)]);
    assert_eq!(watch.last, None);
    assert!(!watch.take(Ok(reading(70, 3.0)), START + 70_000).is_empty());
}

/// Half an hour of a door that opens and shuts: the alarm is raised once each time that it was over, not once a reading.
#[test]
fn an_alarm_that_dithers_is_one_alarm() {
    let mut watch = watch();
    let said = feed(&mut watch, (0..1800).step_by(10).map(|s| (s, if s % 20 == 0 { 4.9 } else { 5.1 })));
    let outside = raised(&said).iter().filter(|(why, _)| *why == Why::Outside).count();
    assert_eq!(outside, 1);
    assert!(!ended(&said).contains(&Why::Outside));
}

/// Everything that came is counted: readings kept, readings thinned, and what was none.
#[test]
fn nothing_is_dropped_in_silence() {
    let mut watch = watch();
    let mut said = feed(&mut watch, (0..7300).map(|s| (s, if s == 1234 { 9.0 } else { 3.0 })));
    for _ in 0..3 {
        said.extend(watch.take(Err(Refusal::new("P0102", "x", "y")), START + 7_300_000));
    }
    assert_eq!(said.iter().filter(|one| matches!(one, Said::Watched { .. })).count(), 2, "two whole hours");
    said.extend(watch.end(START + 7_301_000));
    let (mut came, mut kept, mut highest, mut refused) = (0, 0, 0.0_f64, 0);
    for one in &said {
        if let Said::Watched { tally, refused: by_code, .. } = one {
            came += tally.came;
            kept += tally.kept;
            highest = highest.max(tally.highest);
            refused += by_code.values().sum::<u32>();
        }
    }
    let in_record = said.iter().filter(|one| matches!(one, Said::Kept { .. })).count();
    assert_eq!((came, kept as usize, highest, refused), (7300, in_record, 9.0, 3));
    assert!(in_record < 20, "{in_record} of 7300 readings are kept");
    assert_eq!(watch.refused.get("P0102"), Some(&3));
}

#[test]
fn clocks_of_senders() {
    let mut watch = watch();
    feed(&mut watch, [(0, 3.0)]);
    let code = |watch: &mut Watch, at: i64, now: i64| {
        watch.take(Ok(reading(at, 3.0)), START + 1000 * now);
        watch.refusal.as_ref().map(|(_, refusal)| refusal.code)
    };
    assert_eq!(code(&mut watch, 700, 10), Some("P0108"), "it would hide its own silence");
    assert_eq!(code(&mut watch, 0, 10), Some("P0109"), "sent twice");
    assert_eq!(code(&mut watch, -60, 10), Some("P0109"), "a clock that was set back");
    assert_eq!(code(&mut watch, 10, 10), None);
    assert_eq!(code(&mut watch, -3 * 86_400, 10), Some("P0110"));
}

/// After a restart a file that is read from its beginning says nothing twice.
#[test]
fn what_the_record_has_is_known() {
    let mut watch = watch();
    watch.resume_reading(START + 1_000_000, 3.0);
    watch.resume_stretch(START + 1_300_000, Some(3.0));
    for s in [0, 1000, 1300] {
        assert_eq!(watch.take(Ok(reading(s, 9.0)), START + 1_400_000), []);
    }
    assert_eq!((watch.known, watch.came, watch.refusal.clone()), (3, 0, None));
    watch.take(Ok(reading(1310, 3.0)), START + 1_400_000);
    assert_eq!(watch.came, 1);
}

/// Eight hours on one side of how it used to be, all far within the limit. Source: NIST/SEMATECH e-Handbook 6.3.2.
#[test]
fn a_drift_is_told_although_the_limit_is_far() {
    let mut watch = watch();
    let hourly = |hour: i64| if hour < 28 { 3.0 + 0.02 * (hour % 5) as f64 } else { 3.13 };
    let said = feed(&mut watch, (0..40 * 360).map(|tens| (10 * tens, hourly(tens / 360))));
    let all = raised(&said);
    let drift = all.iter().find(|(why, _)| *why == Why::Drifting).expect("it is told");
    assert!((28 * 3600..=37 * 3600).contains(&drift.1), "at hour {}", drift.1 / 3600);
    assert!(all.iter().all(|(why, _)| *why == Why::Drifting), "and nothing else: {all:?}");
}
