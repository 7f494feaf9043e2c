//! What is shown and sent: plain structs that serialise to the JSON of docs/lots.md.

use std::collections::BTreeMap;

use ft_coldchain::KeepUntil;
use ft_record::LotOrigin;
use jiff::civil::Date;
use serde::Serialize;

use crate::books::{Books, is_vessel};
use crate::carry::{Shortfall, UNKNOWN};
use crate::due::{Due, Predicted, held, last_day};
use crate::limits::Limits;
use crate::lot::Lot;
use crate::trace::{Glass, Trace, backward, forward, machine_of};

/// Said with every date and every trace.
pub const CAUTION: &str = "Dates and shares follow from what was recorded and from vessels taken as stirred. A date \
     that has come stands, whatever a prediction says. Your local code, the label and your own eyes come first.";

/// Everything that is held at a moment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct InventoryView {
    /// When, milliseconds since 1970.
    pub at_ms: i64,
    /// The day where the kitchen is, `YYYY-MM-DD`.
    pub today: String,
    /// What is held, what has to go first at the top.
    pub held: Vec<Held>,
    /// Draws of more than the books held.
    pub shortfalls: Vec<Shortfall>,
    /// Said with it.
    pub caution: &'static str,
}

/// Something that holds product.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Held {
    /// The lot or `machine/vessel`.
    pub place: String,
    /// Whether it is a vessel of a machine, a delivered or made lot, or a can of kept product.
    pub kind: &'static str,
    /// Where it was put last, of a lot.
    pub stored: Option<String>,
    /// Its content.
    pub contents: Contents,
    /// The last day, `YYYY-MM-DD`; `None`: it has to go now.
    pub last_day: Option<String>,
    /// When it has to be gone, milliseconds since 1970: the end of that day, or an hour of it; `None`: now.
    pub by_ms: Option<i64>,
    /// Who says so.
    pub decides: String,
    /// The lot that imposes the date.
    pub decided_by_lot: Option<String>,
    /// Whether it has to go.
    pub due: Due,
}

/// What is in a place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Contents {
    /// Litres.
    pub litres: f64,
    /// Lots in it, the largest share first. The shares sum to 1, but for rounding.
    pub shares: Vec<Share>,
    /// The oldest lot in it.
    pub oldest_lot: Option<String>,
    /// Its age, days.
    pub oldest_days: Option<f64>,
    /// Its share.
    pub oldest_share: Option<f64>,
    /// Mean age by volume, days; `None` where some of it is of unknown origin.
    pub mean_days: Option<f64>,
}

/// A lot's share of something.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Share {
    /// The lot.
    pub lot: String,
    /// What it is.
    pub product: Option<String>,
    /// Its share, above 0 to 1.
    pub share: f64,
    /// Litres.
    pub litres: f64,
    /// Days since it came in or was made; `None`: nobody knows.
    pub age_days: Option<f64>,
    /// Day one of its date mark, `YYYY-MM-DD`; `None`: closed, or unknown.
    pub day_one: Option<String>,
    /// Its last day, `YYYY-MM-DD`; `None`: it has to go now.
    pub last_day: Option<String>,
    /// Whether it was called back.
    pub recalled: bool,
}

/// What was in a glass.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GlassView {
    /// The vessel or lot that it was drawn from.
    pub place: String,
    /// When, milliseconds since 1970.
    pub at_ms: i64,
    /// What was in it, in shares of the glass; litres are those of the vessel.
    pub contents: Contents,
    /// Said with it.
    pub caution: &'static str,
}

/// Where a lot went; with a recall, what to do.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TraceView {
    /// The lot.
    pub lot: String,
    /// What it is.
    pub product: Option<String>,
    /// Why it was called back, if it was.
    pub recalled: Option<String>,
    /// Litres that came in.
    pub in_litres: f64,
    /// Litres of it that were served.
    pub served_litres: f64,
    /// Litres of it that were thrown away.
    pub away_litres: f64,
    /// Litres of it that are still there.
    pub held_litres: f64,
    /// Litres of products served that held some of it, however little.
    pub touched_litres: f64,
    /// Places that hold some of it now.
    pub hold_now: Vec<(String, f64)>,
    /// Every place that ever held some of it.
    pub places: Vec<VesselSpan>,
    /// Servings with some of it in them, in order of time.
    pub served: Vec<ServedLine>,
    /// The same by night and machine.
    pub nights: Vec<NightLine>,
    /// Said with it.
    pub caution: &'static str,
}

