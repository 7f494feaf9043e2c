//! From what a logger wrote to a moment, through the nights on which clocks change.

use jiff::civil::DateTime;
use jiff::tz::{AmbiguousOffset, TimeZone};
use jiff::{SignedDuration, Timestamp};

/// Why a text is no moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoMoment {
    /// It cannot be read.
    Unreadable,
    /// The clocks jumped over it.
    Skipped,
}

/// A moment, and whether the clock showed that time twice and nothing told which was meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    /// When.
    pub at: Timestamp,
    /// Shown twice, and the earlier was taken because nothing before told otherwise.
    pub guessed: bool,
}

/// Reads a moment. Times with an offset are what they say; others are of `zone`.
///
/// In the hour that a clock shows twice, the order of the log tells: the earlier is taken unless that would not
/// be after `before`, the moment of the row above.
///
/// # Errors
/// [`NoMoment`]
pub fn read(
    text: &str,
    format: Option<&str>,
    zone: &TimeZone,
    before: Option<Timestamp>,
) -> Result<Moment, NoMoment> {
    let civil = match format {
        Some(format) => match Timestamp::strptime(format, text) {
            Ok(at) => return Ok(Moment { at, guessed: false }),
            Err(_) => DateTime::strptime(format, text).map_err(|_| NoMoment::Unreadable)?,
        },
        None => match text.parse::<Timestamp>() {
            Ok(at) => return Ok(Moment { at, guessed: false }),
            Err(_) => text.parse::<DateTime>().map_err(|_| NoMoment::Unreadable)?,
        },
    };
    match zone.to_ambiguous_timestamp(civil).offset() {
        AmbiguousOffset::Unambiguous { offset } => at(offset.to_timestamp(civil), false),
        AmbiguousOffset::Gap { .. } => Err(NoMoment::Skipped),
        AmbiguousOffset::Fold { before: first, after: second } => {
            let (first, second) = (first.to_timestamp(civil), second.to_timestamp(civil));
            let Some(before) = before else { return at(first, true) };
            match first {
                // Within six hours of the row above the order tells; after a longer silence nothing does.
                Ok(first) if first > before => at(Ok(first), first.duration_since(before) > SIX_HOURS),
                _ => at(second, false),
            }
        }
    }
}

const SIX_HOURS: SignedDuration = SignedDuration::from_hours(6);

fn at(moment: Result<Timestamp, jiff::Error>, guessed: bool) -> Result<Moment, NoMoment> {
    moment.map(|at| Moment { at, guessed }).map_err(|_| NoMoment::Unreadable)
}
