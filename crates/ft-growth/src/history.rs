//! A logged temperature history: straight lines between readings, and what is done where readings are missing.

use std::fmt;

/// The temperature at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Hours since the moment that the history counts from.
    pub hours: f64,
    /// Temperature, °C.
    pub celsius: f64,
}

/// A stretch over which the temperature runs in a straight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// Hours since the start of the history.
    pub start: f64,
    /// How long, h; above zero.
    pub hours: f64,
    /// Temperature at its beginning, °C.
    pub from: f64,
    /// Temperature at its end, °C.
    pub to: f64,
    /// Whether no reading tells what happened within, so that the temperature is an assumption.
    pub is_gap: bool,
}

/// What is assumed where readings are missing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapRule {
    /// Readings further apart than this have a gap between them, h.
    pub longest_h: f64,
    /// Warmest that the surroundings can have been, °C, if known.
    pub ambient: Option<f64>,
}

impl GapRule {
    /// Fifteen minutes, surroundings unknown. Source: none, our choice: three missed readings of a 5-minute log.
    pub const USUAL: Self = Self { longest_h: 0.25, ambient: None };

    /// Straight lines however far the readings are apart: for histories that are drawn, not logged.
    pub const NONE: Self = Self { longest_h: f64::INFINITY, ambient: None };
}

/// Temperatures over time, from readings in order.
#[derive(Debug, Clone, PartialEq)]
pub struct History {
    /// At least one, each beginning where the one before ends.
    segments: Vec<Segment>,
}

/// Why readings are no history; numbers count readings from 1.
#[derive(Debug, Clone, PartialEq)]
pub enum BadHistory {
    /// Fewer than two readings: no time passes.
    TooShort,
    /// A time or temperature that is not a finite number.
    NotANumber {
        /// Which reading.
        number: usize,
    },
    /// A reading that is earlier than the one before it.
    Backwards {
        /// Which reading.
        number: usize,
        /// Hours by which it is earlier.
        by: f64,
    },
    /// A reading at the same time as the one before it.
    SameTime {
        /// Which reading.
        number: usize,
    },
    /// A temperature that no probe in a kitchen reads.
    Implausible {
        /// Which reading.
        number: usize,
        /// The temperature, °C.
        celsius: f64,
    },
}

/// Least and greatest temperature that is believed, °C. Source: none, our choice: colder than any freezer for
/// product and as hot as boiling water; a log in °F that is read as °C mostly falls outside.
pub const PLAUSIBLE: (f64, f64) = (-45.0, 100.0);

impl fmt::Display for BadHistory {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooShort => f.write_str("a history needs at least two readings"),
            Self::NotANumber { number } => {
                write!(f, "reading {number} has no number for time or temperature")
            }
            Self::Backwards { number, by } => write!(
                f,
                "reading {number} is {:.0} min earlier than the reading before it; sort the log, or look for a \
                 clock that was set back",
                by * 60.0
            ),
            Self::SameTime { number } => {
                write!(f, "reading {number} has the same time as the reading before it; keep one of them")
            }
            Self::Implausible { number, celsius } => write!(
                f,
                "reading {number} is {celsius} °C, outside {} to {} °C; is the log in °F?",
                PLAUSIBLE.0, PLAUSIBLE.1
            ),
        }
    }
}

impl std::error::Error for BadHistory {}

impl History {
    /// The history of the readings, which must be sorted by time.
    ///
    /// Between readings the temperature is a straight line. Where they are further apart than `rule.longest_h` it
    /// is not: the whole gap is taken as the warmest of both ends and the surroundings.
    ///
    /// # Errors
    /// [`BadHistory`] naming the first reading that is out of order, doubled or implausible. Nothing is dropped.
    pub fn new(readings: &[Reading], rule: GapRule) -> Result<Self, BadHistory> {
        if readings.len() < 2 {
            return Err(BadHistory::TooShort);
        }
        for (index, reading) in readings.iter().enumerate() {
            plausible(*reading, index + 1)?;
        }
        let start = readings[0].hours;
        let mut segments = Vec::with_capacity(readings.len() - 1);
        for (index, pair) in readings.windows(2).enumerate() {
            let hours = pair[1].hours - pair[0].hours;
            if hours < 0.0 {
                return Err(BadHistory::Backwards { number: index + 2, by: -hours });
            }
            if hours == 0.0 {
                return Err(BadHistory::SameTime { number: index + 2 });
            }
            segments.push(segment(pair[0], pair[1], start, rule));
        }
        Ok(Self { segments })
    }

