//! Cooling windows, dates, time as a control and cycles, with their sources.

use ft_coldchain::{
    DateMark, Frozen, History, KeepUntil, Reading, TimeControl, WindowVerdict, find_cycles, judge_cooling,
    judge_cycle, longest_hold, time_control,
};
use ft_rules::{Stack, Verdict, Window, shipped_named};
use ft_units::{Temperature, TemperatureUnit, Time, TimeUnit};
use jiff::Timestamp;
use jiff::civil::{Date, date};
use proptest::prelude::*;

const GAP_S: f64 = 1800.0;

fn fahrenheit(value: f64) -> Temperature {
    Temperature::new(value, TemperatureUnit::Fahrenheit)
}

/// Readings from minutes and °F.
fn log(points: &[(f64, f64)]) -> Vec<Reading> {
    points
        .iter()
        .map(|(minutes, degrees)| Reading {
            at: Timestamp::from_millisecond((minutes * 60_000.0) as i64).expect("within the calendar"),
            temperature: fahrenheit(*degrees),
        })
        .collect()
}

fn window(from: f64, to: f64, hours: f64) -> Window {
    Window { from: Some(fahrenheit(from)), to: fahrenheit(to), within: Time::new(hours, TimeUnit::Hour) }
}

fn verdicts(points: &[(f64, f64)]) -> Vec<WindowVerdict> {
    let windows = [window(135.0, 70.0, 2.0), window(135.0, 41.0, 6.0)];
    judge_cooling(&log(points), &windows, GAP_S).into_iter().map(|outcome| outcome.verdict).collect()
}

/// Straight lines between readings every quarter of an hour.
fn steady(from: (f64, f64), to: (f64, f64)) -> Vec<(f64, f64)> {
    let steps = ((to.0 - from.0) / 15.0) as u32;
    (0..=steps)
        .map(|step| {
            let part = f64::from(step) / f64::from(steps);
            (from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part)
        })
        .collect()
}

/// Source: Food Code 3-501.14: 135 to 70 °F within 2 h, to 41 °F within 6 h in all.
#[test]
fn two_stages_of_cooling() {
    use WindowVerdict::{Fail, NotTold, Open, Pass};
    let slow_second: Vec<_> =
        [steady((0.0, 135.0), (120.0, 70.0)), steady((120.0, 70.0), (390.0, 41.0))[1..].to_vec()].concat();
    assert_eq!(verdicts(&slow_second), [Pass, Fail], "exactly 2 h passes, 6 h 30 does not");
    assert_eq!(verdicts(&steady((0.0, 150.0), (60.0, 90.0))), [Open, Open], "the time is not over");
    assert_eq!(verdicts(&steady((0.0, 60.0), (60.0, 41.0))), [NotTold, NotTold], "never seen at 135 °F");
    assert_eq!(verdicts(&steady((0.0, 135.0), (375.0, 60.0))), [Fail, Fail], "over, and not yet cold");
}

#[test]
fn a_gap_where_it_matters_is_not_told_and_elsewhere_does_no_harm() {
    use WindowVerdict::{NotTold, Pass};
    let across_70 = [(0.0, 135.0), (30.0, 110.0), (60.0, 90.0), (180.0, 60.0), (200.0, 41.0)];
    assert_eq!(verdicts(&across_70), [NotTold, Pass]);
    let before_70 = [(0.0, 135.0), (80.0, 80.0), (100.0, 70.0), (120.0, 50.0), (140.0, 41.0)];
    assert_eq!(
        verdicts(&before_70),
        [Pass, Pass],
        "at worst it was hot until 80 min less, which is still in time"
    );
}

/// The worst cooling of a day counts, not the first.
#[test]
fn food_that_is_heated_again_is_judged_again() {
    let good = [(0.0, 140.0), (20.0, 100.0), (40.0, 60.0), (60.0, 38.0), (80.0, 140.0)];
    let bad = steady((95.0, 140.0), (300.0, 60.0));
    let all = [good.to_vec(), bad].concat();
    assert_eq!(verdicts(&all)[0], WindowVerdict::Fail);
}

fn lot(day_one: Date) -> DateMark {
    DateMark { day_one: Some(day_one), ..DateMark::default() }
}

