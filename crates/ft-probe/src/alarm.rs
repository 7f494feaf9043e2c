//! Alarms of one probe: why somebody is asked to look, by when, and when that is over.
//!
//! An alarm asks somebody to look sooner than they would have. It never says that there is time: the moment by which
//! to look only moves earlier while the alarm lasts, and the end of an alarm is no word on what the food went through.

use std::collections::BTreeMap;

use ft_readings::ahead::trend;
use ft_readings::individuals;

use crate::mapping::Probe;

/// Why a probe asks for somebody, the worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// A reading is outside its limit.
    Outside,
    /// Nothing has come for longer than was promised.
    Silent,
    /// By its present slope the limit is met soon.
    Nearing,
    /// Beyond the level that warns before the limit.
    Close,
    /// Within its limit, but not as it used to be: a rule of the control chart.
    Drifting,
}

impl Why {
    /// Each of them, the worst first.
    pub const ALL: [Self; 5] = [Self::Outside, Self::Silent, Self::Nearing, Self::Close, Self::Drifting];
}

/// An alarm that lasts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Open {
    /// Since when, milliseconds since 1970.
    pub since_ms: i64,
    /// The value that raised it; `None` for a silence.
    pub value: Option<f64>,
    /// By when somebody has to look. It only moves earlier.
    pub by_ms: i64,
    /// Readings in a row that would not have raised it.
    quiet: u32,
    /// The first of these.
    quiet_from_ms: i64,
}

/// A change of an alarm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change {
    /// It was raised.
    Raised(Why),
    /// It is over.
    Ended(Why),
}

/// So many readings in a row, over so long, end an alarm: one that dithers is one alarm. Source: none, our choice.
const QUIET_READINGS: u32 = 3;
const QUIET_MS: i64 = 60_000;
/// A warning by level or drift asks for a look within this time, milliseconds. Source: none, our choice.
const CLOSE_MS: i64 = 30 * 60_000;
const DRIFT_MS: i64 = 12 * 3_600_000;
/// So many hours have to be known before their means say how it used to be. Source: none, our choice; the same 20 as
/// for charts.
const BASELINE: usize = 20;

/// The alarms of one probe.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Alarms {
    open: BTreeMap<Why, Open>,
}

impl Alarms {
    /// Those that last, the worst first.
    pub fn open(&self) -> impl Iterator<Item = (Why, &Open)> {
        self.open.iter().map(|(why, open)| (*why, open))
    }

    /// Whether one lasts.
    pub fn is_open(&self, why: Why) -> bool {
        self.open.contains_key(&why)
    }

    /// Goes on with one that the record has.
    pub fn resume(&mut self, why: Why, since_ms: i64, value: Option<f64>, by_ms: i64) {
        self.open.insert(why, Open { since_ms, value, by_ms, quiet: 0, quiet_from_ms: since_ms });
    }

    /// Forgets one that the record ended.
    pub fn forget(&mut self, why: Why) {
        self.open.remove(&why);
    }

    /// A silence began, or has gone on. It is to be looked at now.
    pub fn silence(&mut self, now_ms: i64) -> Option<Change> {
        if self.is_open(Why::Silent) {
            return None;
        }
        self.resume(Why::Silent, now_ms, None, now_ms);
        Some(Change::Raised(Why::Silent))
    }

    /// What the newest reading changes; `recent` are times in milliseconds and values of the window, the newest last,
    /// without a silence between them; `is_drifting` as [`drifts`] says of the last hour.
    pub fn judge(&mut self, probe: &Probe, recent: &[(i64, f64)], is_drifting: bool) -> Vec<Change> {
        let Some((at_ms, value)) = recent.last().copied() else { return Vec::new() };
        let mut changes = Vec::new();
        if self.open.remove(&Why::Silent).is_some() {
            changes.push(Change::Ended(Why::Silent));
        }
        let is_outside = probe.is_good(value) == Some(false);
        let warns = probe.warn.as_ref().and_then(|warn| warn.holds(value, probe.unit)) == Some(false);
        let until_s = until_limit(probe, recent).filter(|s| *s <= probe.ahead_s);
        let reasons = [
            (Why::Outside, is_outside.then_some(at_ms)),
            // Where the limit is met already the others say nothing new.
            (Why::Nearing, until_s.filter(|_| !is_outside).map(|s| at_ms + (1000.0 * s) as i64)),
            (Why::Close, (warns && !is_outside).then_some(at_ms + CLOSE_MS)),
            (Why::Drifting, is_drifting.then_some(at_ms + DRIFT_MS)),
        ];
        for (why, by_ms) in reasons {
            changes.extend(self.follow(why, at_ms, value, by_ms));
        }
        changes
    }

    /// Raises, shortens or ends one alarm.
    fn follow(&mut self, why: Why, at_ms: i64, value: f64, by_ms: Option<i64>) -> Option<Change> {
        match (self.open.get_mut(&why), by_ms) {
            (None, None) => None,
            (None, Some(by_ms)) => {
                self.resume(why, at_ms, Some(value), by_ms);
                Some(Change::Raised(why))
            }
            (Some(open), Some(by_ms)) => {
                open.quiet = 0;
                open.by_ms = open.by_ms.min(by_ms);
                None
            }
            (Some(open), None) => {
                if open.quiet == 0 {
                    open.quiet_from_ms = at_ms;
                }
                open.quiet += 1;
                let is_over = open.quiet >= QUIET_READINGS && at_ms - open.quiet_from_ms >= QUIET_MS;
                is_over.then(|| self.open.remove(&why)).flatten().map(|_| Change::Ended(why))
            }
        }
    }
}

/// Seconds until a limit may be met by the slope of the window: the earliest that the readings allow.
pub fn until_limit(probe: &Probe, recent: &[(i64, f64)]) -> Option<f64> {
    let (last_ms, now) = recent.last().copied()?;
    let (first_ms, _) = recent.first().copied()?;
    // A slope over less than a third of its window is that of a door, not of a room.
    if ((last_ms - first_ms) as f64) < 1000.0 * probe.window_s / 3.0 {
        return None;
    }
    let seconds: Vec<(f64, f64)> =
        recent.iter().map(|(at, value)| ((at - last_ms) as f64 / 1000.0, *value)).collect();
    let line = trend(&seconds)?;
    let bounds = probe.limit.as_ref()?.bounds(probe.unit);
    let times = bounds.into_iter().filter_map(|(bound, is_upper)| line.until(now, bound, is_upper));
    times.map(|ahead| ahead.earliest_s).min_by(f64::total_cmp)
}

/// Whether the last hour breaks a rule of the control chart whose limits the hours before the last eight set; `hours`
/// are means, oldest first.
pub fn drifts(hours: &[f64]) -> bool {
    // Eight in a row is the longest rule: what it may find must not have set the limits.
    let Some(before) = hours.len().checked_sub(8).filter(|before| *before >= BASELINE) else { return false };
    let Ok(limits) = individuals::limits(&hours[..before]) else { return false };
    let last = &hours[before..];
    let signals = individuals::signals(last, limits.centre, limits.sigma);
    signals.last().is_some_and(|(number, _)| *number == last.len())
}
