//! What the temperatures of where product was mean for it: nothing to add, discard earlier, or hold for a decision.
//!
//! Pure: a fold of the record's logged temperatures, and an answer for each place that holds something. A place is
//! logged by the readings of probes and loggers that are named like it: `machine/vessel`, or where a lot was put. What
//! is asked is the oldest lot in a place, all the way from where it stood first; where two places held some of it at
//! once, the warmer counts. An answer can only shorten a date.

use std::collections::BTreeMap;

use ft_growth::{Advice, GapRule, GrowthReport, History, Organism, Question, Reading, report};
use ft_lots::{Books, Held, InventoryView, Predicted, forward};
use ft_record::{Event, Fact, ReadingSource};
use ft_units::{Temperature, TemperatureUnit, parse};

use crate::site::Site;

const HOUR_MS: f64 = 3_600_000.0;
/// How long logs are kept in mind. Source: none, our choice: longer than any product of these machines is kept.
const KEPT_MS: i64 = 31 * 86_400_000;
/// Readings of a place beyond which old ones are looked for to forget.
const MANY: usize = 50_000;
/// The least share by which a lot counts as the oldest. Source: none, our choice: one part in a hundred; the rest of a
/// tank that is never emptied holds a little of everything for ever.
const LEAST_SHARE: f64 = 0.01;

/// Logged temperatures by place. A fold over events, in any order.
///
/// A reading that somebody corrected still counts: it can only shorten a date.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Logs {
    /// Sorted by time: milliseconds since 1970, °C.
    by: BTreeMap<String, Vec<(i64, f64)>>,
}

impl Logs {
    /// Takes in an event. What was typed by hand is a look, not a log, and is left out.
    pub fn apply(&mut self, event: &Event) {
        let Fact::Reading { of, value, unit, source: ReadingSource::Probe | ReadingSource::File, .. } =
            &event.fact
        else {
            return;
        };
        let Ok(read) = parse::<TemperatureUnit>(&format!("{value} {unit}")) else { return };
        let celsius = Temperature::in_unit(read, TemperatureUnit::Celsius);
        let log = self.by.entry(of.clone()).or_default();
        let at = log.partition_point(|(at_ms, _)| *at_ms <= event.at_ms);
        log.insert(at, (event.at_ms, celsius));
        if log.len() > MANY {
            let newest = log.last().map_or(event.at_ms, |(at_ms, _)| *at_ms);
            log.retain(|(at_ms, _)| newest - KEPT_MS <= *at_ms);
        }
    }

    /// Readings of a place within a span of time; empty where there are none.
    fn within(&self, place: &str, from_ms: i64, until_ms: i64) -> &[(i64, f64)] {
        let Some(log) = self.by.get(place) else { return &[] };
        let from = log.partition_point(|(at_ms, _)| *at_ms < from_ms);
        let until = log.partition_point(|(at_ms, _)| *at_ms <= until_ms);
        log.get(from..until).unwrap_or_default()
    }
}

/// What the temperatures mean for what is in a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    /// The lot that was followed, and its share, above 0 to 1.
    pub lot: (String, f64),
    /// When its first reading was, milliseconds since 1970.
    pub since_ms: i64,
    /// The report on its history.
    pub report: GrowthReport,
    /// What it adds to the dates that hold.
    pub advice: Advice,
    /// Where it was that no log tells of.
    pub unlogged: Vec<String>,
}

impl Kept {
    /// A moment since 1970 of an hour of the history.
    fn moment(&self, at_h: f64) -> i64 {
        self.since_ms.saturating_add((at_h * HOUR_MS) as i64)
    }

    /// The moment to which the date is shortened, milliseconds since 1970.
    pub fn discard_by_ms(&self) -> Option<i64> {
        match &self.advice {
            Advice::DiscardEarlier(reason) => Some(self.moment(reason.at_h)),
            Advice::NothingToAdd | Advice::HoldForDecision(_) => None,
        }
    }
}