/// Source: Southern Nevada Health District: opened 1 April, discard after 7 April; 1 and 3 June combined, 7 June.
#[test]
fn date_marks() {
    assert_eq!(lot(date(2026, 4, 1)).keep_until(7, false), KeepUntil::Day(date(2026, 4, 7)));
    let combined = KeepUntil::combined(
        [lot(date(2026, 6, 1)), lot(date(2026, 6, 3))].map(|lot| lot.keep_until(7, false)),
    );
    assert_eq!(combined, KeepUntil::Day(date(2026, 6, 7)));
    assert_eq!(
        KeepUntil::combined([combined, KeepUntil::Discard]),
        KeepUntil::Discard,
        "one lot without a date spoils all"
    );
    assert_eq!(KeepUntil::combined([]), KeepUntil::Discard);
    let maker = DateMark { maker_until: Some(date(2026, 4, 5)), ..lot(date(2026, 4, 1)) };
    assert_eq!(maker.keep_until(7, false), KeepUntil::Day(date(2026, 4, 5)), "the maker's day is not passed");
    assert_eq!(lot(date(2028, 2, 26)).keep_until(7, false), KeepUntil::Day(date(2028, 3, 3)), "leap year");
    assert!(!combined.holds_on(date(2026, 6, 8)) && combined.holds_on(date(2026, 6, 7)));
}

/// Source: Minn. R. 4626.0400: freezing stops the clock, thawing goes on with it.
#[test]
fn freezing_stops_the_clock_where_the_text_says_so() {
    let frozen = DateMark {
        frozen: vec![Frozen { from: date(2026, 6, 2), until: date(2026, 6, 12) }],
        ..lot(date(2026, 6, 1))
    };
    assert_eq!(
        frozen.keep_until(7, true),
        KeepUntil::Day(date(2026, 6, 16)),
        "nine whole days are not counted"
    );
    assert_eq!(frozen.keep_until(7, false), KeepUntil::Day(date(2026, 6, 7)));
    let backwards = DateMark {
        frozen: vec![Frozen { from: date(2026, 6, 12), until: date(2026, 6, 2) }],
        ..lot(date(2026, 6, 1))
    };
    assert_eq!(backwards.keep_until(7, true), KeepUntil::Discard, "dates that contradict each other");
}

/// Source: Food Code 3-501.19: four hours by the clock that runs, also in a night when the wall's jumps.
#[test]
fn four_hours_are_four_hours_when_clocks_change() {
    let left: Timestamp = "2026-10-24T23:30:00Z".parse().unwrap();
    let most = fahrenheit(41.0);
    let until = time_control(left, fahrenheit(41.0), most, Time::new(4.0, TimeUnit::Hour));
    let TimeControl::Until(until) = until else { panic!("41 °F is allowed") };
    let berlin = jiff::tz::TimeZone::get("Europe/Berlin").unwrap();
    assert_eq!(berlin.to_datetime(left).to_string(), "2026-10-25T01:30:00");
    assert_eq!(berlin.to_datetime(until).to_string(), "2026-10-25T04:30:00", "the wall shows three");
    assert_eq!(
        time_control(left, fahrenheit(41.1), most, Time::new(4.0, TimeUnit::Hour)),
        TimeControl::NotAllowed
    );
}

fn night(hold_min: f64, hottest: f64, up_min: f64, down_min: f64) -> Vec<Reading> {
    let up = steady((0.0, 41.0), (up_min, 150.0));
    let t = up_min;
    let hold = [(t + 0.01, hottest), (t + hold_min, hottest)];
    let down = steady((t + hold_min, 150.0), (t + hold_min + down_min, 41.0));
    log(&[up, hold.to_vec(), down[1..].to_vec()].concat())
}