    /// The stretches, in order.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// How long it lasts, h.
    pub fn hours(&self) -> f64 {
        self.segments.last().map_or(0.0, |last| last.start + last.hours)
    }

    /// The gaps, in order.
    pub fn gaps(&self) -> impl Iterator<Item = &Segment> {
        self.segments.iter().filter(|segment| segment.is_gap)
    }

    /// The same on a colder shelf, `by` °C below what was logged, `by` not negative.
    ///
    /// Gaps stay as they are: a colder shelf does not change what is not known.
    #[must_use]
    pub fn colder_by(&self, by: f64) -> Self {
        let colder = |segment: &Segment| {
            let drop = if segment.is_gap { 0.0 } else { by.max(0.0) };
            Segment { from: segment.from - drop, to: segment.to - drop, ..*segment }
        };
        Self { segments: self.segments.iter().map(colder).collect() }
    }

    /// Warmest temperature, °C, assumptions included.
    pub fn warmest(&self) -> f64 {
        self.segments.iter().map(|s| s.from.max(s.to)).fold(f64::NEG_INFINITY, f64::max)
    }
}

fn segment(from: Reading, to: Reading, start: f64, rule: GapRule) -> Segment {
    let hours = to.hours - from.hours;
    // A log of exactly fifteen-minute steps in minutes does not become full of gaps by rounding to hours.
    let is_gap = hours > rule.longest_h * (1.0 + 1e-9);
    let (first, last) = if is_gap {
        let warmest = from.celsius.max(to.celsius).max(rule.ambient.unwrap_or(f64::NEG_INFINITY));
        (warmest, warmest)
    } else {
        (from.celsius, to.celsius)
    };
    Segment { start: from.hours - start, hours, from: first, to: last, is_gap }
}

fn plausible(reading: Reading, number: usize) -> Result<(), BadHistory> {
    if !(reading.hours.is_finite() && reading.celsius.is_finite()) {
        return Err(BadHistory::NotANumber { number });
    }
    if !(PLAUSIBLE.0 <= reading.celsius && reading.celsius <= PLAUSIBLE.1) {
        return Err(BadHistory::Implausible { number, celsius: reading.celsius });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::{BadHistory, GapRule, History, Reading};

    fn readings(pairs: &[(f64, f64)]) -> Vec<Reading> {
        pairs.iter().map(|&(minutes, celsius)| Reading { hours: minutes / 60.0, celsius }).collect()
    }

    #[test]
    fn bad_readings_are_named() {
        let says = |pairs: &[(f64, f64)]| History::new(&readings(pairs), GapRule::USUAL).unwrap_err();
        assert_eq!(says(&[(0.0, 4.0)]), BadHistory::TooShort);
        assert_eq!(says(&[(0.0, 4.0), (5.0, 4.0), (5.0, 4.0)]), BadHistory::SameTime { number: 3 });
        assert!(matches!(
            says(&[(0.0, 4.0), (65.0, 4.0), (5.0, 4.0)]),
            BadHistory::Backwards { number: 3, .. }
        ));
        assert!(matches!(says(&[(0.0, 4.0), (5.0, 140.0)]), BadHistory::Implausible { number: 2, .. }));
        assert_eq!(says(&[(0.0, 4.0), (f64::NAN, 4.0)]), BadHistory::NotANumber { number: 2 });
        let backwards = says(&[(0.0, 4.0), (65.0, 4.0), (5.0, 4.0)]).to_string();
        assert!(backwards.starts_with("reading 3 is 60 min earlier"), "{backwards}");
    }

    /// A straight line over four unlogged hours would call a power cut a cool evening.
    #[test]
    fn a_gap_is_as_warm_as_its_warmest_neighbour_or_the_room() {
        let log = readings(&[(0.0, 3.0), (5.0, 3.0), (245.0, 8.0), (250.0, 8.0)]);
        let unknown = History::new(&log, GapRule::USUAL).unwrap();
        let gap = unknown.gaps().next().unwrap();
        assert_eq!((gap.from, gap.to), (8.0, 8.0));
        let room = History::new(&log, GapRule { ambient: Some(24.0), ..GapRule::USUAL }).unwrap();
        assert_eq!(room.warmest().to_bits(), 24.0_f64.to_bits());
        assert_eq!(History::new(&log, GapRule::NONE).unwrap().gaps().count(), 0);
    }
}
