//! Deadlocks: first what never blocks, then the rest on a slice of its own.
//!
//! In a deadlock, the earliest events that remain are all blocked by their guards. A part of a guard that
//! holds whenever its event is ready, or whenever nothing more can happen, blocks nothing; it is *claimed*.
//! Only events with parts that are not claimed can be the earliest that remain. So the form has a deadlock
//! only if the slice of those events and those parts' variables has one.

use std::collections::BTreeMap;

use ft_form::certificate::Claim;
use ft_form::{Allowed, EventId, VarId};

use crate::bits::Bits;
use crate::check::{Decided, PATHS, Prover};
use crate::concrete::Blame;
use crate::slice::{Question, Slice};

/// States that a claim may cost; what is not claimed is followed in the end. Source: none, our choice.
const CLAIM_LIMIT: usize = 20_000;
/// The same for claims about one event each, which keep threads from being exchanged. Source: measured on drawn
/// procedures; shared kit never passes there, and what is one side's own has fewer states.
const READY_LIMIT: usize = 2_000;

#[derive(Clone, Copy)]
struct Reader {
    event: EventId,
    part: usize,
    allowed: Allowed,
}

impl Prover<'_> {
    pub(crate) fn decide_deadlock(&mut self) -> Decided {
        self.survey();
        let form = self.form;
        let stuck = self.may_be_stuck();
        let mut follow = Blame {
            vars: self.unclaimed().iter().map(|reader| reader.allowed.var).collect(),
            events: stuck.iter().collect(),
        };
        loop {
            let slice = self.slice(&follow.vars, &follow.events);
            let sure = self.sure(&slice);
            let mut question = slice.any(Vec::new());
            question.at_rest = true;
            question.some_left = true;
            let asked = std::slice::from_ref(&question);
            match self.explore(&slice, asked, &[Claim::Deadlock], &sure, usize::MAX) {
                None => return Decided::Unknown,
                Some(reached) if !reached[0] => return Decided::Never,
                Some(_) => {}
            }
            let happened = |done: &dyn Fn(usize) -> bool| {
                let mut left = Bits::new(form.events.len());
                for (_, &event) in slice.events.iter().enumerate().filter(|(local, _)| !done(*local)) {
                    left.insert(event);
                    left.add_all(&self.order.after[event]);
                }
                let mut all = Bits::new(form.events.len());
                (0..form.events.len()).filter(|&event| !left.has(event)).for_each(|event| all.insert(event));
                all
            };
            let cost = |done: &[u64]| {
                let has = |local: usize| done[local / 64] >> (local % 64) & 1 == 1;
                if self.is_hasty_deadlock() { 0 } else { happened(&has).count() }
            };
            let paths = slice.cheapest(&question, &sure, self.room(&slice), PATHS, cost);
            let Ok(paths) = paths else { return Decided::Unknown };
            let tried = self.try_paths(
                &slice,
                &paths,
                |path| happened(&|local| path.moves.contains(&local)),
                |state| {
                    let open = state.open(form);
                    open.iter()
                        .flat_map(|&event| form.events[event].guard.iter().map(|part| part.var))
                        .collect()
                },
            );
            match tried {
                Ok(story) => return Decided::Story(story),
                Err(more) if more.is_empty() => return Decided::Unknown,
                Err(more) => follow.add(more),
            }
        }
    }

    /// By event, by part of its guard: whether it is known to hold whenever the event is ready.
    pub(crate) fn ready_parts(mut self) -> Vec<Vec<bool>> {
        self.survey_ready();
        self.claimed
    }

    fn survey_ready(&mut self) {
        for (var, readers) in self.unclaimed_by_var() {
            self.claim_always(var, &readers);
        }
    }

    /// Claims what can be claimed of guards.
    fn survey(&mut self) {
        self.survey_ready();
        loop {
            let before = self.unclaimed().len();
            for (var, readers) in self.unclaimed_by_var() {
                self.claim_at_rest(var, &readers);
            }
            if self.unclaimed().len() == before {
                break;
            }
        }
    }

    fn unclaimed_by_var(&self) -> BTreeMap<VarId, Vec<Reader>> {
        let mut readers: BTreeMap<VarId, Vec<Reader>> = BTreeMap::new();
        for reader in self.unclaimed() {
            readers.entry(reader.allowed.var).or_default().push(reader);
        }
        readers
    }

    fn unclaimed(&self) -> Vec<Reader> {
        let mut readers = Vec::new();
        for (event, claimed) in self.claimed.iter().enumerate() {
            for (part, _) in claimed.iter().enumerate().filter(|(_, claimed)| !**claimed) {
                readers.push(Reader { event, part, allowed: self.form.events[event].guard[part] });
            }
        }
        readers
    }

    /// Events that may be the earliest that remain in a deadlock.
    fn may_be_stuck(&self) -> Bits {
        let mut stuck = self.order.never.clone();
        for reader in self.unclaimed() {
            stuck.insert(reader.event);
        }
        stuck
    }

    /// The slice's events of which it can tell that they may happen: the slice follows whatever may keep them,
    /// or what must come before them, from happening.
    fn sure(&self, slice: &Slice) -> Bits {
        let stuck = self.may_be_stuck();
        let mut followed = Bits::new(self.form.events.len());
        slice.events.iter().for_each(|&event| followed.insert(event));
        let mut sure = Bits::new(slice.events.len());
        for (local, &event) in slice.events.iter().enumerate() {
            let guard = &self.form.events[event].guard;
            let is_followed = self.claimed[event]
                .iter()
                .zip(guard)
                .all(|(claimed, part)| *claimed || slice.vars.binary_search(&part.var).is_ok());
            // Once a followed event has happened, so has everything before it.
            let mut known = followed.clone();
            for before in self.order.before[event].iter().filter(|&before| followed.has(before)) {
                known.add_all(&self.order.before[before]);
            }
            let are_before =
                self.order.before[event].iter().all(|before| !stuck.has(before) || known.has(before));
            if is_followed && are_before && !self.order.never.has(event) {
                sure.insert(local);
            }
        }
        sure
    }

    fn claim_always(&mut self, var: VarId, readers: &[Reader]) {
        if readers.is_empty() {
            return;
        }
        let slice = self.slice(&[var], &[]);
        let nothing = Bits::new(slice.events.len());
        let masks = masks(readers);
        let questions: Vec<Question> =
            masks.iter().map(|&mask| slice.any(wrong(&slice, var, mask))).collect();
        let claims: Vec<Claim> = masks.iter().map(|&mask| Claim::Always { var, mask }).collect();
        let Some(reached) = self.explore(&slice, &questions, &claims, &nothing, CLAIM_LIMIT) else { return };
        let left: Vec<Reader> = self.settle(readers, &masks, &reached);
        if left.is_empty() {
            return;
        }
        let questions: Vec<Question> = left
            .iter()
            .map(|reader| slice.ready(&self.order, reader.event, wrong(&slice, var, reader.allowed.mask)))
            .collect();
        let claims: Vec<Claim> =
            left.iter().map(|reader| Claim::Ready { event: reader.event, part: reader.part }).collect();
        let Some(reached) = self.explore(&slice, &questions, &claims, &nothing, READY_LIMIT) else { return };
        for (reader, reached) in left.iter().zip(reached) {
            self.claimed[reader.event][reader.part] = !reached;
        }
    }

    fn claim_at_rest(&mut self, var: VarId, readers: &[Reader]) {
        if readers.is_empty() {
            return;
        }
        let slice = self.slice(&[var], &[]);
        let sure = self.sure(&slice);
        if sure.is_empty() {
            return;
        }
        let masks = masks(readers);
        let questions: Vec<Question> = masks
            .iter()
            .map(|&mask| Question { at_rest: true, ..slice.any(wrong(&slice, var, mask)) })
            .collect();
        let claims: Vec<Claim> = masks.iter().map(|&mask| Claim::Rest { var, mask }).collect();
        let Some(reached) = self.explore(&slice, &questions, &claims, &sure, CLAIM_LIMIT) else { return };
        self.settle(readers, &masks, &reached);
    }

    /// Marks the readers whose mask was not reached as claimed, and gives the others.
    fn settle(&mut self, readers: &[Reader], masks: &[u64], reached: &[bool]) -> Vec<Reader> {
        let mut left = Vec::new();
        for reader in readers {
            let at = masks.iter().position(|&mask| mask == reader.allowed.mask).expect("masks are theirs");
            self.claimed[reader.event][reader.part] = !reached[at];
            if reached[at] {
                left.push(*reader);
            }
        }
        left
    }
}

fn masks(readers: &[Reader]) -> Vec<u64> {
    let mut masks: Vec<u64> = readers.iter().map(|reader| reader.allowed.mask).collect();
    masks.sort_unstable();
    masks.dedup();
    masks
}

fn wrong(slice: &Slice, var: VarId, mask: u64) -> Vec<crate::slice::Part> {
    slice.parts(&[Allowed { var, mask }]).iter().map(|part| part.negated()).collect()
}
