//! What was told of a lot, and the dates that follow from it.

use std::collections::BTreeSet;

use ft_coldchain::{DateMark, Frozen, KeepUntil};
use ft_record::{Event, Fact, LotOrigin};
use jiff::civil::Date;

use crate::limits::Limits;

/// A lot, or a can of kept product.
#[derive(Debug, Clone, PartialEq)]
pub struct Lot {
    /// Its name.
    pub name: String,
    /// What was told, sorted by time.
    told: Vec<Told>,
}

#[derive(Debug, Clone, PartialEq)]
struct Told {
    at_ms: i64,
    event: String,
    what: What,
}

#[derive(Debug, Clone, PartialEq)]
enum What {
    Received { product: String, litres: f64, origin: LotOrigin, use_by: Option<String> },
    Opened,
    Drawn,
    Stored(String),
    Recalled(String),
}

impl Lot {
    pub(crate) fn new(name: &str) -> Self {
        Self { name: name.to_owned(), told: Vec::new() }
    }

    pub(crate) fn note(&mut self, event: &Event) {
        let what = match &event.fact {
            Fact::LotReceived { product, litres, origin, use_by, .. } => What::Received {
                product: product.clone(),
                litres: *litres,
                origin: *origin,
                use_by: use_by.clone(),
            },
            Fact::LotOpened { .. } => What::Opened,
            Fact::Blended { .. } | Fact::Served { .. } => What::Drawn,
            Fact::Stored { place, .. } => What::Stored(place.clone()),
            Fact::Recalled { because, .. } => What::Recalled(because.clone()),
            _ => return,
        };
        let at = self.told.partition_point(|told| told.at_ms <= event.at_ms);
        self.told.insert(at, Told { at_ms: event.at_ms, event: event.id.clone(), what });
    }

    pub(crate) fn take_out(&mut self, id: &str) {
        self.told.retain(|told| told.event != id);
    }

    pub(crate) fn is_untold(&self) -> bool {
        self.told.is_empty()
    }

    /// What it is, where that was told.
    pub fn product(&self) -> Option<&str> {
        self.told.iter().find_map(|told| match &told.what {
            What::Received { product, .. } => Some(product.as_str()),
            _ => None,
        })
    }

    /// Where it came from, where that was told.
    pub fn origin(&self) -> Option<LotOrigin> {
        self.told.iter().find_map(|told| match &told.what {
            What::Received { origin, .. } => Some(*origin),
            _ => None,
        })
    }

    /// When it came in or was made; what was never received begins when it was first told of.
    pub fn begun_ms(&self) -> Option<i64> {
        let received = self.told.iter().find(|told| matches!(told.what, What::Received { .. }));
        received.or(self.told.first()).map(|told| told.at_ms)
    }

    /// Where it was put last.
    pub fn place(&self) -> Option<&str> {
        self.told.iter().rev().find_map(|told| match &told.what {
            What::Stored(place) => Some(place.as_str()),
            _ => None,
        })
    }

    /// Where it was put, and when, in the order of time.
    pub fn stays(&self) -> Vec<(i64, &str)> {
        let put = self.told.iter().filter_map(|told| match &told.what {
            What::Stored(place) => Some((told.at_ms, place.as_str())),
            _ => None,
        });
        put.collect()
    }

    /// Why it was called back, if it was, and by which event.
    pub fn recalled(&self) -> Option<(&str, &str)> {
        self.told.iter().find_map(|told| match &told.what {
            What::Recalled(because) => Some((because.as_str(), told.event.as_str())),
            _ => None,
        })
    }

    /// The events that its dates rest on.
    pub fn evidence(&self) -> Vec<String> {
        self.told.iter().map(|told| told.event.clone()).collect()
    }

    /// Day one of its date mark: made here, opened, thawed, or first drawn from, whichever came first. `None` while
    /// its pack is closed.
    pub fn day_one(&self, limits: &Limits) -> Option<Date> {
        let begins = |told: &&Told| match &told.what {
            What::Received { origin, .. } => *origin == LotOrigin::Made,
            What::Opened | What::Drawn => true,
            What::Stored(_) | What::Recalled(_) => false,
        };
        self.told.iter().find(begins).map(|told| limits.day(told.at_ms))
    }

    /// The date on its pack; `None` where there is none. A text that is no date counts as a date that has passed.
    fn use_by(&self) -> Option<Date> {
        self.told.iter().find_map(|told| match &told.what {
            What::Received { use_by: Some(text), .. } => Some(text.parse().unwrap_or(Date::MIN)),
            _ => None,
        })
    }

    /// Its last day under the limits, and what decides. A closed pack keeps the date on it; without one nobody
    /// knows, and it goes.
    pub fn keep_until(&self, limits: &Limits, today: Date) -> (KeepUntil, String) {
        let use_by = self.use_by();
        let Some(day_one) = self.day_one(limits) else {
            return match use_by {
                Some(day) => (KeepUntil::Day(day), "the date on its pack".to_owned()),
                None => (KeepUntil::Discard, "it carries no date".to_owned()),
            };
        };
        let Some(mark) = &limits.mark else {
            return match use_by {
                Some(day) => (
                    KeepUntil::Day(day),
                    "the date on its pack; no rule set says for how many days".to_owned(),
                ),
                None => (KeepUntil::Discard, "no rule set in force says for how many days".to_owned()),
            };
        };
        let lot = DateMark {
            day_one: Some(day_one),
            maker_until: use_by,
            frozen: self.frozen(&limits.freezers, limits, today),
        };
        let until = lot.keep_until(mark.days, mark.freezing_stops);
        let decides = if use_by.is_some_and(|day| until == KeepUntil::Day(day)) {
            "the date on its pack".to_owned()
        } else {
            format!("{} days from {day_one}, {}", mark.days, mark.decides)
        };
        (until, decides)
    }

    /// Stays in a freezer after day one.
    fn frozen(&self, freezers: &BTreeSet<String>, limits: &Limits, today: Date) -> Vec<Frozen> {
        let day_one = self.day_one(limits);
        let mut stays: Vec<Frozen> = Vec::new();
        let mut since: Option<Date> = None;
        for told in &self.told {
            let What::Stored(place) = &told.what else { continue };
            let day = limits.day(told.at_ms);
            match (since, freezers.contains(place)) {
                (None, true) => since = Some(day),
                (Some(from), false) => {
                    stays.push(Frozen { from, until: day });
                    since = None;
                }
                (None, false) | (Some(_), true) => {}
            }
        }
        if let Some(from) = since {
            stays.push(Frozen { from, until: today.max(from) });
        }
        stays.retain(|stay| day_one.is_some_and(|day| day <= stay.from));
        stays
    }
}
