//! What has to go, and by when.

use std::collections::BTreeMap;

use ft_coldchain::KeepUntil;
use ft_record::LotOrigin;
use jiff::civil::Date;
use serde::Serialize;

use crate::books::Books;
use crate::carry::UNKNOWN;
use crate::limits::Limits;
use crate::trace::parts;

/// Whether something has to go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Due {
    /// It should have gone before today, or nobody knows how old it is: not to be served.
    Now,
    /// Today is its last day.
    Today,
    /// It may be kept beyond today.
    Later,
}

/// A moment to which a prediction shortens the date of a place. It never lengthens one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Predicted {
    /// When it has to be gone, milliseconds since 1970.
    pub by_ms: i64,
    /// Why, in words.
    pub because: String,
}

/// The last day of what is in a place, who decides it, and the lots that it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct LastDay {
    /// The day.
    pub until: KeepUntil,
    /// When it has to be gone, milliseconds since 1970: the end of that day, or an hour of it; `None`: now.
    pub by_ms: Option<i64>,
    /// Which lot and which rule.
    pub decides: String,
    /// The lot that imposes it; `None` where the vessel itself does.
    pub lot: Option<String>,
}

impl Due {
    /// Of a last day at a moment of a day.
    pub(crate) fn of(last: &LastDay, at_ms: i64, today: Date) -> Self {
        match last.until {
            KeepUntil::Discard => Self::Now,
            KeepUntil::Day(_) if last.by_ms.is_none_or(|by_ms| by_ms <= at_ms) => Self::Now,
            KeepUntil::Day(last) if last <= today => Self::Today,
            KeepUntil::Day(_) => Self::Later,
        }
    }
}

impl LastDay {
    /// A date that ends with its day.
    fn of_day(until: KeepUntil, decides: String, lot: Option<String>, limits: &Limits) -> Self {
        let by_ms = match until {
            KeepUntil::Discard => None,
            KeepUntil::Day(day) => limits.end_of(day),
        };
        Self { until, by_ms, decides, lot }
    }

    /// A date that ends at a moment.
    fn of_moment(by_ms: i64, decides: String, lot: Option<String>, limits: &Limits) -> Self {
        Self { until: KeepUntil::Day(limits.day(by_ms)), by_ms: Some(by_ms), decides, lot }
    }
}

/// The last day of what is in a place at a moment: what is combined keeps the earliest date of its parts, however
/// small their share; kept product goes by the rule on rerun; a lot that was called back goes now.
pub(crate) fn last_day(
    books: &Books,
    place: &str,
    lots: &[(String, f64)],
    at_ms: i64,
    limits: &Limits,
    predicted: &BTreeMap<String, Predicted>,
) -> LastDay {
    let today = limits.day(at_ms);
    let of_lot = |name: &str| {
        let lot = books.lots().get(name).filter(|_| name != UNKNOWN);
        let (until, decides) = match lot {
            None => (KeepUntil::Discard, "nobody knows where it came from".to_owned()),
            Some(lot) if lot.recalled().is_some() => (KeepUntil::Discard, "it was called back".to_owned()),
            Some(lot) => lot.keep_until(limits, today),
        };
        LastDay::of_day(until, decides, Some(name.to_owned()), limits)
    };
    let mut all: Vec<LastDay> = lots.iter().map(|(name, _)| of_lot(name)).collect();
    all.extend(rerun(books, place, limits));
    if let Some(predicted) = predicted.get(place) {
        let decides = format!("a prediction, which can only shorten: {}", predicted.because);
        all.push(LastDay::of_moment(predicted.by_ms, decides, None, limits));
    }
    let nothing = LastDay::of_day(KeepUntil::Discard, "nothing is in it".to_owned(), None, limits);
    all.into_iter().min_by_key(|one| (one.until, one.by_ms)).unwrap_or(nothing)
}

/// What the rule on rerun says of a can of kept product.
fn rerun(books: &Books, place: &str, limits: &Limits) -> Option<LastDay> {
    let lot = books.lots().get(place).filter(|lot| lot.origin() == Some(LotOrigin::Rerun))?;
    let discard =
        |decides: String| Some(LastDay::of_day(KeepUntil::Discard, decides, Some(place.to_owned()), limits));
    if let Some(forbids) = &limits.rerun_forbidden {
        return discard(format!("product that was drawn off is not used again, {forbids}"));
    }
    if lot.recalled().is_some() {
        return discard("it was called back".to_owned());
    }
    let rule = limits.rerun.as_ref()?;
    let by_ms = lot.begun_ms()?.saturating_add((rule.hours * 3_600_000.0) as i64);
    let decides = format!("{} h from drawing off, {}", rule.hours, rule.decides);
    Some(LastDay::of_moment(by_ms, decides, Some(place.to_owned()), limits))
}

/// Places that hold something, with what is in them.
pub(crate) fn held(ledger: &ft_rerun::Ledger) -> Vec<(String, Vec<(String, f64)>)> {
    let all = ledger.vessels().map(|place| (place.to_owned(), parts(ledger, place)));
    all.filter(|(_, parts)| !parts.is_empty()).collect()
}
