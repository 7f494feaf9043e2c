//! Goes through the states of a slice: all of them ([`Slice::explore`]), or the cheapest ways to some
//! ([`Slice::cheapest`]).
//!
//! Each state that waits to be looked at carries what is ready in it, so that going on from a state costs what may
//! happen there and not what has not happened yet. States of a few words are rows of fixed length.

use std::collections::VecDeque;

use ft_form::Op;

use crate::bits::{Bits, members};
use crate::cases::Case;
use crate::slice::{Exceeded, Explored, Path, Question, Slice};
use crate::states::{Packed, StateSet, covers, has, holds, set_value, value};
use crate::threads::exchange;

/// Calls a method for the shortest packed state that has room for so many words.
macro_rules! packed {
    ($words:expr, $slice:ident.$method:ident($($argument:expr),*)) => {
        match $words {
            0..=1 => $slice.$method::<[u64; 1]>($($argument),*),
            2 => $slice.$method::<[u64; 2]>($($argument),*),
            3 => $slice.$method::<[u64; 3]>($($argument),*),
            4..=5 => $slice.$method::<[u64; 5]>($($argument),*),
            6..=8 => $slice.$method::<[u64; 8]>($($argument),*),
            9..=12 => $slice.$method::<[u64; 12]>($($argument),*),
            _ => $slice.$method::<Vec<u64>>($($argument),*),
        }
    };
}

impl Slice {
    /// Explores every state of the slice, or until each question is answered with yes.
    ///
    /// `sure` names the local events of which the slice can tell that they may happen. A slice that is too wide is
    /// not begun.
    pub(crate) fn explore(
        &self,
        questions: &[Question],
        sure: &Bits,
        limit: usize,
    ) -> Result<Explored, Exceeded> {
        if self.is_too_wide {
            return Err(Exceeded { states: 0 });
        }
        packed!(self.start.len(), self.explore_packed(questions, sure, limit))
    }

    fn explore_packed<S: Packed>(
        &self,
        questions: &[Question],
        sure: &Bits,
        limit: usize,
    ) -> Result<Explored, Exceeded> {
        let mut walk = Walk::new(self, self.threads(questions, sure));
        let asks_rest = questions.iter().any(|question| question.at_rest);
        let mut reached = vec![false; questions.len()];
        let mut set = StateSet::<S>::new();
        let start = S::pack(&self.start);
        set.insert(&start);
        // What is ready in the states that are still to be looked at, in the order of their coming.
        let mut waiting = VecDeque::from([walk.ready(&start)]);
        let mut at = 0;
        while let Some(ready) = waiting.pop_front() {
            let state = set.get(at).clone();
            walk.find_open(&state, &ready);
            let is_resting = asks_rest && !walk.open.iter().any(|&event| sure.has(event));
            for (question, reached) in questions.iter().zip(&mut reached) {
                *reached = *reached || self.answers(state.words(), question, is_resting);
            }
            if !reached.is_empty() && reached.iter().all(|&reached| reached) {
                break;
            }
            for open in 0..walk.open.len() {
                let event = walk.open[open];
                for case in self.moves[event].cases.iter() {
                    let mut next = self.outcome(&state, event, case);
                    let is_exchanged = walk.exchange(&mut next, event);
                    if set.insert(&next) {
                        waiting.push_back(walk.ready_after(&next, event, &ready, is_exchanged));
                    }
                }
            }
            if set.len() > limit {
                return Err(Exceeded { states: set.len() });
            }
            at += 1;
        }
        Ok(Explored { states: set.len(), reached })
    }

    /// The ways to states that answer the question, the cheapest first, at most `count` of them.
    ///
    /// The cost of a state is given by `cost`, from the local events that have happened; it must not fall
    /// along a way. Ways are followed in rising cost, so the first answer is a cheapest one.
    pub(crate) fn cheapest(
        &self,
        question: &Question,
        sure: &Bits,
        limit: usize,
        count: usize,
        mut cost: impl FnMut(&[u64]) -> usize,
    ) -> Result<Vec<Path>, Exceeded> {
        packed!(self.start.len(), self.cheapest_packed(question, sure, limit, count, &mut cost))
    }

    fn cheapest_packed<S: Packed>(
        &self,
        question: &Question,
        sure: &Bits,
        limit: usize,
        count: usize,
        cost: &mut dyn FnMut(&[u64]) -> usize,
    ) -> Result<Vec<Path>, Exceeded> {
        let mut walk = Walk::new(self, Vec::new());
        let mut set = StateSet::<S>::new();
        let mut parents: Vec<(u32, u32)> = vec![(0, 0)];
        let mut queue: Vec<Vec<u32>> = Vec::new();
        let mut paths = Vec::new();
        let start = S::pack(&self.start);
        set.insert(&start);
        let mut all_ready = vec![walk.ready(&start)];
        push(&mut queue, cost(&self.start[..self.done_words]), 0);
        let mut at_cost = 0;
        while at_cost < queue.len() {
            let Some(at) = queue[at_cost].pop() else {
                at_cost += 1;
                continue;
            };
            let (state, ready) = (set.get(at as usize).clone(), all_ready[at as usize].clone());
            walk.find_open(&state, &ready);
            let is_resting = question.at_rest && !walk.open.iter().any(|&event| sure.has(event));
            if self.answers(state.words(), question, is_resting) {
                paths.push(Path { cost: at_cost, moves: way(&parents, at) });
                if paths.len() == count {
                    break;
                }
            }
            for open in 0..walk.open.len() {
                let event = walk.open[open];
                for case in self.moves[event].cases.iter() {
                    let next = self.outcome(&state, event, case);
                    if set.insert(&next) {
                        parents.push((at, event as u32));
                        all_ready.push(walk.ready_after(&next, event, &ready, false));
                        let cost = cost(&next.words()[..self.done_words]).max(at_cost);
                        push(&mut queue, cost, set.len() as u32 - 1);
                    }
                }
            }
            if set.len() > limit {
                return Err(Exceeded { states: set.len() });
            }
        }
        Ok(paths)
    }

