//! Packed states of a slice: first one bit for each event, then one byte for each variable; and a set of them.

use crate::slice::Part;

pub(crate) fn has(done: &[u64], event: usize) -> bool {
    done[event / 64] >> (event % 64) & 1 == 1
}

pub(crate) fn covers(done: &[u64], needed: &[u64]) -> bool {
    done.iter().zip(needed).all(|(done, needed)| needed & !done == 0)
}

pub(crate) fn value(values: &[u64], slot: usize) -> u8 {
    (values[slot / 8] >> (slot % 8 * 8)) as u8
}

pub(crate) fn set_value(values: &mut [u64], slot: usize, value: u8) {
    let shift = slot % 8 * 8;
    values[slot / 8] = values[slot / 8] & !(0xff << shift) | u64::from(value) << shift;
}

pub(crate) fn holds(values: &[u64], cond: &[Part]) -> bool {
    cond.iter().all(|part| part.mask >> value(values, part.slot) & 1 == 1)
}

/// A packed state: a row of words, of a fixed length where they are few, so that copying one costs nothing.
pub(crate) trait Packed: Clone + PartialEq {
    /// These words, and as many zeros as it takes.
    fn pack(words: &[u64]) -> Self;
    fn words(&self) -> &[u64];
    fn words_mut(&mut self) -> &mut [u64];
}

impl<const LEN: usize> Packed for [u64; LEN] {
    fn pack(words: &[u64]) -> Self {
        let mut all = [0; LEN];
        all[..words.len()].copy_from_slice(words);
        all
    }

    fn words(&self) -> &[u64] {
        self
    }

    fn words_mut(&mut self) -> &mut [u64] {
        self
    }
}

impl Packed for Vec<u64> {
    fn pack(words: &[u64]) -> Self {
        words.to_vec()
    }

    fn words(&self) -> &[u64] {
        self
    }

    fn words_mut(&mut self) -> &mut [u64] {
        self
    }
}

/// A set of states, numbered in the order of their coming.
pub(crate) struct StateSet<S> {
    states: Vec<S>,
    table: Vec<u32>,
}

const FREE: u32 = u32::MAX;

impl<S: Packed> StateSet<S> {
    pub(crate) fn new() -> Self {
        Self { states: Vec::new(), table: vec![FREE; 64] }
    }

    pub(crate) fn len(&self) -> usize {
        self.states.len()
    }

    pub(crate) fn get(&self, index: usize) -> &S {
        &self.states[index]
    }

    /// Whether it is new.
    pub(crate) fn insert(&mut self, state: &S) -> bool {
        let mask = self.table.len() - 1;
        let mut slot = hash(state.words()) & mask;
        while self.table[slot] != FREE {
            if self.states[self.table[slot] as usize] == *state {
                return false;
            }
            slot = (slot + 1) & mask;
        }
        self.table[slot] = self.states.len() as u32;
        self.states.push(state.clone());
        if self.states.len() * 2 > self.table.len() {
            self.grow();
        }
        true
    }

    fn grow(&mut self) {
        let size = self.table.len() * 4;
        let mut table = vec![FREE; size];
        for (index, state) in self.states.iter().enumerate() {
            let mut slot = hash(state.words()) & (size - 1);
            while table[slot] != FREE {
                slot = (slot + 1) & (size - 1);
            }
            table[slot] = index as u32;
        }
        self.table = table;
    }
}

/// Mixes the words of a state; multiplier from the golden ratio, as in Knuth, The Art of Computer
/// Programming 3, section 6.4.
fn hash(state: &[u64]) -> usize {
    let mut hash = 0_u64;
    for word in state {
        hash = (hash.rotate_left(5) ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    }
    (hash ^ (hash >> 32)) as usize
}
