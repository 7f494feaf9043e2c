//! A slice of a form: some variables, every event that changes one of them, and nothing else.
//!
//! Guards on other variables are taken to hold, effects that depend on other variables happen for any values of
//! theirs that fit together,
//! and of `pre` only what follows for the slice's events is kept. So whatever the form can do, the slice can do
//! too; what the slice cannot reach, the form cannot. Slices of a few variables have a few states where the
//! form has billions. Threads of events that are alike are exchanged freely ([`Slice::explore`] counts states
//! up to that).

use ft_form::{Allowed, EventId, Form, Op, VarId};

use crate::bits::Bits;
use crate::cases::{Cases, cases};
use crate::precedence::Precedence;
use crate::states::set_value;

/// A slice, made ready for exploring. Events and variables have local numbers, their positions in the lists.
#[derive(Debug)]
pub(crate) struct Slice {
    /// The variables that are followed, sorted.
    pub(crate) vars: Vec<VarId>,
    /// The events that are followed, sorted.
    pub(crate) events: Vec<EventId>,
    pub(crate) moves: Vec<Move>,
    pub(crate) start: Vec<u64>,
    pub(crate) done_words: usize,
    /// Some event has more cases than are gone through: nothing is known of the slice.
    pub(crate) is_too_wide: bool,
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
    pub(crate) when: Vec<Part>,
    pub(crate) slot: usize,
    pub(crate) op: Op,
    /// By or to how much, counted from the variable's least value.
    pub(crate) by: i32,
    pub(crate) last: i32,
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
        let mut slice = Self { vars, events, moves: Vec::new(), start, done_words, is_too_wide: false };
        slice.moves = slice.events.iter().map(|&event| slice.compile(form, order, event)).collect();
        slice.is_too_wide = slice.moves.iter().any(|of| of.cases.are_too_many());
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
        local.fill(self.events.iter().map(|&event| events.has(event)));
        local
    }

    /// Bytes that one more state takes, with its share of the table and with what is ready in it.
    pub(crate) fn state_bytes(&self) -> u64 {
        self.start.len() as u64 * 16 + 24
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
}
