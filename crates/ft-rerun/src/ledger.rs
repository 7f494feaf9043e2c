//! The books of a chain: every litre is in a vessel or has gone out, and knows the lot that it came from.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::fmt;

use ft_maths::exp;

use crate::age::share_left_in_barrel;

/// A lot of fresh mix.
#[derive(Debug, Clone, PartialEq)]
pub struct Lot {
    /// Its name; used once.
    pub id: String,
    /// When it was made or opened, hours since the beginning of the books; day one of its date mark.
    pub made_h: f64,
    /// When the date on it runs out, hours since the beginning of the books, if it carries one.
    pub discard_by_h: Option<f64>,
}

/// How a vessel gives its content.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mixing {
    /// Stirred: every draw takes its share of every portion.
    WellMixed,
    /// A rack of tubs: every draw takes what was put in first.
    FirstInFirstOut,
}

/// What is left of a lot in a vessel.
#[derive(Debug, Clone, PartialEq)]
pub struct Portion {
    /// The lot.
    pub lot: String,
    /// Litres; above zero.
    pub litres: f64,
    /// For each organism, its count over that of the same volume of fresh mix; 1 when the lot came in.
    pub factors: Vec<f64>,
}

/// A move that the books cannot take: what is wrong and what would be right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadMove(pub String);

impl fmt::Display for BadMove {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for BadMove {}

/// Litres that drawing may be short of for rounding of measured volumes, relative. A tank is never emptier than
/// empty, and 0.1 + 0.2 L come out of a tank of 0.3 L.
const ROUNDING: f64 = 1e-9;

#[derive(Debug, Clone)]
struct Vessel {
    mixing: Mixing,
    portions: VecDeque<Portion>,
}

/// The books.
#[derive(Debug, Clone)]
pub struct Ledger {
    organism_count: usize,
    vessels: BTreeMap<String, Vessel>,
    lots: BTreeMap<String, Lot>,
    litres_in: f64,
    litres_out: f64,
}

impl Ledger {
    /// Empty books for the growth of `organism_count` organisms.
    pub fn new(organism_count: usize) -> Self {
        Self {
            organism_count,
            vessels: BTreeMap::new(),
            lots: BTreeMap::new(),
            litres_in: 0.0,
            litres_out: 0.0,
        }
    }

    /// Adds an empty vessel.
    ///
    /// # Errors
    /// There is one of that name.
    pub fn add_vessel(&mut self, name: &str, mixing: Mixing) -> Result<(), BadMove> {
        if self.vessels.contains_key(name) {
            return Err(BadMove(format!("there is a vessel `{name}` already; give this one another name")));
        }
        self.vessels.insert(name.into(), Vessel { mixing, portions: VecDeque::new() });
        Ok(())
    }

    /// Fresh mix goes into a vessel.
    ///
    /// # Errors
    /// No such vessel, a volume that is not above zero, or a lot of that name with other dates.
    pub fn fill(&mut self, vessel: &str, lot: Lot, litres: f64) -> Result<(), BadMove> {
        above_zero(litres)?;
        if self.lots.get(&lot.id).is_some_and(|known| *known != lot) {
            return Err(BadMove(format!(
                "the lot `{}` is known with other dates; correct one of them",
                lot.id
            )));
        }
        let factors = vec![1.0; self.organism_count];
        let portion = Portion { lot: lot.id.clone(), litres, factors };
        self.vessel_mut(vessel)?.put(portion);
        self.lots.insert(lot.id.clone(), lot);
        self.litres_in += litres;
        Ok(())
    }

    /// Product goes from one vessel into another.
    ///
    /// # Errors
    /// No such vessel, a volume that is not above zero, or more than there is.
    pub fn transfer(&mut self, from: &str, to: &str, litres: f64) -> Result<(), BadMove> {
        self.vessel_mut(to)?;
        for portion in self.draw(from, litres)? {
            self.vessel_mut(to)?.put(portion);
        }
        Ok(())
    }

    /// Product leaves: served, discarded or lost. Gives what left.
    ///
    /// # Errors
    /// As [`transfer`](Self::transfer).
    pub fn remove(&mut self, from: &str, litres: f64) -> Result<Vec<Portion>, BadMove> {
        let gone = self.draw(from, litres)?;
        self.litres_out += sum_litres(gone.iter());
        Ok(gone)
    }

