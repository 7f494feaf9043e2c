//! Orders laid over a form, for deriving and repairing: a closed relation that grows and shrinks pair by pair.

use ft_form::{EventId, EventKind, Form};

use crate::bits::Bits;
use crate::precedence::Precedence;

/// A transitively closed relation over the events.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Relation {
    /// By event: everything before it.
    pub(crate) before: Vec<Bits>,
}

impl Relation {
    pub(crate) fn new(size: usize) -> Self {
        Self { before: vec![Bits::new(size); size] }
    }

    /// The closure of the form's `pre`.
    pub(crate) fn given(form: &Form) -> Self {
        Self { before: Precedence::given(form).before }
    }

    /// Orders that are not ours to drop: what the author asked for, a step's start before its end, and what
    /// the world's answers wait for.
    pub(crate) fn kept(form: &Form) -> Self {
        let mut kept = Self::new(form.events.len());
        for (event, of) in form.events.iter().enumerate() {
            for &before in &of.pre {
                if of.nature || is_asked(form, before, event) || is_same_step(form, before, event) {
                    kept.add(before, event);
                }
            }
        }
        kept
    }

    pub(crate) fn has(&self, first: EventId, then: EventId) -> bool {
        self.before[then].has(first)
    }

    pub(crate) fn add(&mut self, first: EventId, then: EventId) {
        if self.has(first, then) {
            return;
        }
        let mut firsts = self.before[first].clone();
        firsts.insert(first);
        for event in 0..self.before.len() {
            if event == then || self.before[event].has(then) {
                self.before[event].add_all(&firsts);
            }
        }
    }

    /// This relation with more pairs, which are sorted by `then`; `run` is a run that all of it allows.
    pub(crate) fn with(&self, pairs: &[(EventId, EventId)], run: &[EventId]) -> Self {
        let mut more = self.clone();
        for &then in run {
            let begin = pairs.partition_point(|pair| pair.1 < then);
            let own = pairs[begin..].iter().take_while(|pair| pair.1 == then).map(|pair| pair.0);
            let mut row = self.before[then].clone();
            own.for_each(|first| row.insert(first));
            for first in row.clone().iter() {
                row.add_all(&more.before[first]);
            }
            more.before[then] = row;
        }
        more
    }

    pub(crate) fn add_all(&mut self, other: &Self) {
        for then in 0..self.before.len() {
            for first in other.before[then].iter() {
                self.add(first, then);
            }
        }
    }

    /// Whether a pair is there and has nothing in between.
    pub(crate) fn is_reduced(&self, (first, then): (EventId, EventId)) -> bool {
        self.has(first, then) && !self.before[then].iter().any(|between| self.has(first, between))
    }

    /// The pairs with nothing in between, by `then`, then by `first`.
    pub(crate) fn reduced(&self) -> Vec<(EventId, EventId)> {
        let mut pairs = Vec::new();
        for (then, firsts) in self.before.iter().enumerate() {
            // Whatever comes before one that is in between is so itself; in the card's order the last is mostly nearest.
            let mut between = Bits::new(self.before.len());
            let mut rest = firsts.clone();
            while let Some(first) = rest.last() {
                between.add_all(&self.before[first]);
                rest.remove(first);
                rest.remove_all(&between);
            }
            pairs.extend(firsts.iter().filter(|&first| !between.has(first)).map(|first| (first, then)));
        }
        pairs
    }

    /// The form whose `pre` is this relation.
    pub(crate) fn lay_over(&self, form: &Form) -> Form {
        let mut form = form.clone();
        self.lay_on(&mut form);
        form
    }

    /// Makes this relation the form's `pre`.
    pub(crate) fn lay_on(&self, form: &mut Form) {
        for event in &mut form.events {
            event.pre.clear();
        }
        for (first, then) in self.reduced() {
            form.events[then].pre.push(first);
        }
    }

    /// Whether a story may happen as far as this relation is concerned.
    pub(crate) fn lets(&self, story: &[EventId]) -> bool {
        let mut done = Bits::new(self.before.len());
        for &event in story {
            if !done.has_all(&self.before[event]) {
                return false;
            }
            done.insert(event);
        }
        true
    }
}

pub(crate) fn is_asked(form: &Form, before: EventId, event: EventId) -> bool {
    form.events[event].asked.iter().any(|asked| asked.before == before)
}

pub(crate) fn is_same_step(form: &Form, before: EventId, event: EventId) -> bool {
    let (first, then) = (&form.events[before], &form.events[event]);
    first.step == then.step && first.kind == EventKind::Start && then.kind == EventKind::End
}

/// The pairs each of which would keep a story from happening: `then` is in the story, `first` is not before it
/// there, and neither the world nor an order that stands forbids it.
pub(crate) fn cuts(form: &Form, relation: &Relation, story: &[EventId]) -> Vec<(EventId, EventId)> {
    let mut done = Bits::new(form.events.len());
    let mut cuts = Vec::new();
    for &then in story {
        if !form.events[then].nature {
            for first in 0..form.events.len() {
                let is_free = first != then && !done.has(first) && !relation.has(then, first);
                if is_free && !orders_answers(form, relation, first, then) {
                    cuts.push((first, then));
                }
            }
        }
        done.insert(then);
    }
    cuts
}

/// Whether putting `first` before `then` would put one of the world's answers before another.
fn orders_answers(form: &Form, relation: &Relation, first: EventId, then: EventId) -> bool {
    let answers = |event: &EventId| form.events[*event].nature;
    let early = (0..form.events.len())
        .filter(answers)
        .filter(|&answer| answer == first || relation.has(answer, first));
    early.into_iter().any(|early| {
        (0..form.events.len())
            .filter(answers)
            .any(|late| (late == then || relation.has(then, late)) && !relation.has(early, late))
    })
}
