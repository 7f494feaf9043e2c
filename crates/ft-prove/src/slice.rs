//! A slice of a form: some variables, every event that changes one of them, and nothing else.
//!
//! Guards on other variables are taken to hold, effects that depend on other variables happen for any values of
//! theirs that fit together,
//! and of `pre` only what follows for the slice's events is kept. So whatever the form can do, the slice can do
//! too; what the slice cannot reach, the form cannot. Slices of a few variables have a few states where the
//! form has billions. Threads of events that are alike are exchanged freely ([`Slice::explore`] counts states
//! up to that).

use ft_form::{Allowed, Effect, EventId, Form, Op, VarId, allows};

use crate::bits::Bits;
use crate::precedence::Precedence;
use crate::states::{StateSet, covers, has, holds, set_value, value};
use crate::threads::exchange;

/// A slice, made ready for exploring. Events and variables have local numbers, their positions in the lists.
#[derive(Debug)]
pub(crate) struct Slice {
    /// The variables that are followed, sorted.
    pub(crate) vars: Vec<VarId>,
    /// The events that are followed, sorted.
    pub(crate) events: Vec<EventId>,
    pub(crate) moves: Vec<Move>,
    start: Vec<u64>,
    done_words: usize,
}

#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Move {
    pub(crate) before: Bits,
    pub(crate) never: bool,
    pub(crate) guard: Vec<Part>,
    pub(crate) effects: Vec<Change>,
    /// What may be true of variables that are not followed: by case, by effect, whether that lets it happen.
    pub(crate) cases: Vec<Vec<bool>>,
}

/// A part of a condition on a local variable; bit `i` allows its `i`-th value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Part {
    pub(crate) slot: usize,
    pub(crate) mask: u64,
}

impl Part {
    /// The part that holds where this one does not.
    pub(crate) fn negated(self) -> Self {
        Self { slot: self.slot, mask: !self.mask }
    }
}

#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Change {
    /// The followed parts of its condition.
    when: Vec<Part>,
    slot: usize,
    op: Op,
    /// By or to how much, counted from the variable's least value.
    by: i32,
    last: i32,
}

/// Asks whether a slice can reach a state of some sort.
#[derive(Debug, Clone, Default)]
pub(crate) struct Question {
    /// Local events that have happened.
    pub(crate) must: Bits,
    /// Local events that have not.
    pub(crate) must_not: Bits,
    /// What holds.
    pub(crate) cond: Vec<Part>,
    /// Whether nothing more may happen, as far as the slice can tell.
    pub(crate) at_rest: bool,
    /// Whether some event remains.
    pub(crate) some_left: bool,
}

/// What an exploration saw.
#[derive(Debug)]
pub(crate) struct Explored {
    /// The states, up to exchanging threads that are alike.
    pub(crate) states: usize,
    /// By question: whether such a state can be reached.
    pub(crate) reached: Vec<bool>,
}

/// The limits were reached; how much was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Exceeded {
    pub(crate) states: usize,
}

/// A way through a slice, in local events.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Path {
    pub(crate) cost: usize,
    pub(crate) moves: Vec<usize>,
}

impl Slice {
    /// The slice that follows these variables, with at least these events.
    pub(crate) fn new(
        form: &Form,
        order: &Precedence,
        writers: &[Vec<EventId>],
        vars: &[VarId],
        more: &[EventId],
    ) -> Self {
        let mut vars = vars.to_vec();
        vars.sort_unstable();
        vars.dedup();
        let mut events: Vec<EventId> =
            vars.iter().flat_map(|&var| writers[var].iter().copied()).chain(more.iter().copied()).collect();
        events.sort_unstable();
        events.dedup();
        let done_words = events.len().div_ceil(64);
        let mut start = vec![0; (done_words + vars.len().div_ceil(8)).max(1)];
        for (slot, &var) in vars.iter().enumerate() {
            let var = &form.vars[var];
            set_value(&mut start[done_words..], slot, (var.init - var.lo) as u8);
        }
        let mut slice = Self { vars, events, moves: Vec::new(), start, done_words };
        slice.moves = slice.events.iter().map(|&event| slice.compile(form, order, event)).collect();
        slice
    }

    fn compile(&self, form: &Form, order: &Precedence, event: EventId) -> Move {
        let of = &form.events[event];
        let followed = of.eff.iter().filter(|effect| self.vars.binary_search(&effect.var).is_ok());
        let effects = followed.clone().map(|effect| {
            let slot = self.vars.binary_search(&effect.var).expect("only followed effects are kept");
            let var = &form.vars[effect.var];
            let when = self.parts(&effect.when);
            let by = match effect.op {
                Op::Set => effect.c - var.lo,
                Op::Add => effect.c,
            };
            Change { when, slot, op: effect.op, by, last: var.hi - var.lo }
        });
        Move {
            before: self.local(&order.before[event]),
            never: order.never.has(event),
            guard: self.parts(&of.guard),
            effects: effects.collect(),
            cases: cases(form, &self.vars, &of.guard, &followed.collect::<Vec<_>>()),
        }
    }

