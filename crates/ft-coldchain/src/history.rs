//! A history as it streams by: extremes, time above a limit, gaps.

use std::cmp::Ordering;

use ft_units::{Temperature, TemperatureUnit};
use jiff::Timestamp;

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// When.
    pub at: Timestamp,
    /// What the probe showed, in its own unit.
    pub temperature: Temperature,
}

impl Reading {
    /// Seconds since 1970, as a number to reckon with.
    pub(crate) fn seconds(self) -> f64 {
        self.at.as_millisecond() as f64 / 1000.0
    }

    /// The temperature as a number of a unit, without the noise of conversion.
    pub(crate) fn in_unit(self, unit: TemperatureUnit) -> f64 {
        self.temperature.in_unit(unit)
    }
}

/// Time above one limit, in seconds. `known_s + below_s + unknown_s` is the span of the record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Above {
    /// The limit; exactly at the limit is not above it.
    pub limit: Temperature,
    /// Known to be above.
    pub known_s: f64,
    /// Known to be at or below.
    pub below_s: f64,
    /// In gaps: may have been above.
    pub unknown_s: f64,
    /// The longest time above without a break, as far as known.
    pub longest_s: f64,
    /// When it was first above.
    pub first: Option<Timestamp>,
    run_s: f64,
}

/// What streamed by.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    /// How many readings.
    pub readings: u64,
    /// The first and the last moment.
    pub span: Option<(Timestamp, Timestamp)>,
    /// The coldest and the warmest reading.
    pub extremes: Option<(Temperature, Temperature)>,
    /// How many gaps, and how long they are together in seconds.
    pub gaps: u64,
    /// Seconds in gaps.
    pub gap_s: f64,
    /// Time above each limit that was asked for.
    pub above: Vec<Above>,
}

/// Takes readings one by one, in time order, and keeps only sums.
#[derive(Debug, Clone)]
pub struct History {
    gap_s: f64,
    last: Option<Reading>,
    summary: Summary,
}

impl History {
    /// A history in which readings further apart than `gap_s` seconds leave a gap; limits as asked for.
    pub fn new(gap_s: f64, limits: impl IntoIterator<Item = Temperature>) -> Self {
        let above = limits.into_iter().map(|limit| Above {
            limit,
            known_s: 0.0,
            below_s: 0.0,
            unknown_s: 0.0,
            longest_s: 0.0,
            first: None,
            run_s: 0.0,
        });
        let summary =
            Summary { readings: 0, span: None, extremes: None, gaps: 0, gap_s: 0.0, above: above.collect() };
        Self { gap_s, last: None, summary }
    }

    /// Takes the next reading; it must be later than the one before, as [`crate::import`] hands them on.
    pub fn push(&mut self, reading: Reading) {
        let summary = &mut self.summary;
        summary.readings += 1;
        summary.span = Some((summary.span.map_or(reading.at, |(first, _)| first), reading.at));
        let (coldest, warmest) = summary.extremes.unwrap_or((reading.temperature, reading.temperature));
        summary.extremes = Some((
            if reading.temperature.cmp_limit(coldest).is_lt() { reading.temperature } else { coldest },
            if reading.temperature.cmp_limit(warmest).is_gt() { reading.temperature } else { warmest },
        ));
        if let Some(last) = self.last {
            let length_s = reading.seconds() - last.seconds();
            let gap = length_s > self.gap_s;
            if gap {
                summary.gaps += 1;
                summary.gap_s += length_s;
            }
            for above in &mut summary.above {
                if gap { above.skip(length_s) } else { above.piece(last, reading) }
            }
        }
        self.last = Some(reading);
    }

    /// The sums so far.
    pub fn summary(&self) -> &Summary {
        &self.summary
    }
}

impl Above {
    fn skip(&mut self, length_s: f64) {
        self.unknown_s += length_s;
        self.run_s = 0.0;
    }

    /// A straight line from one reading to the next.
    fn piece(&mut self, from: Reading, to: Reading) {
        let unit = self.limit.unit;
        let (start, end) = (from.in_unit(unit) - self.limit.value, to.in_unit(unit) - self.limit.value);
        let length_s = to.seconds() - from.seconds();
        let above_s = match (start > 0.0, end > 0.0) {
            (true, true) => length_s,
            (true, false) => length_s * start / (start - end),
            (false, true) => length_s * end / (end - start),
            (false, false) => 0.0,
        };
        self.known_s += above_s;
        self.below_s += length_s - above_s;
        if above_s > 0.0 && self.first.is_none() {
            let until_above_ms = if start > 0.0 { 0.0 } else { (length_s - above_s) * 1000.0 };
            self.first = from.at.checked_add(jiff::SignedDuration::from_millis(until_above_ms as i64)).ok();
        }
        if start <= 0.0 {
            self.run_s = 0.0;
        }
        self.run_s += above_s;
        if self.longest_s.total_cmp(&self.run_s) == Ordering::Less {
            self.longest_s = self.run_s;
        }
        if end <= 0.0 {
            self.run_s = 0.0;
        }
    }
}
