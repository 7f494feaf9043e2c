//! What of a probe's readings goes into the record one by one.
//!
//! A probe that reads every second would write 31 million events a year, of which nearly all say the same. The rule:
//! a reading is kept
//!
//! 1. when it is the first, or the first after a silence;
//! 2. when it went out of its limit, at once;
//! 3. when it came back within its limit, moved by a step since the last one that was kept, or some time has passed
//!    since (a quarter of an hour), but not more often than once a minute.
//!
//! Before a silence, and when the program ends, the last reading that came is kept too, so that the record says when the
//! silence began. All that
//! come are counted, with the lowest, the highest and their mean, for each hour: no spike is lost.

use crate::mapping::Keep;

/// Decides what is kept.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Thin {
    last: Option<Kept>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Kept {
    at_ms: i64,
    value: f64,
    is_bad: bool,
}

impl Thin {
    /// Whether a reading is kept; it has to be later than the one before. `is_bad`: it is outside its limit.
    pub fn keeps(&mut self, keep: &Keep, at_ms: i64, value: f64, is_bad: bool) -> bool {
        let keeps = match self.last {
            None => true,
            Some(last) => {
                let since_s = (at_ms - last.at_ms) as f64 / 1000.0;
                let is_other = last.is_bad != is_bad
                    || (value - last.value).abs() >= keep.step
                    || since_s >= keep.every_s;
                (is_bad && !last.is_bad) || (is_other && since_s >= keep.least_s)
            }
        };
        if keeps {
            self.last = Some(Kept { at_ms, value, is_bad });
        }
        keeps
    }

    /// After a silence the next reading is kept.
    pub fn silence(&mut self) {
        self.last = None;
    }

    /// Goes on after a reading that the record has.
    pub fn resume(&mut self, at_ms: i64, value: f64, is_bad: bool) {
        self.last = Some(Kept { at_ms, value, is_bad });
    }

    /// When the last one was kept.
    pub fn last_ms(&self) -> Option<i64> {
        self.last.map(|last| last.at_ms)
    }
}

/// All readings of a stretch of time, counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tally {
    /// The first moment.
    pub from_ms: i64,
    /// How many came.
    pub came: u32,
    /// How many of them were kept.
    pub kept: u32,
    /// The lowest.
    pub lowest: f64,
    /// The highest.
    pub highest: f64,
    /// Their sum.
    pub sum: f64,
}

impl Tally {
    /// An empty stretch.
    pub fn begin(from_ms: i64) -> Self {
        Self { from_ms, came: 0, kept: 0, lowest: f64::INFINITY, highest: f64::NEG_INFINITY, sum: 0.0 }
    }

    /// Counts a reading.
    pub fn count(&mut self, value: f64, is_kept: bool) {
        self.came += 1;
        self.kept += u32::from(is_kept);
        self.lowest = self.lowest.min(value);
        self.highest = self.highest.max(value);
        self.sum += value;
    }

    /// The mean; `None` where none came.
    pub fn mean(&self) -> Option<f64> {
        (self.came > 0).then(|| self.sum / f64::from(self.came))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const KEEP: Keep = Keep { step: 0.3, every_s: 900.0, least_s: 60.0 };

    fn kept(readings: impl IntoIterator<Item = (i64, f64)>) -> Vec<i64> {
        let mut thin = Thin::default();
        let is_bad = |value: f64| value >= 5.0;
        let keeps = |(s, value): &(i64, f64)| thin.keeps(&KEEP, 1000 * s, *value, is_bad(*value));
        readings.into_iter().filter(keeps).map(|(s, _)| s).collect::<Vec<_>>()
    }

    /// A steady day at a reading a second: 96 quarters of an hour.
    #[test]
    fn a_steady_day_is_ninety_six_readings() {
        let day = (0..86_400).map(|s| (s, 3.0 + if s % 2 == 0 { 0.05 } else { -0.05 }));
        assert_eq!(kept(day).len(), 96);
    }

    /// The worst that a probe can do, dithering about its limit or by more than a step: two a minute, and one.
    #[test]
    fn what_dithers_does_not_fill_the_record() {
        let about_the_limit = (0..3600).map(|s| (s, if s % 2 == 0 { 4.99 } else { 5.01 }));
        assert!(kept(about_the_limit).len() <= 121);
        let by_steps = (0..3600).map(|s| (s, if s % 2 == 0 { 2.0 } else { 4.0 }));
        assert!(kept(by_steps).len() <= 61);
    }

    /// What goes out of its limit is kept at once, the moment at which a step was made as well.
    #[test]
    fn leaving_the_limit_is_kept_at_once() {
        assert_eq!(kept([(0, 4.9), (1, 5.0), (2, 5.1), (3, 4.9), (61, 4.9)]), [0, 1, 61]);
        assert_eq!(kept([(0, 3.0), (70, 3.2), (71, 3.5), (200, 3.51)]), [0, 71]);
    }

    #[test]
    fn a_spike_that_is_not_kept_is_in_the_tally() {
        let mut tally = Tally::begin(0);
        for (value, is_kept) in [(3.0, true), (9.0, false), (3.0, false)] {
            tally.count(value, is_kept);
        }
        assert_eq!((tally.came, tally.kept, tally.highest, tally.mean()), (3, 1, 9.0, Some(5.0)));
        assert_eq!(Tally::begin(0).mean(), None);
    }
}
