//! The fold: moves in the order in which they happened, with the books as they stood now and then.

use std::collections::{BTreeMap, BTreeSet};

use ft_record::{Event, Fact};
use ft_rerun::{Ledger, Portion};

use crate::carry::{Shortfall, carry};
use crate::lot::Lot;
use crate::moves::Move;

/// How many moves lie between two snapshots: what a question about the past has to carry out at most.
const EVERY: usize = 256;

/// Genealogy of everything that moved, as far as it was told.
///
/// Events may come in any order; what a late tablet tells is put in its place, and the books from there on are kept
/// anew. Cost: the usual event one move; a late one the moves after it.
#[derive(Debug, Clone)]
pub struct Books {
    /// Sorted by [`Move::key`].
    moves: Vec<Move>,
    /// The books before the move of that index; sorted, the first is (0, empty).
    snapshots: Vec<(usize, Ledger)>,
    /// The books after all moves.
    now: Ledger,
    /// By index of the move.
    shortfalls: Vec<(usize, Shortfall)>,
    lots: BTreeMap<String, Lot>,
    /// Ids of events that were corrected.
    corrected: BTreeSet<String>,
}

impl Default for Books {
    fn default() -> Self {
        Self::new()
    }
}

impl Books {
    /// Empty books.
    pub fn new() -> Self {
        let empty = Ledger::new(0);
        Self {
            moves: Vec::new(),
            snapshots: vec![(0, empty.clone())],
            now: empty,
            shortfalls: Vec::new(),
            lots: BTreeMap::new(),
            corrected: BTreeSet::new(),
        }
    }

    /// Takes in an event; one that is not about lots changes nothing. Each event once.
    pub fn apply(&mut self, event: &Event) {
        if let Fact::Corrected { of, .. } = &event.fact {
            self.take_out(of);
            return;
        }
        if self.corrected.contains(&event.id) {
            return;
        }
        self.note(event);
        if let Some(one) = Move::of(event) {
            self.insert(one);
        }
    }

    /// Every lot that was told of, by name.
    pub fn lots(&self) -> &BTreeMap<String, Lot> {
        &self.lots
    }

    /// Every move, in the order in which they happened.
    pub fn moves(&self) -> &[Move] {
        &self.moves
    }

    /// Draws of more than the books held.
    pub fn shortfalls(&self) -> impl Iterator<Item = &Shortfall> {
        self.shortfalls.iter().map(|(_, shortfall)| shortfall)
    }

    /// The books after everything that was told.
    pub fn now(&self) -> &Ledger {
        &self.now
    }

    /// The books at a moment, what happened in that millisecond included.
    pub fn at(&self, at_ms: i64) -> Ledger {
        let end = self.moves.partition_point(|one| one.at_ms <= at_ms);
        if end == self.moves.len() {
            return self.now.clone();
        }
        let (from, mut ledger) = self.snapshot(end);
        for one in &self.moves[from..end] {
            carry(&mut ledger, one, None);
        }
        ledger
    }

    /// The latest snapshot at or before the move of that index, and which move comes next.
    pub(crate) fn snapshot(&self, index: usize) -> (usize, Ledger) {
        let after = self.snapshots.partition_point(|(at, _)| *at <= index);
        let (at, ledger) = &self.snapshots[after - 1];
        (*at, ledger.clone())
    }

    /// What an event took out of the kitchen, as portions; empty for one that took nothing.
    pub fn taken_by(&self, event: &str) -> Vec<Portion> {
        let Some(index) = self.moves.iter().position(|one| one.event == event) else { return Vec::new() };
        let (from, mut ledger) = self.snapshot(index);
        for one in &self.moves[from..index] {
            carry(&mut ledger, one, None);
        }
        carry(&mut ledger, &self.moves[index], None).gone
    }

    fn note(&mut self, event: &Event) {
        let lot = match &event.fact {
            Fact::LotReceived { lot, .. }
            | Fact::LotOpened { lot, .. }
            | Fact::Stored { lot, .. }
            | Fact::Recalled { lot, .. } => lot,
            // The first draw out of a lot opens it, whether or not somebody said so.
            Fact::Blended { from, .. } | Fact::Served { from, .. } if !is_vessel(from) => from,
            _ => return,
        };
        self.lots.entry(lot.clone()).or_insert_with(|| Lot::new(lot)).note(event);
    }

    fn insert(&mut self, one: Move) {
        let index = self.moves.partition_point(|other| other.key() <= one.key());
        self.moves.insert(index, one);
        if index + 1 == self.moves.len() {
            self.carry_from(index);
        } else {
            self.keep_anew(index);
        }
    }

    fn take_out(&mut self, id: &str) {
        self.corrected.insert(id.to_owned());
        for lot in self.lots.values_mut() {
            lot.take_out(id);
        }
        self.lots.retain(|_, lot| !lot.is_untold());
        if let Some(index) = self.moves.iter().rposition(|one| one.event == id) {
            self.moves.remove(index);
            self.keep_anew(index);
        }
    }

    /// Keeps the books anew from the move of that index on.
    fn keep_anew(&mut self, index: usize) {
        let keep = self.snapshots.partition_point(|(at, _)| *at <= index);
        self.snapshots.truncate(keep);
        let (from, ledger) = self.snapshots[keep - 1].clone();
        let first = self.shortfalls.partition_point(|(at, _)| *at < from);
        self.shortfalls.truncate(first);
        self.now = ledger;
        self.carry_from(from);
    }

    fn carry_from(&mut self, from: usize) {
        for index in from..self.moves.len() {
            if index % EVERY == 0 && self.snapshots.last().is_some_and(|(at, _)| *at < index) {
                self.now.drop_empty();
                self.snapshots.push((index, self.now.clone()));
            }
            if let Some(shortfall) = carry(&mut self.now, &self.moves[index], None).shortfall {
                self.shortfalls.push((index, shortfall));
            }
        }
    }
}

/// Whether a place is a vessel of a machine rather than a lot.
pub(crate) fn is_vessel(place: &str) -> bool {
    place.contains('/')
}
