//! One probe, followed: readings in, and out of it what goes into the record.
//!
//! It reads no clock: moments come in. A probe that says nothing is followed too, by [`Watch::tick`].

use std::collections::{BTreeMap, VecDeque};

use crate::alarm::{Alarms, Change, Why, drifts, until_limit};
use crate::arrival::{Arrival, Reading, Refusal};
use crate::mapping::Probe;
use crate::thin::{Tally, Thin};

/// What goes into the record.
#[derive(Debug, Clone, PartialEq)]
pub enum Said {
    /// A reading, kept one by one.
    Kept {
        /// When.
        at_ms: i64,
        /// The value, in the probe's unit.
        value: f64,
    },
    /// A stretch is over: all that came in it.
    Watched {
        /// All readings, counted.
        tally: Tally,
        /// The last moment.
        to_ms: i64,
        /// What was no reading, by code.
        refused: BTreeMap<&'static str, u32>,
    },
    /// An alarm was raised.
    Raised {
        /// Why.
        why: Why,
        /// When.
        at_ms: i64,
        /// The value that raised it.
        value: Option<f64>,
        /// By when somebody has to look.
        by_ms: i64,
    },
    /// An alarm is over.
    Ended {
        /// Which.
        why: Why,
        /// When.
        at_ms: i64,
    },
}

/// A stretch is an hour. Source: none, our choice: a number an hour is what a control chart of a cold room can use.
pub const STRETCH_MS: i64 = 3_600_000;
/// A reading may be so far ahead of the clock here. Source: none, our choice.
const AHEAD_MS: i64 = 5 * 60_000;
/// Older readings are left to those who read whole logs. Source: none, our choice.
const OLD_MS: i64 = 2 * 24 * 3_600_000;
/// What is shown goes back so far.
const SHOWN_MS: i64 = 24 * 3_600_000;
/// Readings of the window beyond which every second one is left out of the slope: memory stays flat.
const MOST_RECENT: usize = 1200;
/// Hours whose means are remembered: four weeks.
const MOST_HOURS: usize = 672;

/// A probe that is followed.
#[derive(Debug, Clone)]
pub struct Watch {
    /// The probe.
    pub probe: Probe,
    /// The last reading.
    pub last: Option<Reading>,
    /// Why the last thing that came was no reading, and when; `None` once a reading came.
    pub refusal: Option<(i64, Refusal)>,
    /// All readings since the program began.
    pub came: u64,
    /// Those that were kept.
    pub kept: u64,
    /// Those that the record had already: a file read again from its beginning.
    pub known: u64,
    /// Those that came in another unit.
    pub converted: u64,
    /// What was no reading since the program began, by code.
    pub refused: BTreeMap<&'static str, u64>,
    /// Its alarms.
    pub alarms: Alarms,
    /// What is shown of the last day: moments and values, `None` where a silence began.
    pub shown: VecDeque<(i64, Option<f64>)>,
    /// When it began to be followed.
    since_ms: i64,
    thin: Thin,
    recent: VecDeque<(i64, f64)>,
    hours: Vec<f64>,
    is_drifting: bool,
    tally: Option<Tally>,
    tally_refused: BTreeMap<&'static str, u32>,
    /// The latest moment that the record has of it.
    recorded_ms: i64,
}

impl Watch {
    /// Follows a probe from a moment on.
    pub fn new(probe: Probe, since_ms: i64) -> Self {
        Self {
            probe,
            last: None,
            refusal: None,
            came: 0,
            kept: 0,
            known: 0,
            converted: 0,
            refused: BTreeMap::new(),
            alarms: Alarms::default(),
            shown: VecDeque::new(),
            since_ms,
            thin: Thin::default(),
            recent: VecDeque::new(),
            hours: Vec::new(),
            is_drifting: false,
            tally: None,
            tally_refused: BTreeMap::new(),
            recorded_ms: i64::MIN,
        }
    }

