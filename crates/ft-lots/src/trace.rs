//! From a glass back to its lots, and from a lot on to its glasses.

use std::collections::BTreeMap;

use ft_record::LotOrigin;
use ft_rerun::{Ledger, Portion};

use crate::books::{Books, is_vessel};
use crate::carry::carry;
use crate::moves::Moved;

/// What was in a vessel at a moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Glass {
    /// The vessel or lot.
    pub place: String,
    /// When, milliseconds since 1970.
    pub at_ms: i64,
    /// Litres in it.
    pub litres: f64,
    /// Lots in it with their litres, the largest first.
    pub parts: Vec<(String, f64)>,
}

/// Where a lot went.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// The lot.
    pub lot: String,
    /// Litres of it that came in.
    pub in_litres: f64,
    /// What was served with it.
    pub served: Vec<ServedWith>,
    /// Litres of it that were thrown away, by event.
    pub away: Vec<(String, f64)>,
    /// Litres of it that are still there, by place.
    pub held: Vec<(String, f64)>,
    /// Every place that ever held some of it: from when to when, `None` while it still does.
    pub places: BTreeMap<String, Vec<(i64, Option<i64>)>>,
}

/// Product that was served with some of a lot in it.
#[derive(Debug, Clone, PartialEq)]
pub struct ServedWith {
    /// The event.
    pub event: String,
    /// The vessel.
    pub place: String,
    /// Since the serving that was told before it out of this vessel; the same as `at_ms` for the first.
    pub from_ms: i64,
    /// When it was told.
    pub at_ms: i64,
    /// Litres of the lot in it.
    pub litres: f64,
    /// Litres that were served in all.
    pub of_litres: f64,
}

/// What is in a glass that is drawn from a place at a moment, after what was told for that millisecond.
pub fn backward(books: &Books, place: &str, at_ms: i64) -> Glass {
    let ledger = books.at(at_ms);
    let mut parts = parts(&ledger, place);
    parts.sort_by(|one, other| other.1.total_cmp(&one.1).then_with(|| one.0.cmp(&other.0)));
    let litres = parts.iter().fold(0.0, |sum, (_, litres)| sum + litres);
    Glass { place: place.to_owned(), at_ms, litres, parts }
}

/// Lots in a place with their litres.
pub(crate) fn parts(ledger: &Ledger, place: &str) -> Vec<(String, f64)> {
    let Ok(portions) = ledger.portions(place) else { return Vec::new() };
    portions.map(|portion| (portion.lot.clone(), portion.litres)).collect()
}

/// Where a lot went. A can of kept product is followed as a whole from the moment something goes into it.
///
/// Cost: the moves from the lot's first one until nothing of it is left.
pub fn forward(books: &Books, lot: &str) -> Trace {
    let is_can = books.lots().get(lot).is_some_and(|known| known.origin() == Some(LotOrigin::Rerun));
    let moves = books.moves();
    let mut trace = Trace {
        lot: lot.to_owned(),
        in_litres: 0.0,
        served: Vec::new(),
        away: Vec::new(),
        held: Vec::new(),
        places: BTreeMap::new(),
    };
    let Some(first) = moves.iter().position(|one| one.touches(lot)) else { return trace };
    let last = moves.iter().rposition(|one| one.touches(lot)).unwrap_or(first);
    let (mut next, mut ledger) = books.snapshot(first);
    let mut last_served: BTreeMap<&str, i64> = BTreeMap::new();
    for one in &moves[next..] {
        let touched = places_of(&one.moved);
        let gone = carry(&mut ledger, one, is_can.then_some(lot)).gone;
        let gone_of: f64 =
            gone.iter().filter(|portion| portion.lot == lot).map(|portion| portion.litres).sum();
        match &one.moved {
            Moved::In(into, litres) if into == lot => trace.in_litres += litres,
            Moved::Over(_, into, litres) if is_can && into == lot => trace.in_litres += litres,
            Moved::Served(place, litres) => {
                let from_ms = last_served.insert(place, one.at_ms).unwrap_or(one.at_ms);
                if gone_of > 0.0 {
                    trace.served.push(ServedWith {
                        event: one.event.clone(),
                        place: place.clone(),
                        from_ms,
                        at_ms: one.at_ms,
                        litres: gone_of,
                        of_litres: *litres,
                    });
                }
            }
            Moved::Away(..) if gone_of > 0.0 => trace.away.push((one.event.clone(), gone_of)),
            Moved::In(..) | Moved::Over(..) | Moved::Away(..) => {}
        }
        for place in &touched {
            span(&mut trace, place, of_lot(&ledger, place, lot) > 0.0, one.at_ms);
        }
        next += 1;
        let is_gone = trace.places.values().flatten().all(|(_, until)| until.is_some());
        if last < next && is_gone {
            break;
        }
    }
    trace.held = trace
        .places
        .keys()
        .map(|place| (place.clone(), of_lot(&ledger, place, lot)))
        .filter(|(_, litres)| *litres > 0.0)
        .collect();
    trace
}

fn places_of(moved: &Moved) -> Vec<&str> {
    match moved {
        Moved::In(place, _) | Moved::Served(place, _) | Moved::Away(place, _) => vec![place],
        Moved::Over(from, into, _) => vec![from, into],
    }
}

fn of_lot(ledger: &Ledger, place: &str, lot: &str) -> f64 {
    let of = |portions: &mut dyn Iterator<Item = &Portion>| {
        portions.filter(|portion| portion.lot == lot).fold(0.0, |sum, portion| sum + portion.litres)
    };
    ledger.portions(place).map_or(0.0, |mut portions| of(&mut portions))
}

/// Opens or ends the span of a place.
fn span(trace: &mut Trace, place: &str, holds: bool, at_ms: i64) {
    let spans = trace.places.get_mut(place);
    match (spans, holds) {
        (None, false) => {}
        (None, true) => {
            trace.places.insert(place.to_owned(), vec![(at_ms, None)]);
        }
        (Some(spans), holds) => match (spans.last_mut(), holds) {
            (Some((_, until @ None)), false) => *until = Some(at_ms),
            (Some((_, Some(_))), true) => spans.push((at_ms, None)),
            _ => {}
        },
    }
}

/// The machine of a vessel, as in `machine/vessel`.
pub(crate) fn machine_of(place: &str) -> Option<&str> {
    if is_vessel(place) { place.split('/').next() } else { None }
}
