//! Which piece is placed next: those whose predecessors are placed, by rank; what waits for kit or room is set aside.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::build::Genes;
use crate::model::Model;

/// The pieces that may be placed.
#[derive(Clone, Default)]
pub struct Queue {
    waits: Vec<usize>,
    ready: BinaryHeap<Reverse<(usize, usize)>>,
    parked: Vec<usize>,
}

impl Queue {
    /// Fills the queue anew.
    pub fn fill(&mut self, model: &Model, placed: &[bool], genes: &Genes) {
        self.waits.clear();
        self.waits.extend(model.pieces.iter().map(|piece| piece.waits_for));
        self.ready.clear();
        self.parked.clear();
        for piece in (0..placed.len()).filter(|&piece| placed[piece]) {
            for &after in &model.pieces[piece].followers {
                self.waits[after] -= 1;
            }
        }
        for piece in (0..placed.len()).filter(|&piece| !placed[piece]) {
            if self.waits[piece] == 0 || model.has_begun(piece) {
                self.ready.push(Reverse((rank(model, genes, piece), piece)));
            }
        }
    }

    /// The next piece that finds its kit and room.
    pub fn pop(&mut self, finds_all: impl Fn(usize) -> bool) -> Option<usize> {
        while let Some(Reverse((_, piece))) = self.ready.pop() {
            if finds_all(piece) {
                return Some(piece);
            }
            self.parked.push(piece);
        }
        None
    }

    /// A piece has been placed.
    pub fn placed(&mut self, model: &Model, genes: &Genes, piece: usize) {
        let what = &model.pieces[piece];
        for &after in &what.followers {
            self.waits[after] = self.waits[after].saturating_sub(1);
            if self.waits[after] == 0 && !model.has_begun(after) {
                self.ready.push(Reverse((rank(model, genes, after), after)));
            }
        }
        if !(what.gives.is_empty() && what.closes.is_empty()) {
            for parked in self.parked.drain(..) {
                self.ready.push(Reverse((rank(model, genes, parked), parked)));
            }
        }
    }
}

/// What is under way comes before everything: what it occupies is taken until it is placed.
fn rank(model: &Model, genes: &Genes, piece: usize) -> usize {
    if model.has_begun(piece) { 0 } else { genes.rank[piece] + 1 }
}