    /// Takes what came at `now_ms`.
    pub fn take(&mut self, arrival: Arrival, now_ms: i64) -> Vec<Said> {
        if arrival.as_ref().is_ok_and(|reading| reading.at_ms <= self.recorded_ms) {
            self.known += 1;
            return Vec::new();
        }
        match arrival.and_then(|reading| self.in_time(reading, now_ms)) {
            Ok(reading) => self.reading(reading),
            Err(refusal) => {
                *self.refused.entry(refusal.code).or_default() += 1;
                *self.tally_refused.entry(refusal.code).or_default() += 1;
                self.tally.get_or_insert_with(|| Tally::begin(now_ms));
                self.refusal = Some((now_ms, refusal));
                Vec::new()
            }
        }
    }

    /// Looks at the clock: a silence is noticed, a stretch ends.
    pub fn tick(&mut self, now_ms: i64) -> Vec<Said> {
        let mut said = Vec::new();
        if self.silence_here_s(now_ms) > self.probe.silent_s
            && let Some(Change::Raised(why)) = self.alarms.silence(now_ms)
        {
            said.extend(self.last_before_silence());
            said.push(Said::Raised { why, at_ms: now_ms, value: None, by_ms: now_ms });
            if let Some(last) = self.last {
                self.show(last.at_ms + 1, None);
            }
            self.thin.silence();
            self.recent.clear();
        }
        if self.tally.is_some_and(|tally| now_ms - tally.from_ms >= STRETCH_MS) {
            said.extend(self.end_stretch(now_ms));
        }
        said
    }

    /// Nobody follows any more: the last reading, as before a silence, and what was counted so far.
    pub fn end(&mut self, now_ms: i64) -> Vec<Said> {
        let mut said: Vec<Said> = self.last_before_silence().into_iter().collect();
        said.extend(self.end_stretch(now_ms));
        said
    }

    /// What was counted so far.
    fn end_stretch(&mut self, now_ms: i64) -> Option<Said> {
        let tally = self.tally.take()?;
        let refused = std::mem::take(&mut self.tally_refused);
        if let Some(mean) = tally.mean() {
            self.hour(mean);
        }
        // A stretch of a file that was read late ends with its last reading, not with the clock here.
        let last_ms = self.last.map_or(now_ms, |last| last.at_ms);
        let to_ms = if tally.came > 0 { last_ms.min(now_ms) } else { now_ms };
        Some(Said::Watched { tally, to_ms: to_ms.max(tally.from_ms), refused })
    }

    /// Seconds since the last reading, or since it began to be followed.
    pub fn silence_s(&self, now_ms: i64) -> f64 {
        (now_ms - self.last.map_or(self.since_ms, |last| last.at_ms)) as f64 / 1000.0
    }

    /// The same, but what was before it began to be followed does not count: after a restart it may speak first.
    fn silence_here_s(&self, now_ms: i64) -> f64 {
        (now_ms - self.last.map_or(self.since_ms, |last| last.at_ms.max(self.since_ms))) as f64 / 1000.0
    }

    /// Seconds until a limit may be met by the present slope: the earliest that the readings allow.
    pub fn until_limit_s(&mut self) -> Option<f64> {
        until_limit(&self.probe, self.recent.make_contiguous())
    }

    fn in_time(&self, reading: Reading, now_ms: i64) -> Arrival {
        let refuse = |code, message: &str, remedy: &str| Err(Refusal::new(code, message, remedy));
        if reading.at_ms > now_ms + AHEAD_MS {
            let minutes = (reading.at_ms - now_ms) / 60_000;
            let message = format!("its time is {minutes} minutes ahead");
            return refuse("P0108", &message, "set the sender's clock, or look at the zone of the mapping");
        }
        if reading.at_ms < now_ms - OLD_MS {
            return refuse(
                "P0110",
                "it is more than two days old",
                "read whole logs with `fulltray coldchain`",
            );
        }
        if self.last.is_some_and(|last| reading.at_ms <= last.at_ms) {
            let message = "it is not later than the reading before";
            return refuse(
                "P0109",
                message,
                "look whether it is sent twice, or the sender's clock was set back",
            );
        }
        Ok(reading)
    }

