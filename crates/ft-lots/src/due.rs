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

/// A day to which a prediction shortens the date of a place. It never lengthens one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Predicted {
    /// The last day that the prediction leaves.
    pub day: Date,
    /// Why, in words.
    pub because: String,
}

/// The last day of what is in a place, who decides it, and the lots that it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct LastDay {
    /// The day.
    pub until: KeepUntil,
    /// Which lot and which rule.
    pub decides: String,
    /// The lot that imposes it; `None` where the vessel itself does.
    pub lot: Option<String>,
}

impl Due {
    /// Of a last day on a day.
    pub fn on(until: KeepUntil, today: Date) -> Self {
        match until {
            KeepUntil::Discard => Self::Now,
            KeepUntil::Day(last) if last < today => Self::Now,
            KeepUntil::Day(last) if last == today => Self::Today,
            KeepUntil::Day(_) => Self::Later,
        }
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
        LastDay { until, decides, lot: Some(name.to_owned()) }
    };
    let mut all: Vec<LastDay> = lots.iter().map(|(name, _)| of_lot(name)).collect();
    all.extend(rerun(books, place, limits));
    if let Some(predicted) = predicted.get(place) {
        all.push(LastDay {
            until: KeepUntil::Day(predicted.day),
            decides: format!("a prediction, which can only shorten: {}", predicted.because),
            lot: None,
        });
    }
    let nothing = LastDay { until: KeepUntil::Discard, decides: "nothing is in it".to_owned(), lot: None };
    all.into_iter().min_by_key(|one| one.until).unwrap_or(nothing)
}

/// What the rule on rerun says of a can of kept product.
fn rerun(books: &Books, place: &str, limits: &Limits) -> Option<LastDay> {
    let lot = books.lots().get(place).filter(|lot| lot.origin() == Some(LotOrigin::Rerun))?;
    let of = |until, decides| Some(LastDay { until, decides, lot: Some(place.to_owned()) });
    if let Some(forbids) = &limits.rerun_forbidden {
        return of(KeepUntil::Discard, format!("product that was drawn off is not used again, {forbids}"));
    }
    if lot.recalled().is_some() {
        return of(KeepUntil::Discard, "it was called back".to_owned());
    }
    let rule = limits.rerun.as_ref()?;
    let begun = lot.begun_ms()?;
    let until = KeepUntil::Day(limits.day(begun.saturating_add((rule.hours * 3_600_000.0) as i64)));
    of(until, format!("{} h from drawing off, {}", rule.hours, rule.decides))
}

/// Places that hold something, with what is in them.
pub(crate) fn held(ledger: &ft_rerun::Ledger) -> Vec<(String, Vec<(String, f64)>)> {
    let all = ledger.vessels().map(|place| (place.to_owned(), parts(ledger, place)));
    all.filter(|(_, parts)| !parts.is_empty()).collect()
}
