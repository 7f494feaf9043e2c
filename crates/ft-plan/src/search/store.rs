//! Bays and kit that go from one to the next: nothing comes before what came last.

use crate::model::{NEVER, Time};

/// A stay of things in a bay, or of kit with its taker.
#[derive(Clone, Copy)]
pub struct Held {
    pub to: Time,
    pub amount: u32,
    pub class: Option<usize>,
    /// Task and room use, or hold and 0.
    pub key: (usize, usize),
    /// The piece that leaves.
    pub by: usize,
}

/// A bay or a pool of kit: what is in it, in the order of coming.
#[derive(Clone, Default)]
pub struct Store {
    pub held: Vec<Held>,
    /// The last coming.
    pub from: Time,
}

impl Store {
    /// The first instant from `at` on at which so much more fits for good, and the piece that had to leave for it.
    /// `None` while something stays of which nobody knows yet until when.
    pub fn fits(
        &self,
        at: Time,
        amount: u32,
        class: Option<usize>,
        capacity: u32,
    ) -> Option<(Time, Option<usize>)> {
        let (mut at, mut by) = (at.max(self.from), None);
        if amount > capacity {
            return None;
        }
        loop {
            let (mut sum, mut foreign) = (amount, false);
            let mut next: Option<&Held> = None;
            for held in self.held.iter().filter(|held| held.to > at) {
                sum += held.amount;
                foreign |= held.class.is_some() && class.is_some() && held.class != class;
                if next.is_none_or(|next| held.to < next.to) {
                    next = Some(held);
                }
            }
            if sum <= capacity && !foreign {
                return Some((at, by));
            }
            let next = next.filter(|next| next.to < NEVER)?;
            (at, by) = (next.to, Some(next.by));
        }
    }

    /// Says until when something stays.
    pub fn leave(&mut self, key: (usize, usize), to: Time, by: usize) {
        for held in self.held.iter_mut().filter(|held| held.key == key) {
            (held.to, held.by) = (to, by);
        }
    }
}