/// When a place held some of a lot.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VesselSpan {
    /// The place.
    pub place: String,
    /// From, milliseconds since 1970.
    pub from_ms: i64,
    /// Until; `None`: it still does.
    pub until_ms: Option<i64>,
}

/// Servings that were told together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServedLine {
    /// The event.
    pub event: String,
    /// The vessel.
    pub place: String,
    /// The machine.
    pub machine: Option<String>,
    /// The night, by the day on which its evening began, `YYYY-MM-DD`.
    pub night: String,
    /// Not before, milliseconds since 1970.
    pub from_ms: i64,
    /// Not after.
    pub until_ms: i64,
    /// Litres of the lot in it.
    pub litres: f64,
    /// Litres served.
    pub of_litres: f64,
    /// The lot's share of it.
    pub share: f64,
}

/// What of a lot one machine served in one night.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NightLine {
    /// The night, `YYYY-MM-DD`.
    pub night: String,
    /// The machine, or the place where it is no machine's.
    pub machine: String,
    /// Litres of the lot.
    pub litres: f64,
    /// Litres served that held some of it.
    pub of_litres: f64,
}

impl InventoryView {
    /// What is held at a moment. `predicted` shortens the date of a place.
    pub fn new(books: &Books, at_ms: i64, limits: &Limits, predicted: &BTreeMap<String, Predicted>) -> Self {
        let ledger = books.at(at_ms);
        let today = limits.day(at_ms);
        let mut all: Vec<Held> = held(&ledger)
            .into_iter()
            .map(|(place, parts)| {
                let last = last_day(books, &place, &parts, at_ms, limits, predicted);
                Held {
                    kind: kind(books, &place),
                    stored: books.lots().get(&place).and_then(|lot| lot.place()).map(str::to_owned),
                    contents: Contents::new(books, parts, at_ms, limits),
                    due: Due::of(&last, at_ms, today),
                    last_day: shown(last.until),
                    by_ms: last.by_ms,
                    decides: last.decides,
                    decided_by_lot: last.lot,
                    place,
                }
            })
            .collect();
        all.sort_by(|a, b| {
            let by = |held: &Held| (held.due, held.last_day.is_some(), held.by_ms);
            by(a).cmp(&by(b))
        });
        let shortfalls = books.shortfalls().filter(|one| one.at_ms <= at_ms).cloned().collect();
        Self { at_ms, today: today.to_string(), held: all, shortfalls, caution: CAUTION }
    }

    /// What has to go today or should have gone.
    pub fn due(&self) -> impl Iterator<Item = &Held> {
        self.held.iter().filter(|held| held.due <= Due::Today)
    }

    /// The place of that name, if it holds something.
    pub fn find(&self, place: &str) -> Option<&Held> {
        self.held.iter().find(|held| held.place == place)
    }
}

impl GlassView {
    /// What was in a glass that was drawn from a place at a moment.
    pub fn new(books: &Books, place: &str, at_ms: i64, limits: &Limits) -> Self {
        let Glass { place, at_ms, parts, .. } = backward(books, place, at_ms);
        let contents = Contents::new(books, parts, at_ms, limits);
        Self { place, at_ms, contents, caution: CAUTION }
    }
}

impl Contents {
    fn new(books: &Books, parts: Vec<(String, f64)>, at_ms: i64, limits: &Limits) -> Self {
        let litres = parts.iter().fold(0.0, |sum, (_, litres)| sum + litres);
        let today = limits.day(at_ms);
        let mut shares: Vec<Share> = parts
            .into_iter()
            .map(|(name, part)| {
                let lot = books.lots().get(&name).filter(|_| name != UNKNOWN);
                Share {
                    product: lot.and_then(|lot| lot.product()).map(str::to_owned),
                    share: part / litres,
                    litres: part,
                    age_days: lot.and_then(Lot::begun_ms).map(|begun| days(begun, at_ms)),
                    day_one: lot.and_then(|lot| lot.day_one(limits)).map(|day| day.to_string()),
                    last_day: lot.and_then(|lot| shown(lot.keep_until(limits, today).0)),
                    recalled: lot.is_some_and(|lot| lot.recalled().is_some()),
                    lot: name,
                }
            })
            .collect();
        shares
            .sort_by(|one, other| other.litres.total_cmp(&one.litres).then_with(|| one.lot.cmp(&other.lot)));
        let known = shares.iter().filter_map(|share| Some((share, share.age_days?)));
        let oldest = known.max_by(|one, other| one.1.total_cmp(&other.1)).map(|(share, _)| share.clone());
        let ages: Option<f64> = shares.iter().map(|share| Some(share.share * share.age_days?)).sum();
        Self {
            litres,
            oldest_lot: oldest.as_ref().map(|share| share.lot.clone()),
            oldest_days: oldest.as_ref().and_then(|share| share.age_days),
            oldest_share: oldest.as_ref().map(|share| share.share),
            mean_days: ages,
            shares,
        }
    }
}