    /// Everything in a vessel leaves.
    ///
    /// # Errors
    /// No such vessel.
    pub fn discard(&mut self, vessel: &str) -> Result<Vec<Portion>, BadMove> {
        let gone: Vec<Portion> = std::mem::take(&mut self.vessel_mut(vessel)?.portions).into();
        self.litres_out += sum_litres(gone.iter());
        Ok(gone)
    }

    /// Serves `litres` out of a barrel that is topped up from another vessel as it goes, so that its volume stays
    /// the same: a mixed tank in flow, in which `e^(-litres/volume)` of what was there is left.
    ///
    /// # Errors
    /// As [`transfer`](Self::transfer); also an empty barrel, or one that is topped up from itself.
    pub fn serve_through(&mut self, from: &str, barrel: &str, litres: f64) -> Result<(), BadMove> {
        if from == barrel {
            return Err(BadMove(format!(
                "`{barrel}` cannot be topped up from itself; name the other vessel"
            )));
        }
        let volume = self.litres(barrel)?;
        above_zero(volume).map_err(|_| BadMove(format!("the barrel `{barrel}` is empty; fill it first")))?;
        let left = share_left_in_barrel(volume, litres);
        let incoming = self.draw(from, litres)?;
        let stays = volume * (1.0 - left) / litres;
        let barrel = self.vessel_mut(barrel)?;
        for portion in &mut barrel.portions {
            portion.litres *= left;
        }
        // After many volumes nothing that a number can hold is left.
        barrel.portions.retain(|portion| portion.litres > 0.0);
        for mut portion in incoming {
            portion.litres *= stays;
            barrel.put(portion);
        }
        self.litres_out += litres;
        Ok(())
    }

    /// Takes vessels out of the books that hold nothing, and lots that no vessel holds; the balance stays.
    pub fn drop_empty(&mut self) {
        self.vessels.retain(|_, vessel| !vessel.portions.is_empty());
        let held: BTreeSet<&String> =
            self.vessels.values().flat_map(|vessel| &vessel.portions).map(|portion| &portion.lot).collect();
        self.lots.retain(|id, _| held.contains(id));
    }

    /// Whether there is a vessel of that name.
    pub fn has_vessel(&self, name: &str) -> bool {
        self.vessels.contains_key(name)
    }

    /// The names of the vessels, in order.
    pub fn vessels(&self) -> impl Iterator<Item = &str> {
        self.vessels.keys().map(String::as_str)
    }

    /// What is in a vessel has grown: one dose in natural logs for each organism.
    ///
    /// No ceiling: relative counts have none, and leaving it out errs on the safe side.
    ///
    /// # Errors
    /// No such vessel, another number of doses than organisms, or a dose below zero.
    pub fn grow(&mut self, vessel: &str, doses: &[f64]) -> Result<(), BadMove> {
        if doses.len() != self.organism_count || doses.iter().any(|dose| !(dose.is_finite() && *dose >= 0.0))
        {
            return Err(BadMove(format!(
                "give {} doses from 0 up, one for each organism",
                self.organism_count
            )));
        }
        for portion in &mut self.vessel_mut(vessel)?.portions {
            for (factor, dose) in portion.factors.iter_mut().zip(doses) {
                *factor *= exp(*dose);
            }
        }
        Ok(())
    }

    /// What is in a vessel, in the order in which it came.
    ///
    /// # Errors
    /// No such vessel.
    pub fn portions(&self, vessel: &str) -> Result<impl Iterator<Item = &Portion>, BadMove> {
        Ok(self.vessel(vessel)?.portions.iter())
    }

    /// How much is in a vessel.
    ///
    /// # Errors
    /// No such vessel.
    pub fn litres(&self, vessel: &str) -> Result<f64, BadMove> {
        Ok(sum_litres(self.vessel(vessel)?.portions.iter()))
    }

    /// The oldest lot in a vessel and its share of the volume; `None` if it is empty.
    ///
    /// # Errors
    /// No such vessel.
    pub fn oldest(&self, vessel: &str) -> Result<Option<(&Lot, f64)>, BadMove> {
        let whole = self.litres(vessel)?;
        let portions = &self.vessel(vessel)?.portions;
        let oldest = portions
            .iter()
            .filter_map(|portion| self.lots.get(&portion.lot))
            .min_by(|one, other| one.made_h.total_cmp(&other.made_h));
        Ok(oldest
            .map(|lot| (lot, sum_litres(portions.iter().filter(|portion| portion.lot == lot.id)) / whole)))
    }

