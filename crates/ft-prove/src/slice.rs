//! A slice of a form: some variables, every event that changes one of them, and nothing else.
//!
//! Guards on other variables are taken to hold, effects that depend on other variables happen for any values of
//! theirs that fit together,
//! and of `pre` only what follows for the slice's events is kept. So whatever the form can do, the slice can do
//! too; what the slice cannot reach, the form cannot. Slices of a few variables have a few states where the
//! form has billions. Threads of events that are alike are exchanged freely ([`Slice::explore`] counts states
//! up to that).

use std::collections::VecDeque;

use ft_form::{Allowed, EventId, Form, Op, VarId};

use crate::bits::{Bits, members};
use crate::cases::{Cases, cases};
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
    pub(crate) cases: Cases,
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

    /// Bytes that one more state takes, with its share of the table and with what is ready in it.
    pub(crate) fn state_bytes(&self) -> u64 {
        (self.start.len() + self.done_words) as u64 * 8 + 24
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
        let mut walk = Walk::new(self, self.threads(questions, sure));
        let asks_rest = questions.iter().any(|question| question.at_rest);
        let mut reached = vec![false; questions.len()];
        let mut set = StateSet::new(self.start.len());
        set.insert(&self.start);
        // What is ready in the states that are still to be looked at, in the order of their coming.
        let mut ready: VecDeque<u64> = walk.ready.iter().copied().collect();
        let mut current = self.start.clone();
        let mut at = 0;
        while at < set.len() {
            current.copy_from_slice(set.get(at));
            walk.ready.clear();
            walk.ready.extend(ready.drain(..self.done_words));
            walk.find_open(&current);
            let is_resting = asks_rest && !walk.open.iter().any(|&event| sure.has(event));
            for (question, reached) in questions.iter().zip(&mut reached) {
                *reached = *reached || self.answers(&current, question, is_resting);
            }
            if !reached.is_empty() && reached.iter().all(|&reached| reached) {
                break;
            }
            for open in 0..walk.open.len() {
                let event = walk.open[open];
                self.outcomes(&current, event, &mut walk.next);
                for from in (0..walk.next.len()).step_by(self.start.len()) {
                    let is_exchanged = walk.exchange(from, event);
                    let next = &walk.next[from..from + self.start.len()];
                    if set.insert(next) {
                        walk.ready_after(from, event, is_exchanged, &mut ready);
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
        let mut set = StateSet::new(self.start.len());
        let mut parents: Vec<(u32, u32)> = vec![(0, 0)];
        let mut walk = Walk::new(self, Vec::new());
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
            walk.find_ready(&current);
            walk.find_open(&current);
            let is_resting = question.at_rest && !walk.open.iter().any(|&event| sure.has(event));
            if self.answers(&current, question, is_resting) {
                paths.push(Path { cost: at_cost, moves: way(&parents, at) });
                if paths.len() == count {
                    break;
                }
            }
            for open in 0..walk.open.len() {
                let event = walk.open[open];
                self.outcomes(&current, event, &mut walk.next);
                for next in walk.next.chunks_exact(self.start.len()) {
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

    /// Whether the event has not happened and all that comes before it has.
    fn is_ready(&self, state: &[u64], event: usize) -> bool {
        let of = &self.moves[event];
        let done = &state[..self.done_words];
        !has(done, event) && !of.never && covers(done, of.before.words())
    }

    /// By event: the events that come after it with nothing in between.
    fn followers(&self) -> Vec<Vec<usize>> {
        let mut followers = vec![Vec::new(); self.events.len()];
        let mut nearest = Bits::default();
        for (event, of) in self.moves.iter().enumerate() {
            nearest.clone_from(&of.before);
            for before in of.before.iter() {
                nearest.remove_all(&self.moves[before].before);
            }
            nearest.iter().for_each(|before| followers[before].push(event));
        }
        followers
    }

    fn answers(&self, state: &[u64], question: &Question, is_resting: bool) -> bool {
        let (done, values) = state.split_at(self.done_words);
        holds(values, &question.cond)
            && (is_resting || !question.at_rest)
            && covers(done, question.must.words())
            && done.iter().zip(question.must_not.words()).all(|(done, not)| done & not == 0)
            && (!question.some_left || (0..self.events.len()).any(|event| !has(done, event)))
    }

    /// Every state that the event may lead to, one after the other, into `next`.
    fn outcomes(&self, state: &[u64], event: usize, next: &mut Vec<u64>) {
        let of = &self.moves[event];
        next.clear();
        let before = &state[self.done_words..];
        for case in of.cases.iter() {
            let from = next.len();
            next.extend_from_slice(state);
            let next = &mut next[from..];
            next[event / 64] |= 1 << (event % 64);
            let values = &mut next[self.done_words..];
            for (at, change) in of.effects.iter().enumerate() {
                if case.lets(at) && holds(before, &change.when) {
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

/// What an exploration holds while it goes from state to state.
struct Walk<'s> {
    slice: &'s Slice,
    /// By event: those that may become ready when it happens.
    followers: Vec<Vec<usize>>,
    /// Threads that may be exchanged, by group.
    groups: Vec<Vec<Vec<usize>>>,
    /// By event: the group that it is in.
    group_of: Vec<Option<usize>>,
    /// What is ready in the current state: it has not happened, and all that comes before it has.
    ready: Vec<u64>,
    /// What may happen in the current state.
    open: Vec<usize>,
    /// The states that one event leads to.
    next: Vec<u64>,
    keys: Vec<u64>,
}

impl<'s> Walk<'s> {
    fn new(slice: &'s Slice, groups: Vec<Vec<Vec<usize>>>) -> Self {
        let mut group_of = vec![None; slice.events.len()];
        for (number, group) in groups.iter().enumerate() {
            group.iter().flatten().for_each(|&event| group_of[event] = Some(number));
        }
        let mut walk = Self {
            slice,
            followers: slice.followers(),
            groups,
            group_of,
            ready: Vec::new(),
            open: Vec::new(),
            next: Vec::new(),
            keys: Vec::new(),
        };
        walk.find_ready(&slice.start);
        walk
    }

    fn find_ready(&mut self, state: &[u64]) {
        self.ready.clear();
        self.ready.resize(self.slice.done_words, 0);
        for event in (0..self.slice.moves.len()).filter(|&event| self.slice.is_ready(state, event)) {
            self.ready[event / 64] |= 1 << (event % 64);
        }
    }

    /// What may happen: what is ready and finds its guard to hold.
    fn find_open(&mut self, state: &[u64]) {
        let values = &state[self.slice.done_words..];
        let ready = members(self.ready.iter().copied());
        self.open.clear();
        self.open.extend(ready.filter(|&event| holds(values, &self.slice.moves[event].guard)));
    }

    /// Puts alike threads in order in the state of `next` that begins at `from`, after an event; says whether that
    /// changed anything.
    fn exchange(&mut self, from: usize, event: usize) -> bool {
        let Some(group) = self.group_of[event] else { return false };
        exchange(&mut self.next[from..], &self.groups[group], &mut self.keys)
    }

    /// Adds to `all` what is ready in the state of `next` that begins at `from`, to which an event has led.
    fn ready_after(&self, from: usize, event: usize, is_exchanged: bool, all: &mut VecDeque<u64>) {
        let state = &self.next[from..];
        let begin = all.len();
        all.extend(&self.ready);
        let mut set = |event: usize, is_ready: bool| {
            let word = &mut all[begin + event / 64];
            *word = *word & !(1 << (event % 64)) | u64::from(is_ready) << (event % 64);
        };
        match self.group_of[event].filter(|_| is_exchanged) {
            // No order leads out of a thread.
            Some(group) => {
                for &event in self.groups[group].iter().flatten() {
                    set(event, self.slice.is_ready(state, event));
                }
            }
            None => {
                set(event, false);
                for &event in &self.followers[event] {
                    set(event, self.slice.is_ready(state, event));
                }
            }
        }
    }
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
