//! Takes orders out of a safe relation as long as it stays safe.
//!
//! Each order is first tried against a story that swaps its two events, then against the stories that refuted
//! others, and only then proved.

use std::collections::BTreeSet;

use ft_form::EventId;

use crate::bits::Bits;
use crate::check::{Ask, Find, Judged, judge};
use crate::order::{Deriving, STATES_EACH};
use crate::relation::Relation;
use crate::trial::Trial;
use crate::verdict::{Flaw, FlawKind, Limits};

/// States that finding out about all of them may take; what is left then is kept, and said not to be known minimal.
/// Source: none, our choice: a fifth of a second on the largest demo machine.
const STATES_ALL: u64 = 300_000;

/// What a check is counted as at least: it has its own overhead, and a flaw does not tell its states.
const STATES_LEAST: u64 = 1_000;

impl Deriving<'_> {
    /// Takes out whatever can be taken out; says whether it was proved of all the rest that it cannot.
    pub(crate) fn loosen(&mut self, relation: &mut Relation, run: &[EventId]) -> bool {
        let mut at = vec![0; run.len()];
        run.iter().enumerate().for_each(|(position, &event)| at[event] = position);
        let mut tried: BTreeSet<(EventId, EventId)> = BTreeSet::new();
        let mut is_minimal = true;
        let mut work = (self.limits.states / 40).min(STATES_ALL);
        let strict = self.strict.form.clone();
        let trial = Trial::new(&strict);
        loop {
            let mut pairs: Vec<_> = relation
                .reduced()
                .into_iter()
                .filter(|pair| !self.kept.has(pair.0, pair.1) && !self.form.events[pair.1].nature)
                .filter(|pair| !tried.contains(pair))
                .collect();
            if pairs.is_empty() {
                return is_minimal;
            }
            pairs.sort_by_key(|pair| (std::cmp::Reverse(at[pair.1] - at[pair.0]), *pair));
            for pair in pairs {
                if relation.is_reduced(pair) {
                    is_minimal &= self.try_without(relation, pair, &trial, (run, &at), &mut work);
                    tried.insert(pair);
                }
            }
        }
    }

    /// Takes out a pair if it is not needed; says whether it is known which.
    fn try_without(
        &mut self,
        relation: &mut Relation,
        pair: (EventId, EventId),
        trial: &Trial,
        (run, at): (&[EventId], &[usize]),
        work: &mut u64,
    ) -> bool {
        // First with all that only follows from it, which is a larger step; then it alone.
        let mut known = true;
        for looser in [self.without_followers(relation, pair, run), self.without(relation, pair)] {
            let tried = trial.swapped(&looser, at, pair.0, pair.1);
            match self.wrong_without(&looser, pair, tried, work) {
                Some(false) => {
                    *relation = looser;
                    return true;
                }
                Some(true) => known = true,
                None => known = false,
            }
        }
        known
    }

    /// The relation without one pair that has nothing in between.
    fn without(&self, relation: &Relation, (first, then): (EventId, EventId)) -> Relation {
        let mut looser = relation.clone();
        looser.before[then].remove(first);
        // An answer of the world keeps only what its own `pre` brings, so a pair may take others with it.
        for (answer, of) in self.form.events.iter().enumerate().filter(|(_, of)| of.nature) {
            if looser.has(first, answer) && answer != then {
                let mut row = Bits::new(self.form.events.len());
                for &before in &of.pre {
                    row.insert(before);
                    row.add_all(&looser.before[before]);
                }
                looser.before[answer] = row;
            }
        }
        looser
    }

    /// The relation without one pair and without everything that only followed from it.
    fn without_followers(&self, relation: &Relation, pair: (EventId, EventId), run: &[EventId]) -> Relation {
        let mut pairs = relation.reduced();
        pairs.retain(|other| *other != pair);
        self.kept.with(&pairs, run)
    }

    /// Whether something goes wrong under the relation; `None` if there is no work left to find out.
    fn wrong_without(
        &mut self,
        relation: &Relation,
        pair: (EventId, EventId),
        tried: Option<Flaw>,
        work: &mut u64,
    ) -> Option<bool> {
        let known = self.stories.iter().find(|flaw| relation.lets(&flaw.story)).cloned();
        let Some(flaw) = tried.or(known) else {
            return self.wrong_by_check(relation, pair, work);
        };
        self.remember(pair, &flaw);
        Some(true)
    }

    fn wrong_by_check(
        &mut self,
        relation: &Relation,
        pair: (EventId, EventId),
        work: &mut u64,
    ) -> Option<bool> {
        if *work == 0 {
            return None;
        }
        *work = work.saturating_sub(STATES_LEAST);
        relation.lay_on(&mut self.laid);
        let limits = Limits { states: (*work).min(STATES_EACH + 2 * self.proof_states), ..*self.limits };
        let ask = Ask { find: Find::Any, each: STATES_EACH, skip: &[] };
        match judge(&self.laid, &limits, &mut self.memo, ask) {
            Judged::Safe { states } => {
                *work = work.saturating_sub(states);
                Some(false)
            }
            Judged::Flawed(flaws) => {
                let flaw = flaws.into_iter().next()?;
                self.remember(pair, &flaw);
                // A deadlock may be one only while the orders around it stand.
                if flaw.kind != FlawKind::Deadlock {
                    self.stories.push(flaw);
                }
                Some(true)
            }
            Judged::Unknown { states, .. } => {
                *work = work.saturating_sub(states);
                None
            }
        }
    }

    fn remember(&mut self, pair: (EventId, EventId), flaw: &Flaw) {
        let reason = self.reason_of(pair, flaw);
        self.reasons.entry(pair).or_insert_with(|| vec![reason]);
    }
}