    /// The parts of a condition that speak of the slice's variables.
    pub(crate) fn parts(&self, cond: &[Allowed]) -> Vec<Part> {
        cond.iter()
            .filter_map(|part| {
                let slot = self.vars.binary_search(&part.var).ok()?;
                Some(Part { slot, mask: part.mask })
            })
            .collect()
    }

    /// The slice's events among these.
    pub(crate) fn local(&self, events: &Bits) -> Bits {
        let mut local = Bits::new(self.events.len());
        for (at, &event) in self.events.iter().enumerate() {
            if events.has(event) {
                local.insert(at);
            }
        }
        local
    }

    /// Bytes that one more state takes, with its share of the table.
    pub(crate) fn state_bytes(&self) -> u64 {
        self.start.len() as u64 * 8 + 24
    }

    /// A question about any state with this condition.
    pub(crate) fn any(&self, cond: Vec<Part>) -> Question {
        Question {
            must: Bits::new(self.events.len()),
            must_not: Bits::new(self.events.len()),
            cond,
            at_rest: false,
            some_left: false,
        }
    }

    /// A question about states in which all before `event` have happened and it has not.
    pub(crate) fn ready(&self, order: &Precedence, event: EventId, cond: Vec<Part>) -> Question {
        let mut question = self.any(cond);
        question.must = self.local(&order.before[event]);
        let mut not_yet = order.after[event].clone();
        not_yet.insert(event);
        question.must_not = self.local(&not_yet);
        question
    }

    /// A question about states in which everything has happened.
    pub(crate) fn finished(&self, cond: Vec<Part>) -> Question {
        let mut question = self.any(cond);
        (0..self.events.len()).for_each(|at| question.must.insert(at));
        question
    }

