//! Rows of dates, time as a control and cooling.

use ft_coldchain::{DateMark, KeepUntil, Reading, TimeControl, WindowVerdict, judge_cooling, time_control};
use ft_rules::{Amount, Body, Circumstances, Window, shipped_named, subject_named};
use ft_units::{Temperature, TemperatureUnit, Time, TimeUnit};
use jiff::Timestamp;
use jiff::civil::date;

use super::rules::stack;
use super::said::{Said, pass, word};

const NEVER_A_GAP: f64 = f64::INFINITY;

pub fn answer(id: &str, input: &str, n: &[f64]) -> Option<Vec<Said>> {
    dates(id, input, n).or_else(|| cooling(id, n))
}

/// The limit that the model code sets.
fn model_limit(subject: &str) -> Option<Amount> {
    let stack = stack(&["us-food-code"]);
    let answer = stack.ask(subject_named(subject)?, None, &Circumstances::unknown());
    let Body::Limit { amount, .. } = answer.winner()?.rule.body else { return None };
    Some(amount)
}

fn dates(id: &str, input: &str, n: &[f64]) -> Option<Vec<Said>> {
    let Amount::Time(limit) = model_limit("date-mark")? else { return None };
    let days = limit.in_unit(TimeUnit::Day) as u32;
    let lot = |day: f64, month: i8| {
        let mark = DateMark { day_one: Some(date(2026, month, day as i8)), ..DateMark::default() };
        mark.keep_until(days, false)
    };
    let said = |until: KeepUntil| match until {
        KeepUntil::Discard => vec![word("discard now")],
        KeepUntil::Day(day) => {
            vec![Said::Number(f64::from(day.day())), word(&day.strftime("%B").to_string())]
        }
    };
    Some(match (id, n) {
        ("D1", &[day]) if input.contains("April") => said(lot(day, 4)),
        ("D2", &[first, second]) if input.contains("June") => {
            said(KeepUntil::combined([lot(first, 6), lot(second, 6)]))
        }
        ("D8", &[hour, minute, degrees]) => {
            let (Amount::Temperature(most), Amount::Time(allowed)) =
                (model_limit("time-control-start")?, model_limit("time-control")?)
            else {
                return None;
            };
            let civil = date(2026, 6, 1).at(hour as i8, minute as i8, 0, 0);
            let left = jiff::tz::Offset::UTC.to_timestamp(civil).ok()?;
            let ask = |degrees| {
                let food = Temperature::new(degrees, TemperatureUnit::Fahrenheit);
                time_control(left, food, most, allowed)
            };
            let TimeControl::Until(until) = ask(degrees) else { return None };
            // The second case of the row, at 42 °F, stands in its expectation.
            let refused = ask(42.0) == TimeControl::NotAllowed;
            vec![
                word(&until.strftime("%H:%M").to_string()),
                Said::Number(42.0),
                word(if refused { "not allowed" } else { "allowed" }),
            ]
        }
        _ => return None,
    })
}

fn windows(set: &str, id: &str) -> Option<Vec<Window>> {
    let rule = shipped_named(set).flat_map(|set| &set.rules).find(|rule| rule.id == id)?;
    match &rule.body {
        Body::Cooling(windows) => Some(windows.clone()),
        _ => None,
    }
}

/// Readings of minutes and degrees.
fn readings(points: &[(f64, f64)], unit: TemperatureUnit) -> Vec<Reading> {
    let reading = |(minutes, degrees): &(f64, f64)| Reading {
        at: Timestamp::from_second((minutes * 60.0) as i64).expect("the rows lie within a day"),
        temperature: Temperature::new(*degrees, unit),
    };
    points.iter().map(reading).collect()
}

fn cooling(id: &str, n: &[f64]) -> Option<Vec<Said>> {
    let fahrenheit = TemperatureUnit::Fahrenheit;
    Some(match (id, n) {
        ("T1", &[hot, warm, hours, minutes, cold, cold_hours, cold_minutes]) => {
            let points =
                [(0.0, hot), (hours * 60.0 + minutes, warm), (cold_hours * 60.0 + cold_minutes, cold)];
            let windows = windows("us-food-code", "cooling-cooked")?;
            let outcomes = judge_cooling(&readings(&points, fahrenheit), &windows, NEVER_A_GAP);
            vec![pass(outcomes.iter().all(|outcome| outcome.verdict == WindowVerdict::Pass))]
        }
        ("T2", &[warm, hours, minutes]) => {
            // The row's expectation: even if it is at 41 °F at 5 h.
            let points = [(0.0, 135.0), (hours * 60.0 + minutes, warm), (300.0, 41.0)];
            let windows = windows("us-food-code", "cooling-cooked")?;
            let outcomes = judge_cooling(&readings(&points, fahrenheit), &windows, NEVER_A_GAP);
            let fails = |outcome: &ft_coldchain::WindowOutcome| outcome.verdict == WindowVerdict::Fail;
            let stage = outcomes.iter().position(fails)? + 1;
            vec![pass(!outcomes.iter().any(fails)), Said::Number(stage as f64)]
        }
        ("T5", &[cold, hours, minutes]) => {
            let windows = windows("uk-1995", "cooling-mix")?;
            let points = [(0.0, 79.4), (hours * 60.0 + minutes, cold)];
            let outcome =
                judge_cooling(&readings(&points, TemperatureUnit::Celsius), &windows, NEVER_A_GAP)[0];
            let limit = Time::in_unit(outcome.window.within, TimeUnit::Hour);
            vec![pass(outcome.verdict == WindowVerdict::Pass), Said::Number(limit)]
        }
        _ => return None,
    })
}