    fn reading(&mut self, reading: Reading) -> Vec<Said> {
        let Reading { at_ms, value, is_converted } = reading;
        let mut said = Vec::new();
        // A silence that nobody ticked through: rows of a file, or a program that slept.
        let gap_s = self.last.map_or(0.0, |last| (at_ms - last.at_ms) as f64 / 1000.0);
        if gap_s > self.probe.silent_s && !self.alarms.is_open(Why::Silent) {
            said.extend(self.last_before_silence());
            if let Some(last) = self.last {
                self.show(last.at_ms + 1, None);
            }
            self.thin.silence();
            self.recent.clear();
        }
        if self.tally.is_some_and(|tally| at_ms - tally.from_ms >= STRETCH_MS) {
            said.extend(self.end_stretch(at_ms));
        }
        let is_bad = self.probe.is_good(value) == Some(false);
        let is_kept = self.thin.keeps(&self.probe.keep, at_ms, value, is_bad);
        self.tally.get_or_insert_with(|| Tally::begin(at_ms)).count(value, is_kept);
        self.came += 1;
        self.converted += u64::from(is_converted);
        if is_kept {
            self.kept += 1;
            self.show(at_ms, Some(value));
            said.push(Said::Kept { at_ms, value });
        }
        self.last = Some(reading);
        self.refusal = None;
        self.remember(at_ms, value);
        let changes = self.alarms.judge(&self.probe, self.recent.make_contiguous(), self.is_drifting);
        for change in changes {
            said.push(match change {
                Change::Ended(why) => Said::Ended { why, at_ms },
                Change::Raised(why) => {
                    let by_ms = self.alarms.open().find(|(open, _)| *open == why).map(|(_, open)| open.by_ms);
                    Said::Raised { why, at_ms, value: Some(value), by_ms: by_ms.unwrap_or(at_ms) }
                }
            });
        }
        said
    }

    /// The last reading before a silence, if it was not kept: it says when the silence began.
    fn last_before_silence(&mut self) -> Option<Said> {
        let last = self.last.filter(|last| self.thin.last_ms().is_some_and(|kept| kept < last.at_ms))?;
        self.kept += 1;
        if let Some(tally) = &mut self.tally {
            tally.kept += 1;
        }
        self.show(last.at_ms, Some(last.value));
        Some(Said::Kept { at_ms: last.at_ms, value: last.value })
    }

    fn remember(&mut self, at_ms: i64, value: f64) {
        self.recent.push_back((at_ms, value));
        let oldest = at_ms - (1000.0 * self.probe.window_s) as i64;
        while self.recent.front().is_some_and(|(at, _)| *at < oldest) {
            self.recent.pop_front();
        }
        if self.recent.len() > MOST_RECENT {
            let mut nth = 0;
            self.recent.retain(|_| {
                nth += 1;
                nth % 2 == 0
            });
        }
    }

    fn show(&mut self, at_ms: i64, value: Option<f64>) {
        self.shown.push_back((at_ms, value));
        while self.shown.front().is_some_and(|(at, _)| *at < at_ms - SHOWN_MS) {
            self.shown.pop_front();
        }
    }

    fn hour(&mut self, mean: f64) {
        self.hours.push(mean);
        if self.hours.len() > MOST_HOURS {
            self.hours.remove(0);
        }
        self.is_drifting = drifts(&self.hours);
    }

    /// Goes on from a reading that the record has; in order of time.
    pub fn resume_reading(&mut self, at_ms: i64, value: f64) {
        let silent_ms = (1000.0 * (self.probe.silent_s + self.probe.keep.every_s)) as i64;
        if let Some(last) = self.last.filter(|last| at_ms - last.at_ms > silent_ms) {
            self.show(last.at_ms + 1, None);
        }
        self.show(at_ms, Some(value));
        self.recorded_ms = self.recorded_ms.max(at_ms);
        self.last = Some(Reading { at_ms, value, is_converted: false });
        self.thin.resume(at_ms, value, self.probe.is_good(value) == Some(false));
    }

    /// Goes on from a stretch that the record has.
    pub fn resume_stretch(&mut self, to_ms: i64, mean: Option<f64>) {
        self.recorded_ms = self.recorded_ms.max(to_ms);
        if let Some(mean) = mean {
            self.hour(mean);
        }
    }
}
