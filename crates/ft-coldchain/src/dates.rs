//! Date marks and time as a control.

use ft_units::{Temperature, Time, TimeUnit};
use jiff::civil::Date;
use jiff::{SignedDuration, Timestamp, ToSpan};

/// Time in the freezer: the day it went in, and the day it came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Frozen {
    /// The day it went in; still counted.
    pub from: Date,
    /// The day it came out; counted again.
    pub until: Date,
}

/// What is known of one lot.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct DateMark {
    /// Day of preparation, or of opening: day one. `None` where nobody marked it.
    pub day_one: Option<Date>,
    /// The maker's last day, if any.
    pub maker_until: Option<Date>,
    /// Stays in the freezer, in order, not overlapping. Counted only where every text in force stops the clock.
    pub frozen: Vec<Frozen>,
}

/// Until when food may be kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum KeepUntil {
    /// Not marked, or marked with dates that contradict each other: discard.
    Discard,
    /// The last day; discard after it.
    Day(Date),
}

impl DateMark {
    /// The last day under a limit of `days`, the first of which is day one (a limit of 1 ends the same day).
    ///
    /// Days wholly in the freezer are not counted where `freezing_stops` says that the texts allow it. The maker's
    /// last day is never passed.
    pub fn keep_until(&self, days: u32, freezing_stops: bool) -> KeepUntil {
        let Some(day_one) = self.day_one else { return KeepUntil::Discard };
        let mut frozen_days = 0;
        let mut before = day_one;
        for stay in &self.frozen {
            if stay.from < before || stay.until < stay.from {
                return KeepUntil::Discard;
            }
            before = stay.until;
            let whole = stay.from.until(stay.until).map_or(0, |span| i64::from(span.get_days()) - 1).max(0);
            frozen_days += if freezing_stops { whole } else { 0 };
        }
        if days == 0 {
            return KeepUntil::Discard;
        }
        let last = i64::from(days) - 1 + frozen_days;
        let Ok(last) = day_one.checked_add(last.days()) else { return KeepUntil::Discard };
        KeepUntil::Day(self.maker_until.map_or(last, |until| until.min(last)))
    }
}

impl KeepUntil {
    /// Food that is combined keeps the earliest date. Nothing combined is to be discarded: nobody knows its date.
    pub fn combined(lots: impl IntoIterator<Item = KeepUntil>) -> KeepUntil {
        lots.into_iter().min().unwrap_or(KeepUntil::Discard)
    }

    /// Takes a prediction, which may shorten the date and never lengthens it.
    #[must_use]
    pub fn shortened_to(self, predicted: Date) -> KeepUntil {
        self.min(KeepUntil::Day(predicted))
    }

    /// Whether food may be used on a day.
    pub fn holds_on(self, day: Date) -> bool {
        match self {
            Self::Discard => false,
            Self::Day(last) => day <= last,
        }
    }
}

/// Food out of temperature control.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimeControl {
    /// It was too warm when it left control: not allowed.
    NotAllowed,
    /// Serve or discard by this moment, which is marked on it.
    Until(Timestamp),
}

/// By when food that left temperature control has to be served or discarded.
///
/// `start_most` and `allowed` come from the rules in force. Elapsed time counts, so a clock change moves the time
/// on the wall. A moment beyond the calendar is not allowed.
pub fn time_control(
    left_at: Timestamp,
    temperature: Temperature,
    start_most: Temperature,
    allowed: Time,
) -> TimeControl {
    if temperature.cmp_limit(start_most).is_gt() {
        return TimeControl::NotAllowed;
    }
    let allowed = SignedDuration::from_secs(allowed.in_unit(TimeUnit::Second) as i64);
    left_at.checked_add(allowed).map_or(TimeControl::NotAllowed, TimeControl::Until)
}