/// What the temperatures mean for each place of an inventory; a place whose lot no log tells of is left out.
///
/// Cost: for each place the moves of one lot and the readings of where it was.
pub fn kept(
    books: &Books,
    inventory: &InventoryView,
    logs: &Logs,
    organisms: &[Organism],
) -> BTreeMap<String, Kept> {
    let all = inventory.held.iter();
    all.filter_map(|held| Some((held.place.clone(), one(books, held, inventory.at_ms, logs, organisms)?)))
        .collect()
}

/// Dates as the advice shortens them.
pub fn predicted(kept: &BTreeMap<String, Kept>) -> BTreeMap<String, Predicted> {
    let of = |(place, kept): (&String, &Kept)| {
        let because = match &kept.advice {
            Advice::DiscardEarlier(reason) => reason.because.clone(),
            Advice::NothingToAdd | Advice::HoldForDecision(_) => return None,
        };
        Some((place.clone(), Predicted { by_ms: kept.discard_by_ms()?, because }))
    };
    kept.iter().filter_map(of).collect()
}

fn one(books: &Books, held: &Held, at_ms: i64, logs: &Logs, organisms: &[Organism]) -> Option<Kept> {
    let counts = |share: &&ft_lots::Share| LEAST_SHARE <= share.share && share.age_days.is_some();
    let age = |share: &&ft_lots::Share| share.age_days.unwrap_or_default();
    let oldest = held.contents.shares.iter().filter(counts).max_by(|a, b| age(a).total_cmp(&age(b)))?;
    let stays = stays(books, &oldest.lot, at_ms);
    let spans: Vec<&[(i64, f64)]> =
        stays.iter().map(|stay| logs.within(&stay.place, stay.from_ms, stay.until_ms)).collect();
    let series = warmest(&spans);
    let (first, last) = (series.first()?.0, series.last()?.0);
    let readings: Vec<Reading> = series
        .iter()
        .map(|&(at, celsius)| Reading { hours: (at - first) as f64 / HOUR_MS, celsius })
        .collect();
    let history = History::new(&readings, GapRule::USUAL).ok()?;
    let report = report(&history, organisms, &Question { since: oldest.lot.clone(), ..Question::default() });
    let mut unlogged: Vec<String> = Vec::new();
    for (stay, span) in stays.iter().zip(&spans) {
        if span.is_empty() && stay.from_ms < stay.until_ms && !unlogged.contains(&stay.place) {
            unlogged.push(stay.place.clone());
        }
    }
    let silent_h = (at_ms - last) as f64 / HOUR_MS;
    let is_logged_now =
        stays.iter().zip(&spans).any(|(stay, span)| stay.until_ms == at_ms && !span.is_empty());
    let silence = if is_logged_now && silent_h > GapRule::USUAL.longest_h {
        let because = format!("no readings for the last {silent_h:.1} h; find out what happened");
        Advice::HoldForDecision(ft_growth::Reason { at_h: history.hours(), because })
    } else {
        Advice::NothingToAdd
    };
    let advice = report.advice.clone().or(silence);
    Some(Kept { lot: (oldest.lot.clone(), oldest.share), since_ms: first, report, advice, unlogged })
}

/// Where something stood.
struct Stay {
    place: String,
    from_ms: i64,
    until_ms: i64,
}

/// Where a lot was: vessels under their own names, and lots where they were put.
fn stays(books: &Books, lot: &str, at_ms: i64) -> Vec<Stay> {
    let mut all = Vec::new();
    for (place, spans) in forward(books, lot).places {
        let put: Vec<(i64, &str)> = books.lots().get(&place).map(ft_lots::Lot::stays).unwrap_or_default();
        for (from_ms, until) in spans {
            let until_ms = until.unwrap_or(at_ms).min(at_ms);
            if put.is_empty() {
                all.push(Stay { place: place.clone(), from_ms, until_ms });
            }
            for (index, (put_ms, at)) in put.iter().enumerate() {
                let next_ms = put.get(index + 1).map_or(until_ms, |(next_ms, _)| *next_ms);
                let (from_ms, until_ms) = (from_ms.max(*put_ms), until_ms.min(next_ms));
                if from_ms <= until_ms {
                    all.push(Stay { place: (*at).to_owned(), from_ms, until_ms });
                }
            }
        }
    }
    all.sort_by(|a, b| (a.from_ms, &a.place).cmp(&(b.from_ms, &b.place)));
    all
}

