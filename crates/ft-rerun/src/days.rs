//! The record of a chain, day by day, as it was and as it would have been.

use ft_growth::{History, RateCurve, dose};

use crate::ledger::{BadMove, Ledger, Lot, Mixing};

/// One day of the record: fresh mix tops up what was kept, some is served, some is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// The fresh mix of that day.
    pub lot: Lot,
    /// Litres in the tank after topping up.
    pub tank_litres: f64,
    /// Litres kept when the day ends; zero for none.
    pub kept_litres: f64,
    /// Temperatures from this blend to the next.
    pub history: History,
    /// Whether what was kept was discarded before the next blend.
    pub is_discarded: bool,
}

/// What is asked of a record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Variant {
    /// As it was.
    AsRecorded,
    /// As if everything kept had been discarded besides on every so many days, from the first; 1 is every day.
    DiscardEvery(u32),
    /// As if the shelf had been so much colder, °C.
    ColderBy(f64),
}

/// The blend of one day.
#[derive(Debug, Clone, PartialEq)]
pub struct DayState {
    /// Litres of it that were carried over.
    pub carried_litres: f64,
    /// Litres of it altogether.
    pub litres: f64,
    /// The oldest lot in it, and its share of the volume.
    pub oldest: Option<(Lot, f64)>,
    /// The earliest date of its parts, hours since the beginning of the books.
    pub discard_by_h: Option<f64>,
    /// For each organism, the count of the blend over that of fresh mix, as blended.
    pub blended: Vec<f64>,
    /// The same when the next blend is made.
    pub at_end: Vec<f64>,
}

/// The one vessel of such a record.
const TANK: &str = "tank";

/// Runs a record through the books.
///
/// `curves` has one rate for each organism, and so have the counts that come out. With
/// [`Variant::DiscardEvery`] what was discarded is made up with fresh mix, so that the volumes stay those of the
/// record.
///
/// # Errors
/// [`BadMove`] with the number of the day: volumes that do not fit each other, lots with contradicting dates, or a
/// variant that makes no sense.
pub fn run(
    days: &[Day],
    curves: &[RateCurve],
    mixing: Mixing,
    variant: Variant,
) -> Result<Vec<DayState>, BadMove> {
    check(variant)?;
    let mut ledger = Ledger::new(curves.len());
    ledger.add_vessel(TANK, mixing)?;
    let mut states = Vec::with_capacity(days.len());
    for (index, day) in days.iter().enumerate() {
        let number = index + 1;
        let state = run_day(&mut ledger, day, number, curves, variant)
            .map_err(|why| BadMove(format!("day {number}: {why}")))?;
        states.push(state);
    }
    Ok(states)
}

fn check(variant: Variant) -> Result<(), BadMove> {
    match variant {
        Variant::AsRecorded => Ok(()),
        Variant::DiscardEvery(days) if days >= 1 => Ok(()),
        Variant::DiscardEvery(_) => {
            Err(BadMove("discard every 0 days makes no sense; write 1 for every day".into()))
        }
        Variant::ColderBy(by) if by.is_finite() && by >= 0.0 => Ok(()),
        Variant::ColderBy(by) => {
            Err(BadMove(format!("{by} °C colder makes no sense; write how much colder, from 0 up")))
        }
    }
}

fn run_day(
    ledger: &mut Ledger,
    day: &Day,
    number: usize,
    curves: &[RateCurve],
    variant: Variant,
) -> Result<DayState, BadMove> {
    let carried_litres = ledger.litres(TANK)?;
    let fresh = day.tank_litres - carried_litres;
    if fresh < 0.0 {
        return Err(BadMove(format!(
            "{carried_litres:.2} L were carried over but the tank held {:.2} L after topping up",
            day.tank_litres
        )));
    }
    if fresh > 0.0 {
        ledger.fill(TANK, day.lot.clone(), fresh)?;
    }
    let litres = ledger.litres(TANK)?;
    let blended = ledger.factors(TANK)?;
    let oldest = ledger.oldest(TANK)?.map(|(lot, share)| (lot.clone(), share));
    let discard_by_h = ledger.earliest_discard(TANK)?;
    grow(ledger, &day.history, curves, variant)?;
    let at_end = ledger.factors(TANK)?;
    let served = litres - day.kept_litres;
    if served > 0.0 {
        ledger.remove(TANK, served)?;
    } else if served < 0.0 {
        return Err(BadMove(format!("{:.2} L were kept of {litres:.2} L", day.kept_litres)));
    }
    if day.is_discarded
        || matches!(variant, Variant::DiscardEvery(every) if number.is_multiple_of(every as usize))
    {
        ledger.discard(TANK)?;
    }
    Ok(DayState { carried_litres, litres, oldest, discard_by_h, blended, at_end })
}

fn grow(
    ledger: &mut Ledger,
    history: &History,
    curves: &[RateCurve],
    variant: Variant,
) -> Result<(), BadMove> {
    let doses_of = |history: &History| curves.iter().map(|curve| dose(history, curve)).collect::<Vec<f64>>();
    let doses = match variant {
        Variant::ColderBy(by) => doses_of(&history.colder_by(by)),
        Variant::AsRecorded | Variant::DiscardEvery(_) => doses_of(history),
    };
    ledger.grow(TANK, &doses)
}