    fn answers(&self, state: &[u64], question: &Question, is_resting: bool) -> bool {
        let (done, values) = state.split_at(self.done_words);
        holds(values, &question.cond)
            && (is_resting || !question.at_rest)
            && covers(done, question.must.words())
            && done.iter().zip(question.must_not.words()).all(|(done, not)| done & not == 0)
            && (!question.some_left || (0..self.events.len()).any(|event| !has(done, event)))
    }

    /// The state that the event leads to in this case.
    fn outcome<S: Packed>(&self, state: &S, event: usize, case: Case<'_>) -> S {
        let before = &state.words()[self.done_words..];
        let mut next = state.clone();
        let (done, values) = next.words_mut().split_at_mut(self.done_words);
        done[event / 64] |= 1 << (event % 64);
        for (at, change) in self.moves[event].effects.iter().enumerate() {
            if case.lets(at) && holds(before, &change.when) {
                let value = match change.op {
                    Op::Set => change.by,
                    Op::Add => {
                        i32::from(value(values, change.slot)).saturating_add(change.by).clamp(0, change.last)
                    }
                };
                set_value(values, change.slot, value as u8);
            }
        }
        next
    }

    /// Whether the event has not happened and all that comes before it has.
    fn is_ready(&self, state: &[u64], event: usize) -> bool {
        let of = &self.moves[event];
        let done = &state[..self.done_words];
        !has(done, event) && !of.never && covers(done, of.before.words())
    }

    /// By event: those that may become ready when it happens, among them all that come after it with nothing in
    /// between.
    fn followers(&self) -> Vec<Vec<usize>> {
        let mut followers = vec![Vec::new(); self.events.len()];
        for (event, of) in self.moves.iter().enumerate() {
            // In the card's order the last is mostly the nearest, and brings the others with it.
            let mut rest = of.before.clone();
            while let Some(before) = rest.last() {
                followers[before].push(event);
                rest.remove(before);
                rest.remove_all(&self.moves[before].before);
            }
        }
        followers
    }
}

/// What an exploration holds while it goes from state to state.
struct Walk<'s> {
    slice: &'s Slice,
    /// By event: those that may become ready when it happens.
    followers: Vec<Vec<usize>>,
    /// Threads that may be exchanged, by group.
    groups: Vec<Vec<Vec<usize>>>,
    /// By event: the group that it is in.
    group_of: Vec<Option<usize>>,
    /// What may happen in the current state.
    open: Vec<usize>,
    keys: Vec<u64>,
}

impl<'s> Walk<'s> {
    fn new(slice: &'s Slice, groups: Vec<Vec<Vec<usize>>>) -> Self {
        let mut group_of = vec![None; slice.events.len()];
        for (number, group) in groups.iter().enumerate() {
            group.iter().flatten().for_each(|&event| group_of[event] = Some(number));
        }
        Self { slice, followers: slice.followers(), groups, group_of, open: Vec::new(), keys: Vec::new() }
    }

    /// The events that are ready in a state, as a row of bits.
    fn ready<S: Packed>(&self, state: &S) -> S {
        let mut ready = S::pack(&vec![0; state.words().len()]);
        for event in (0..self.slice.moves.len()).filter(|&event| self.slice.is_ready(state.words(), event)) {
            set(ready.words_mut(), event, true);
        }
        ready
    }

    /// Finds what may happen: what is ready and finds its guard to hold.
    fn find_open<S: Packed>(&mut self, state: &S, ready: &S) {
        let words = self.slice.done_words;
        let values = &state.words()[words..];
        self.open.clear();
        for event in members(ready.words()[..words].iter().copied()) {
            if holds(values, &self.slice.moves[event].guard) {
                self.open.push(event);
            }
        }
    }

    /// Puts alike threads in order after an event; says whether that changed anything.
    fn exchange<S: Packed>(&mut self, state: &mut S, event: usize) -> bool {
        let Some(group) = self.group_of[event] else { return false };
        exchange(state.words_mut(), &self.groups[group], &mut self.keys)
    }

    /// What is ready in a state to which an event has led, from what was ready before.
    fn ready_after<S: Packed>(&self, state: &S, event: usize, before: &S, is_exchanged: bool) -> S {
        let mut ready = before.clone();
        let mut look = |event: usize| {
            let is_ready = self.slice.is_ready(state.words(), event);
            set(ready.words_mut(), event, is_ready);
        };
        if let Some(group) = self.group_of[event].filter(|_| is_exchanged) {
            // No order leads out of a thread.
            self.groups[group].iter().flatten().copied().for_each(look);
        } else {
            look(event);
            self.followers[event].iter().copied().for_each(look);
        }
        ready
    }
}

fn set(row: &mut [u64], bit: usize, is_set: bool) {
    let word = &mut row[bit / 64];
    *word = *word & !(1 << (bit % 64)) | u64::from(is_set) << (bit % 64);
}

fn push(queue: &mut Vec<Vec<u32>>, cost: usize, state: u32) {
    if queue.len() <= cost {
        queue.resize(cost + 1, Vec::new());
    }
    queue[cost].push(state);
}

fn way(parents: &[(u32, u32)], mut at: u32) -> Vec<usize> {
    let mut moves = Vec::new();
    while at != 0 {
        let (before, event) = parents[at as usize];
        moves.push(event as usize);
        at = before;
    }
    moves.reverse();
    moves
}