/// One series out of several: at each reading's time the warmest of those that reach over it.
fn warmest(spans: &[&[(i64, f64)]]) -> Vec<(i64, f64)> {
    let mut times: Vec<i64> = spans.iter().flat_map(|span| span.iter().map(|(at_ms, _)| *at_ms)).collect();
    times.sort_unstable();
    times.dedup();
    let at =
        |at_ms: i64| spans.iter().filter_map(|span| between(span, at_ms)).fold(f64::NEG_INFINITY, f64::max);
    times.into_iter().map(|at_ms| (at_ms, at(at_ms))).collect()
}

/// The temperature of a log at a moment, on a straight line between two readings; `None` before and after it.
fn between(log: &[(i64, f64)], at_ms: i64) -> Option<f64> {
    // Of several readings at one moment the warmest counts.
    let same = log.iter().skip(log.partition_point(|(of_ms, _)| *of_ms < at_ms));
    let same = same.take_while(|(of_ms, _)| *of_ms == at_ms).map(|(_, celsius)| *celsius);
    if let Some(warmest) = same.reduce(f64::max) {
        return Some(warmest);
    }
    let next = log.partition_point(|(of_ms, _)| *of_ms <= at_ms);
    let (before, after) = (log.get(next.checked_sub(1)?)?, log.get(next)?);
    let share = (at_ms - before.0) as f64 / (after.0 - before.0) as f64;
    Some(before.1 + share * (after.1 - before.1))
}

/// What is told of a place's temperatures, a sentence each.
pub(crate) fn sentences(site: &Site<'_>, kept: &Kept) -> Vec<String> {
    let (lot, share) = &kept.lot;
    let mut told = vec![match &kept.advice {
        Advice::NothingToAdd => site
            .say(
                "Growth: nothing to add to the dates that hold. That is no permission.",
                "Crecimiento: nada que añadir a las fechas que rigen. Eso no es un permiso.",
            )
            .to_owned(),
        Advice::HoldForDecision(reason) => format!(
            "{} {}: {}",
            site.say("Hold for a decision:", "Retener hasta decidir:"),
            site.clock(kept.moment(reason.at_h)),
            why(site, kept)
        ),
        Advice::DiscardEarlier(reason) => format!(
            "{} {}: {}",
            site.say("Discard earlier, by", "Desechar antes, a más tardar"),
            site.clock(kept.moment(reason.at_h)),
            why(site, kept)
        ),
    }];
    told.push(format!(
        "{} {lot} ({}), {:.1} h {} {}, {} {:.1} °C.",
        site.say("Followed: lot", "Seguido: lote"),
        ft_pages::percent(*share),
        kept.report.hours,
        site.say("since", "desde"),
        site.clock(kept.since_ms),
        site.say("warmest", "máximo"),
        kept.report.warmest_c
    ));
    for line in &kept.report.growth {
        told.push(format!(
            "{}: {} {:.1} log10 ({:.1} – {:.1}).",
            line.name,
            site.say("predicted growth", "crecimiento previsto"),
            line.increase_log10,
            line.low_log10,
            line.high_log10
        ));
    }
    if !kept.unlogged.is_empty() {
        let places: Vec<String> = kept.unlogged.iter().map(|place| site.place(place)).collect();
        told.push(format!(
            "{} {}: {}",
            site.say("No temperatures are recorded of", "No hay temperaturas registradas de"),
            places.join(", "),
            site.say("nothing is predicted for that time.", "de ese tiempo no se predice nada.")
        ));
    }
    told
}

/// Why the advice is no mere nothing: growth that reached an alarm, or readings that are lacking.
fn why(site: &Site<'_>, kept: &Kept) -> String {
    let grown = kept.report.growth.iter().find(|line| line.advice == kept.advice);
    match grown {
        Some(line) => format!(
            "{} {}.",
            site.say(
                "an alarm is reached in the growth predicted for",
                "se alcanza una alarma en el crecimiento de"
            ),
            line.name
        ),
        None => site
            .say(
                "readings are lacking; find out what happened then.",
                "faltan lecturas; averigüe qué pasó entonces.",
            )
            .to_owned(),
    }
}