    /// Explores every state of the slice, or until each question is answered with yes.
    ///
    /// `sure` names the local events of which the slice can tell that they may happen.
    pub(crate) fn explore(
        &self,
        questions: &[Question],
        sure: &Bits,
        limit: usize,
    ) -> Result<Explored, Exceeded> {
        let threads = self.threads(questions, sure);
        let mut reached = vec![false; questions.len()];
        let mut set = StateSet::new(self.start.len());
        let mut scratch = Scratch::default();
        set.insert(&self.start);
        let mut at = 0;
        let mut current = self.start.clone();
        while at < set.len() {
            current.copy_from_slice(set.get(at));
            for (question, reached) in questions.iter().zip(&mut reached) {
                *reached = *reached || self.answers(&current, question, sure);
            }
            if !reached.is_empty() && reached.iter().all(|&reached| reached) {
                break;
            }
            for event in self.left(&current) {
                if !self.may(&current, event) {
                    continue;
                }
                self.outcomes(&current, event, &mut scratch);
                for next in scratch.states.chunks_exact_mut(self.start.len()) {
                    exchange(next, &threads, &mut scratch.keys);
                    set.insert(next);
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
        let mut set = StateSet::new(self.start.len());
        let mut parents: Vec<(u32, u32)> = vec![(0, 0)];
        let mut scratch = Scratch::default();
        let mut queue: Vec<Vec<u32>> = Vec::new();
        let mut paths = Vec::new();
        set.insert(&self.start);
        push(&mut queue, cost(&self.start[..self.done_words]), 0);
        let mut at_cost = 0;
        let mut current = self.start.clone();
        while at_cost < queue.len() {
            let Some(at) = queue[at_cost].pop() else {
                at_cost += 1;
                continue;
            };
            current.copy_from_slice(set.get(at as usize));
            if self.answers(&current, question, sure) {
                paths.push(Path { cost: at_cost, moves: way(&parents, at) });
                if paths.len() == count {
                    break;
                }
            }
            for event in self.left(&current) {
                if !self.may(&current, event) {
                    continue;
                }
                self.outcomes(&current, event, &mut scratch);
                for next in scratch.states.chunks_exact(self.start.len()) {
                    if set.insert(next) {
                        parents.push((at, event as u32));
                        let cost = cost(&next[..self.done_words]).max(at_cost);
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

    /// The events that have not happened in a state.
    fn left<'s>(&'s self, state: &'s [u64]) -> impl Iterator<Item = usize> + 's {
        let words = state[..self.done_words].iter().enumerate();
        let bits = words.flat_map(|(word, done)| {
            let mut left = !done;
            std::iter::from_fn(move || {
                let bit = (left != 0).then(|| left.trailing_zeros() as usize)?;
                left &= left - 1;
                Some(word * 64 + bit)
            })
        });
        bits.take_while(|&event| event < self.moves.len())
    }

    fn may(&self, state: &[u64], event: usize) -> bool {
        let of = &self.moves[event];
        let (done, values) = state.split_at(self.done_words);
        !has(done, event) && !of.never && covers(done, of.before.words()) && holds(values, &of.guard)
    }

    fn answers(&self, state: &[u64], question: &Question, sure: &Bits) -> bool {
        let (done, values) = state.split_at(self.done_words);
        holds(values, &question.cond)
            && covers(done, question.must.words())
            && done.iter().zip(question.must_not.words()).all(|(done, not)| done & not == 0)
            && (!question.some_left || (0..self.events.len()).any(|event| !has(done, event)))
            && (!question.at_rest || !sure.iter().any(|event| self.may(state, event)))
    }

    /// Every state that the event may lead to, one after the other, into `scratch.states`.
    fn outcomes(&self, state: &[u64], event: usize, scratch: &mut Scratch) {
        let of = &self.moves[event];
        scratch.states.clear();
        for case in &of.cases {
            let from = scratch.states.len();
            scratch.states.extend_from_slice(state);
            let next = &mut scratch.states[from..];
            next[event / 64] |= 1 << (event % 64);
            let values = &mut next[self.done_words..];
            for (change, _) in of.effects.iter().zip(case).filter(|(_, happens)| **happens) {
                if holds(&state[self.done_words..], &change.when) {
                    let value = match change.op {
                        Op::Set => change.by,
                        Op::Add => i32::from(value(values, change.slot))
                            .saturating_add(change.by)
                            .clamp(0, change.last),
                    };
                    set_value(values, change.slot, value as u8);
                }
            }
        }
    }
}

/// What may be true of the variables that are not followed, as far as an event's effects look at them.
///
/// Each case says of each effect whether the parts that are not followed hold in it. The values are chosen freely
/// but together, within what the guard allows; where there are more than [`CASES_MAX`] combinations, each effect
/// that looks at them may happen or not by itself.
fn cases(form: &Form, vars: &[VarId], guard: &[Allowed], effects: &[&Effect]) -> Vec<Vec<bool>> {
    let is_hidden = |part: &&Allowed| vars.binary_search(&part.var).is_err();
    let mut hidden: Vec<VarId> =
        effects.iter().flat_map(|effect| effect.when.iter().filter(is_hidden).map(|part| part.var)).collect();
    hidden.sort_unstable();
    hidden.dedup();
    if hidden.is_empty() {
        return vec![vec![true; effects.len()]];
    }
    let values = |var: VarId| (form.vars[var].hi - form.vars[var].lo + 1) as u64;
    let combinations = hidden.iter().try_fold(1, |product: u64, &var| product.checked_mul(values(var)));
    if combinations.is_none_or(|combinations| combinations > CASES_MAX) {
        return effects.iter().fold(vec![Vec::new()], |cases, effect| {
            let both: &[bool] =
                if effect.when.iter().any(|part| is_hidden(&part)) { &[true, false] } else { &[true] };
            let with = |happens: bool| {
                cases.iter().map(move |case| case.iter().copied().chain([happens]).collect::<Vec<bool>>())
            };
            both.iter().flat_map(|happens| with(*happens)).collect()
        });
    }
    // One variable after the other: which effects does each of its values still let happen?
    let mut cases = std::collections::BTreeSet::from([vec![true; effects.len()]]);
    for &var in &hidden {
        let of = &form.vars[var];
        let mut next = std::collections::BTreeSet::new();
        for value in of.lo..=of.hi {
            let fits = |part: &Allowed| part.var != var || allows(of, part.mask, value);
            if !guard.iter().all(fits) {
                continue;
            }
            let lets: Vec<bool> = effects.iter().map(|effect| effect.when.iter().all(fits)).collect();
            next.extend(
                cases.iter().map(|case| case.iter().zip(&lets).map(|(a, b)| *a && *b).collect::<Vec<bool>>()),
            );
        }
        cases = next;
    }
    cases.into_iter().collect()
}

/// As many combinations of values are looked at together. Source: none, our choice; certificates depend on it.
const CASES_MAX: u64 = 4096;

#[derive(Default)]
struct Scratch {
    states: Vec<u64>,
    keys: Vec<u64>,
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
