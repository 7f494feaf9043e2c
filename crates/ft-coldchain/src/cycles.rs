//! Heat-treatment cycles in a machine's log.

use ft_rules::{Amount, Answer, Circumstances, Stack, subject_named};
use ft_units::{Temperature, Time, TimeUnit};
use jiff::Timestamp;

use crate::history::Reading;

/// One time at or above the temperature of the heat-treatment. Times in seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycle {
    /// When it was first at the temperature.
    pub begins: Timestamp,
    /// The hottest reading.
    pub hottest: Temperature,
    /// Consecutive time at or above the temperature; a gap breaks it.
    pub hold_s: f64,
    /// From the last moment at or below the cold temperature to the first at the hot one; `None` where a gap or
    /// the beginning of the record lies between.
    pub heat_up_s: Option<f64>,
    /// From the last moment at the hot temperature to the first at or below the cold one; `None` as above.
    pub cool_down_s: Option<f64>,
}

/// Every cycle in readings in time order: the times at or above `hot`, with the way up from `cold` and down to it.
///
/// Readings further apart than `gap_s` seconds leave a gap.
pub fn find_cycles(readings: &[Reading], hot: Temperature, cold: Temperature, gap_s: f64) -> Vec<Cycle> {
    let is_hot = |r: &Reading| r.temperature.cmp_limit(hot).is_ge();
    let mut cycles = Vec::new();
    let mut index = 0;
    while index < readings.len() {
        if !is_hot(&readings[index]) {
            index += 1;
            continue;
        }
        let first = index;
        while index + 1 < readings.len() && is_hot(&readings[index + 1]) && !gap(readings, index, gap_s) {
            index += 1;
        }
        cycles.push(cycle(readings, first, index, hot, cold, gap_s));
        index += 1;
    }
    cycles
}

/// The longest consecutive time at or above a temperature, in seconds.
pub fn longest_hold(readings: &[Reading], hot: Temperature, gap_s: f64) -> f64 {
    find_cycles(readings, hot, hot, gap_s).iter().map(|cycle| cycle.hold_s).fold(0.0, f64::max)
}

fn cycle(
    readings: &[Reading],
    first: usize,
    last: usize,
    hot: Temperature,
    cold: Temperature,
    gap_s: f64,
) -> Cycle {
    let reaches_s = match first.checked_sub(1) {
        Some(before) if !gap(readings, before, gap_s) => crossing_s(readings, before, hot),
        _ => readings[first].seconds(),
    };
    let leaves_s = if last + 1 < readings.len() && !gap(readings, last, gap_s) {
        crossing_s(readings, last, hot)
    } else {
        readings[last].seconds()
    };
    let is_cold = |r: &Reading| r.temperature.cmp_limit(cold).is_le();
    let unbroken = |from: usize, to: usize| (from..to).all(|index| !gap(readings, index, gap_s));
    let cold_before = readings[..first].iter().rposition(is_cold).filter(|before| unbroken(*before, first));
    let cold_after = readings[last..].iter().position(is_cold).map(|after| last + after);
    let cold_after = cold_after.filter(|after| *after > last && unbroken(last, *after));
    let hottest = readings[first..=last].iter().map(|r| r.temperature);
    Cycle {
        begins: readings[first].at,
        hottest: hottest.reduce(|a, b| if b.cmp_limit(a).is_gt() { b } else { a }).unwrap_or(hot),
        hold_s: settle(leaves_s - reaches_s),
        heat_up_s: cold_before.map(|before| settle(reaches_s - crossing_s(readings, before, cold))),
        cool_down_s: cold_after.map(|after| settle(crossing_s(readings, after - 1, cold) - leaves_s)),
    }
}

fn gap(readings: &[Reading], index: usize, gap_s: f64) -> bool {
    readings[index + 1].seconds() - readings[index].seconds() > gap_s
}

/// When the line from a reading to the next crosses a temperature, in seconds.
fn crossing_s(readings: &[Reading], index: usize, limit: Temperature) -> f64 {
    let (from, to) = (readings[index], readings[index + 1]);
    let (start, end) = (from.in_unit(limit.unit), to.in_unit(limit.unit));
    if (start - end).abs() < f64::EPSILON {
        return from.seconds();
    }
    let part = ((limit.value - start) / (end - start)).clamp(0.0, 1.0);
    from.seconds() + (to.seconds() - from.seconds()) * part
}

fn settle(seconds: f64) -> f64 {
    (seconds * 1000.0).round() / 1000.0
}

/// Holds a cycle against every rule of heat-treatment machines: hottest, hold, heat-up, cool-down.
///
/// What the log does not tell is asked without a figure, so that the answer says "not told".
pub fn judge_cycle<'s>(cycle: &Cycle, stack: &Stack<'s>) -> Vec<Answer<'s>> {
    let unknown = Circumstances::unknown();
    let circumstances = unknown.clone().with("machine", "heat-treatment").unwrap_or(unknown);
    let time = |seconds: f64| Amount::Time(Time::new(seconds / 60.0, TimeUnit::Minute));
    let questions = [
        ("heat-cycle-temperature", Some(Amount::Temperature(cycle.hottest))),
        ("heat-cycle-hold", Some(time(cycle.hold_s))),
        ("heat-up", cycle.heat_up_s.map(time)),
        ("cool-down", cycle.cool_down_s.map(time)),
    ];
    questions
        .into_iter()
        .filter_map(|(name, found)| Some(stack.ask(subject_named(name)?, found, &circumstances)))
        .collect()
}