/// Source: Regs. Conn. State Agencies 21a-58-4a: 150 °F for 30 consecutive minutes, up within 1.5 h, down within 2 h.
#[test]
fn a_cycle_under_the_rules_of_connecticut() {
    let stack = Stack::new(shipped_named("us-connecticut"), &[], date(2026, 6, 1));
    let judge = |readings: &[Reading]| -> Vec<Verdict> {
        let cycles = find_cycles(readings, fahrenheit(150.0), fahrenheit(41.0), GAP_S);
        assert_eq!(cycles.len(), 1);
        judge_cycle(&cycles[0], &stack).iter().map(|answer| answer.verdict).collect()
    };
    use Verdict::{Fail, Pass};
    assert_eq!(judge(&night(30.0, 151.0, 90.0, 105.0)), [Pass, Pass, Pass, Pass]);
    assert_eq!(judge(&night(29.0, 151.0, 90.0, 105.0)), [Pass, Fail, Pass, Pass]);
    assert_eq!(judge(&night(30.0, 151.0, 105.0, 150.0)), [Pass, Pass, Fail, Fail]);
}

/// Thirty minutes in two halves are not thirty consecutive minutes, whether the break is cool or unknown.
#[test]
fn a_broken_hold_is_not_a_hold() {
    let cool = log(&[(0.0, 151.0), (15.0, 151.0), (16.0, 149.0), (17.0, 151.0), (32.0, 151.0)]);
    assert!(longest_hold(&cool, fahrenheit(150.0), GAP_S) < 16.0 * 60.0);
    let unknown = log(&[(0.0, 151.0), (15.0, 151.0), (60.0, 151.0), (75.0, 151.0)]);
    assert!((longest_hold(&unknown, fahrenheit(150.0), GAP_S) - 900.0).abs() < 1e-9);
}

proptest! {
    /// Seconds above, below and unknown are the whole record, whatever the log.
    #[test]
    fn every_second_is_accounted_for(points in prop::collection::vec((1_u32..4000, -20.0..120.0), 2..60), limit in 0.0..100.0) {
        let mut at = 0.0;
        let points: Vec<(f64, f64)> = points.into_iter().map(|(step, degrees)| { at += f64::from(step) / 60.0; (at, degrees) }).collect();
        let readings = log(&points);
        let mut history = History::new(GAP_S, [fahrenheit(limit)]);
        readings.iter().for_each(|reading| history.push(*reading));
        let above = history.summary().above[0];
        let span = (readings[readings.len() - 1].at.as_millisecond() - readings[0].at.as_millisecond()) as f64 / 1000.0;
        prop_assert!((above.known_s + above.below_s + above.unknown_s - span).abs() < 1e-6 * span.max(1.0));
        prop_assert!(above.longest_s <= above.known_s + 1e-9);
    }

    /// A warmer log is never better, and no answer depends on the unit of the probe.
    #[test]
    fn warmer_is_never_better(points in prop::collection::vec((1_u32..1500, 30.0..140.0), 2..40), heat in 0.0..20.0) {
        let mut at = 0.0;
        let points: Vec<(f64, f64)> = points.into_iter().map(|(step, degrees)| { at += f64::from(step) / 60.0; (at, degrees) }).collect();
        let above = |readings: &[Reading]| {
            let mut history = History::new(GAP_S, [fahrenheit(41.0)]);
            readings.iter().for_each(|reading| history.push(*reading));
            history.summary().above[0].known_s
        };
        let cold = log(&points);
        let warm: Vec<Reading> = cold.iter().map(|r| Reading { temperature: fahrenheit(r.temperature.value + heat), ..*r }).collect();
        prop_assert!(above(&cold) <= above(&warm) + 1e-6);
        let metric: Vec<Reading> = cold.iter().map(|r| Reading { temperature: r.temperature.to(TemperatureUnit::Celsius), ..*r }).collect();
        prop_assert!((above(&cold) - above(&metric)).abs() < 1e-6);
        let windows = [window(135.0, 70.0, 2.0)];
        prop_assert_eq!(judge_cooling(&cold, &windows, GAP_S)[0].verdict, judge_cooling(&metric, &windows, GAP_S)[0].verdict);
    }

    /// A prediction shortens and never lengthens; combining never lengthens either.
    #[test]
    fn dates_only_shorten(first in 0_i64..400, second in 0_i64..400, predicted in 0_i64..800) {
        use jiff::ToSpan;
        let day = |days: i64| date(2026, 1, 1).checked_add(days.days()).expect("within the calendar");
        let (one, other) = (lot(day(first)).keep_until(7, false), lot(day(second)).keep_until(7, false));
        prop_assert!(KeepUntil::combined([one, other]) <= one);
        prop_assert!(one.shortened_to(day(predicted)) <= one);
    }
}
