//! What has been proved of slices under one order, for the next order.
//!
//! Deriving an order asks the same questions under hundreds of orders that differ in a pair or two. What a slice
//! cannot reach it cannot reach either where its events are ordered more strictly, so most answers stay.

use std::collections::BTreeMap;

use ft_form::{EventId, VarId};

use crate::bits::Bits;
use crate::precedence::Precedence;
use crate::slice::{Question, Slice};

/// Answers that are kept of one question. Source: none, our choice.
const ANSWERS_EACH: usize = 6;

/// Answers about one form's guards, hazards and effects, under whatever order it had.
#[derive(Debug, Default)]
pub(crate) struct Memo {
    never: BTreeMap<Asked, Vec<Under>>,
    /// By hazard that was given up: the variables that its slice had grown to.
    pub(crate) hard: BTreeMap<usize, Vec<VarId>>,
    explored: BTreeMap<Vec<u64>, Option<Vec<bool>>>,
}

/// A question that only grows easier under more orders.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Asked {
    Hazard(usize),
    Goal(usize),
}

/// What an order says of some events.
#[derive(Debug)]
struct Under {
    events: Vec<EventId>,
    /// By event: those of the others that come before it.
    before: Vec<Bits>,
    never: Bits,
}

impl Under {
    fn new(order: &Precedence, events: Vec<EventId>) -> Self {
        let mut all = Bits::new(order.before.len());
        for &event in &events {
            all.insert(event);
        }
        let within = |row: &Bits| {
            let mut row = row.clone();
            row.keep(&all);
            row
        };
        let before = events.iter().map(|&event| within(&order.before[event])).collect();
        Self { before, never: within(&order.never), events }
    }

    /// Whether another order says at least as much.
    fn is_kept_by(&self, order: &Precedence) -> bool {
        let rows = self.events.iter().zip(&self.before);
        order.never.has_all(&self.never)
            && rows.into_iter().all(|(&event, before)| order.before[event].has_all(before))
    }
}

impl Memo {
    /// Whether it is known that the answer is "never" under this order.
    pub(crate) fn excludes(&self, asked: Asked, order: &Precedence) -> bool {
        self.never.get(&asked).is_some_and(|known| known.iter().any(|under| under.is_kept_by(order)))
    }

    /// Keeps that the answer is "never" under any order that says as much of these events as this one.
    pub(crate) fn exclude(&mut self, asked: Asked, order: &Precedence, mut events: Vec<EventId>) {
        events.sort_unstable();
        events.dedup();
        let known = self.never.entry(asked).or_default();
        known.insert(0, Under::new(order, events));
        known.truncate(ANSWERS_EACH);
    }

    pub(crate) fn explored(&self, key: &[u64]) -> Option<&Option<Vec<bool>>> {
        self.explored.get(key)
    }

    pub(crate) fn explore(&mut self, key: Vec<u64>, answer: Option<Vec<bool>>) {
        self.explored.insert(key, answer);
    }
}

/// All that an exploration depends on, as numbers.
pub(crate) fn key(slice: &Slice, questions: &[Question], sure: &Bits, limit: usize) -> Vec<u64> {
    let mut key = vec![slice.vars.len() as u64, slice.events.len() as u64, limit as u64];
    key.extend(slice.vars.iter().chain(&slice.events).map(|&index| index as u64));
    for of in &slice.moves {
        key.extend(of.before.words());
        key.push(u64::from(of.never));
    }
    key.extend(sure.words());
    for question in questions {
        key.extend(question.must.words());
        key.extend(question.must_not.words());
        key.extend([u64::from(question.at_rest), u64::from(question.some_left), question.cond.len() as u64]);
        key.extend(question.cond.iter().flat_map(|part| [part.slot as u64, part.mask]));
    }
    key
}
