//! One move carried out in the books.

use ft_rerun::{Ledger, Lot, Mixing, Portion};

use crate::moves::{Move, Moved};

/// The lot of product that the record does not account for. It has no date and cannot be traced.
pub const UNKNOWN: &str = "(unknown origin)";

/// More came out of a place than the books held.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Shortfall {
    /// The event.
    pub event: String,
    /// When, milliseconds since 1970.
    pub at_ms: i64,
    /// The place.
    pub place: String,
    /// Litres that came out.
    pub drawn_litres: f64,
    /// Litres that the books held.
    pub held_litres: f64,
}

/// What a move took out of its place, and what was missing for it.
#[derive(Debug, Default)]
pub(crate) struct Carried {
    /// What left the kitchen.
    pub gone: Vec<Portion>,
    /// What was missing.
    pub shortfall: Option<Shortfall>,
}

/// How much more than there is may come out for rounding, relative; the ledger forgives as much.
const ROUNDING: f64 = 1e-9;

/// Carries out a move. `whole`: a place whose content counts as a lot of its own from the moment it goes in, so
/// that it can be followed as one.
pub(crate) fn carry(ledger: &mut Ledger, one: &Move, whole: Option<&str>) -> Carried {
    let mut carried = Carried::default();
    match &one.moved {
        Moved::In(lot, litres) => put(ledger, lot, lot, *litres),
        Moved::Over(from, into, litres) => {
            carried.shortfall = make_up(ledger, from, *litres, one);
            if whole == Some(into.as_str()) {
                ledger.remove(from, *litres).expect("what was missing was made up");
                put(ledger, into, into, *litres);
            } else {
                add_vessel(ledger, into);
                ledger.transfer(from, into, *litres).expect("what was missing was made up");
            }
        }
        Moved::Served(from, litres) | Moved::Away(from, Some(litres)) => {
            carried.shortfall = make_up(ledger, from, *litres, one);
            carried.gone = ledger.remove(from, *litres).expect("what was missing was made up");
        }
        Moved::Away(from, None) => {
            add_vessel(ledger, from);
            carried.gone = ledger.discard(from).expect("it was just added");
        }
    }
    carried
}

/// Fills up what a draw would lack: with more of the same for a lot that came in, with the unknown for all else.
fn make_up(ledger: &mut Ledger, place: &str, litres: f64, one: &Move) -> Option<Shortfall> {
    add_vessel(ledger, place);
    let held = ledger.litres(place).expect("it was just added");
    if litres <= held * (1.0 + ROUNDING) {
        return None;
    }
    put(ledger, place, UNKNOWN, litres - held);
    Some(Shortfall {
        event: one.event.clone(),
        at_ms: one.at_ms,
        place: place.to_owned(),
        drawn_litres: litres,
        held_litres: held,
    })
}

fn add_vessel(ledger: &mut Ledger, place: &str) {
    if !ledger.has_vessel(place) {
        ledger.add_vessel(place, Mixing::WellMixed).expect("there was none of that name");
    }
}

fn put(ledger: &mut Ledger, place: &str, lot: &str, litres: f64) {
    add_vessel(ledger, place);
    // Dates are kept by [`crate::Lot`]; the ledger only has to know one lot from another.
    let lot = Lot { id: lot.to_owned(), made_h: 0.0, discard_by_h: None };
    ledger.fill(place, lot, litres).expect("the volume is above zero and the vessel is there");
}