impl TraceView {
    /// Where a lot went.
    pub fn new(books: &Books, lot: &str, limits: &Limits) -> Self {
        let trace = forward(books, lot);
        let known = books.lots().get(lot);
        let served = served(&trace, limits);
        let sum = |litres: &mut dyn Iterator<Item = f64>| litres.fold(0.0, |sum, one| sum + one);
        Self {
            lot: lot.to_owned(),
            product: known.and_then(|lot| lot.product()).map(str::to_owned),
            recalled: known.and_then(|lot| lot.recalled()).map(|(because, _)| because.to_owned()),
            in_litres: trace.in_litres,
            served_litres: sum(&mut served.iter().map(|line| line.litres)),
            away_litres: sum(&mut trace.away.iter().map(|(_, litres)| *litres)),
            held_litres: sum(&mut trace.held.iter().map(|(_, litres)| *litres)),
            touched_litres: sum(&mut served.iter().map(|line| line.of_litres)),
            hold_now: trace.held.clone(),
            places: spans(&trace),
            nights: nights(&served),
            served,
            caution: CAUTION,
        }
    }
}

fn spans(trace: &Trace) -> Vec<VesselSpan> {
    let mut all: Vec<VesselSpan> = trace
        .places
        .iter()
        .flat_map(|(place, spans)| {
            spans.iter().map(|(from_ms, until_ms)| VesselSpan {
                place: place.clone(),
                from_ms: *from_ms,
                until_ms: *until_ms,
            })
        })
        .collect();
    all.sort_by(|one, other| (one.from_ms, &one.place).cmp(&(other.from_ms, &other.place)));
    all
}

fn served(trace: &Trace, limits: &Limits) -> Vec<ServedLine> {
    let line = |one: &crate::trace::ServedWith| ServedLine {
        event: one.event.clone(),
        machine: machine_of(&one.place).map(str::to_owned),
        place: one.place.clone(),
        night: limits.night(one.at_ms).to_string(),
        from_ms: one.from_ms,
        until_ms: one.at_ms,
        litres: one.litres,
        of_litres: one.of_litres,
        share: one.litres / one.of_litres,
    };
    trace.served.iter().map(line).collect()
}

fn nights(served: &[ServedLine]) -> Vec<NightLine> {
    let mut by: BTreeMap<(&str, &str), (f64, f64)> = BTreeMap::new();
    for line in served {
        let machine = line.machine.as_deref().unwrap_or(&line.place);
        let sums = by.entry((&line.night, machine)).or_default();
        sums.0 += line.litres;
        sums.1 += line.of_litres;
    }
    by.into_iter()
        .map(|((night, machine), (litres, of_litres))| NightLine {
            night: night.to_owned(),
            machine: machine.to_owned(),
            litres,
            of_litres,
        })
        .collect()
}

fn kind(books: &Books, place: &str) -> &'static str {
    if is_vessel(place) {
        return "vessel";
    }
    match books.lots().get(place).and_then(Lot::origin) {
        Some(LotOrigin::Rerun) => "kept",
        Some(LotOrigin::Made) => "made",
        Some(LotOrigin::Delivered) => "delivered",
        None => "not received",
    }
}

fn shown(until: KeepUntil) -> Option<String> {
    match until {
        KeepUntil::Discard => None,
        KeepUntil::Day(day) if day == Date::MIN => None,
        KeepUntil::Day(day) => Some(day.to_string()),
    }
}

fn days(from_ms: i64, to_ms: i64) -> f64 {
    (to_ms - from_ms) as f64 / 86_400_000.0
}