    /// The earliest date in a vessel, hours: what is combined keeps the earliest date of its parts, however small.
    ///
    /// # Errors
    /// No such vessel.
    pub fn earliest_discard(&self, vessel: &str) -> Result<Option<f64>, BadMove> {
        let portions = self.vessel(vessel)?.portions.iter();
        Ok(portions.filter_map(|portion| self.lots.get(&portion.lot)?.discard_by_h).min_by(f64::total_cmp))
    }

    /// For each organism, the count of a vessel's content over that of the same volume of fresh mix.
    ///
    /// # Errors
    /// No such vessel.
    pub fn factors(&self, vessel: &str) -> Result<Vec<f64>, BadMove> {
        let portions = &self.vessel(vessel)?.portions;
        let whole = sum_litres(portions.iter());
        let mean = |organism: usize| {
            portions.iter().map(|portion| portion.litres * portion.factors[organism]).sum::<f64>() / whole
        };
        Ok((0..self.organism_count).map(mean).collect())
    }

    /// Litres that came in, that are in vessels, and that went out; the first is the sum of the others.
    pub fn balance(&self) -> (f64, f64, f64) {
        let held = self.vessels.values().map(|vessel| sum_litres(vessel.portions.iter())).sum();
        (self.litres_in, held, self.litres_out)
    }

    fn draw(&mut self, from: &str, litres: f64) -> Result<Vec<Portion>, BadMove> {
        above_zero(litres)?;
        let there = self.litres(from)?;
        if litres > there * (1.0 + ROUNDING) {
            return Err(BadMove(format!(
                "`{from}` holds {there:.2} L, so {litres:.2} L cannot come out; check both volumes"
            )));
        }
        let vessel = self.vessel_mut(from)?;
        if litres >= there * (1.0 - ROUNDING) {
            return Ok(std::mem::take(&mut vessel.portions).into());
        }
        Ok(match vessel.mixing {
            Mixing::WellMixed => vessel.draw_share(litres / there),
            Mixing::FirstInFirstOut => vessel.draw_first(litres),
        })
    }

    fn vessel(&self, name: &str) -> Result<&Vessel, BadMove> {
        self.vessels.get(name).ok_or_else(|| unknown(name))
    }

    fn vessel_mut(&mut self, name: &str) -> Result<&mut Vessel, BadMove> {
        self.vessels.get_mut(name).ok_or_else(|| unknown(name))
    }
}

impl Vessel {
    /// A stirred vessel keeps one portion for each lot; a rack keeps what came together apart.
    fn put(&mut self, portion: Portion) {
        let known = match self.mixing {
            Mixing::WellMixed => self.portions.iter_mut().find(|held| held.lot == portion.lot),
            Mixing::FirstInFirstOut => None,
        };
        let Some(held) = known else {
            self.portions.push_back(portion);
            return;
        };
        let whole = held.litres + portion.litres;
        for (held_factor, factor) in held.factors.iter_mut().zip(&portion.factors) {
            *held_factor = (*held_factor * held.litres + factor * portion.litres) / whole;
        }
        held.litres = whole;
    }

    fn draw_share(&mut self, share: f64) -> Vec<Portion> {
        self.portions
            .iter_mut()
            .map(|portion| {
                let drawn = portion.litres * share;
                portion.litres -= drawn;
                Portion { litres: drawn, ..portion.clone() }
            })
            .collect()
    }

    fn draw_first(&mut self, litres: f64) -> Vec<Portion> {
        let mut drawn = Vec::new();
        let mut left = litres;
        while let Some(mut first) = self.portions.pop_front() {
            if first.litres <= left {
                left -= first.litres;
                drawn.push(first);
                continue;
            }
            if left > 0.0 {
                drawn.push(Portion { litres: left, ..first.clone() });
                first.litres -= left;
            }
            self.portions.push_front(first);
            break;
        }
        drawn
    }
}

fn sum_litres<'a>(portions: impl Iterator<Item = &'a Portion>) -> f64 {
    // Not `sum`, which makes minus zero of nothing.
    portions.fold(0.0, |sum, portion| sum + portion.litres)
}

fn above_zero(litres: f64) -> Result<(), BadMove> {
    if litres.is_finite() && litres > 0.0 {
        Ok(())
    } else {
        Err(BadMove(format!("{litres} L makes no sense as a volume; write a number above zero")))
    }
}

fn unknown(name: &str) -> BadMove {
    BadMove(format!("there is no vessel `{name}`; add it to the books first"))
}
