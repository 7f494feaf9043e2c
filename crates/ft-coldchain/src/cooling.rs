//! Whether food went through its cooling windows, as far as the record tells.

use ft_rules::Window;
use ft_units::{Temperature, TimeUnit};

use crate::history::Reading;

/// What the record says of a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WindowVerdict {
    /// It took too long, or the record ends after the time without the food being cold.
    Fail,
    /// The record has a gap where it matters, or begins too late to tell.
    NotTold,
    /// The time is not over and the food is not yet cold.
    Open,
    /// In time.
    Pass,
}

/// A window with what the record says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindowOutcome {
    /// The window.
    pub window: Window,
    /// The verdict.
    pub verdict: WindowVerdict,
    /// The least and the most seconds that it can have taken; equal where no gap matters. So far, if open.
    pub took_s: Option<(f64, f64)>,
}

/// Judges each window on readings in time order. Readings further apart than `gap_s` seconds leave a gap.
///
/// The clock of a window starts when the food is last at or above its `from`, or with the record where it has no
/// `from`; it stops when the food is next at or below its `to`. Food that is heated again is judged again, and the
/// worst counts. In a gap the crossing may have been at any moment of it.
pub fn judge_cooling(readings: &[Reading], windows: &[Window], gap_s: f64) -> Vec<WindowOutcome> {
    windows.iter().map(|window| judge(readings, *window, gap_s)).collect()
}

fn judge(readings: &[Reading], window: Window, gap_s: f64) -> WindowOutcome {
    let mut worst = WindowOutcome { window, verdict: WindowVerdict::NotTold, took_s: None };
    let mut judged = false;
    for (hot, cold) in coolings(readings, window) {
        let outcome = judge_one(readings, window, gap_s, hot, cold);
        if !judged || outcome.verdict < worst.verdict {
            worst = outcome;
        }
        judged = true;
    }
    worst
}

/// Each time that the food cooled: the last reading that is hot (none where the record itself starts the clock)
/// and the first after it that is cold (none where the record ends before).
fn coolings(readings: &[Reading], window: Window) -> Vec<(Option<usize>, Option<usize>)> {
    let is_cold = |r: &Reading| r.temperature.cmp_limit(window.to).is_le();
    let Some(from) = window.from else {
        let whole = (None, readings.iter().position(is_cold));
        return if readings.is_empty() { Vec::new() } else { vec![whole] };
    };
    let mut found = Vec::new();
    let mut hot = None;
    for (index, reading) in readings.iter().enumerate() {
        if reading.temperature.cmp_limit(from).is_ge() {
            hot = Some(index);
        } else if hot.is_some() && is_cold(reading) {
            found.push((hot.take(), Some(index)));
        }
    }
    found.extend(hot.map(|hot| (Some(hot), None)));
    found
}

fn judge_one(
    readings: &[Reading],
    window: Window,
    gap_s: f64,
    hot: Option<usize>,
    cold: Option<usize>,
) -> WindowOutcome {
    let seconds = |index: usize| (readings[index].seconds(), readings[index].seconds());
    let start = match (hot, window.from) {
        (Some(hot), Some(from)) => crossing(readings, hot, from, gap_s),
        _ => seconds(0),
    };
    let end = match cold {
        None => (readings[readings.len() - 1].seconds(), f64::INFINITY),
        Some(0) => seconds(0),
        Some(cold) => crossing(readings, cold - 1, window.to, gap_s),
    };
    let within_s = window.within.in_unit(TimeUnit::Second);
    // A millisecond is the clock of a log: finer differences are the noise of reckoning.
    let took = (settle(end.0 - start.1).max(0.0), settle(end.1 - start.0));
    let verdict = match cold {
        None if took.0 <= within_s => WindowVerdict::Open,
        Some(_) if took.1 <= within_s => WindowVerdict::Pass,
        Some(_) if took.0 <= within_s => WindowVerdict::NotTold,
        _ => WindowVerdict::Fail,
    };
    // While the window is open the most is only what it has taken so far.
    let most = if took.1.is_finite() { took.1 } else { settle(end.0 - start.0) };
    WindowOutcome { window, verdict, took_s: Some((took.0, most)) }
}

/// The least and the most seconds at which a falling temperature crossed `limit` after the reading at `index`.
fn crossing(readings: &[Reading], index: usize, limit: Temperature, gap_s: f64) -> (f64, f64) {
    let from = readings[index];
    let Some(to) = readings.get(index + 1) else { return (from.seconds(), from.seconds()) };
    let (start_s, end_s) = (from.seconds(), to.seconds());
    if end_s - start_s > gap_s {
        return (start_s, end_s);
    }
    let (start, end) = (from.in_unit(limit.unit), to.in_unit(limit.unit));
    if start <= end {
        return (end_s, end_s);
    }
    let at = start_s + (end_s - start_s) * ((start - limit.value) / (start - end)).clamp(0.0, 1.0);
    (at, at)
}

fn settle(seconds: f64) -> f64 {
    if seconds.is_finite() { (seconds * 1000.0).round() / 1000.0 } else { seconds }
}
