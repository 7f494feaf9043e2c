//! What may be true of the variables that a slice does not follow, as far as one event's effects look at them.
//!
//! The values are chosen freely but together, within what the event's guard allows. Which effects that lets happen
//! is a *case*; a certificate's number of states depends on them, so `ft-verify` counts them in the same way.

use ft_form::{Allowed, Effect, Form, VarId};

use crate::bits::members;

/// As many combinations of values are looked at together, and as many cases may one event have. Source: none, our
/// choice; certificates depend on it.
const CASES_MAX: u64 = 4096;

/// The cases of one event, one after the other, each a row of bits with the first effect in the highest bit: so
/// they sort as lists of truths do.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Cases {
    words_each: usize,
    rows: Vec<u64>,
}

/// Which effects of an event may happen together.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Case<'a>(&'a [u64]);

impl Case<'_> {
    /// Whether it lets this effect of the event happen.
    pub(crate) fn lets(self, effect: usize) -> bool {
        self.0[effect / 64] << (effect % 64) >> 63 == 1
    }
}

impl Cases {
    /// The one case in which each effect happens.
    fn one(effects: usize) -> Self {
        let words_each = effects.div_ceil(64).max(1);
        Self { words_each, rows: vec![u64::MAX; words_each] }
    }

    pub(crate) fn iter(&self) -> impl Iterator<Item = Case<'_>> {
        self.rows.chunks_exact(self.words_each).map(Case)
    }

    /// Whether there are so many that they are not all here.
    pub(crate) fn are_too_many(&self) -> bool {
        (self.rows.len() / self.words_each) as u64 > CASES_MAX
    }

    /// Two of each case: one that lets the effect happen, one that does not. Those that do not come first, so that
    /// the cases are sorted if the last effect is split first.
    fn split(&mut self, effect: usize) {
        let begin = self.rows.len();
        self.rows.extend_from_within(..);
        for row in self.rows[..begin].chunks_exact_mut(self.words_each) {
            row[effect / 64] &= !(1 << (63 - effect % 64));
        }
    }

    /// Each case cut down to each of `lets`, sorted and without repetition.
    fn cut(&mut self, lets: &[u64]) {
        let each = self.words_each;
        let mut cut = Vec::with_capacity(self.rows.len() * lets.len() / each);
        for row in self.rows.chunks_exact(each) {
            for lets in lets.chunks_exact(each) {
                cut.extend(row.iter().zip(lets).map(|(mine, theirs)| mine & theirs));
            }
        }
        let mut rows: Vec<&[u64]> = cut.chunks_exact(each).collect();
        rows.sort_unstable();
        rows.dedup();
        self.rows = rows.concat();
    }
}

/// What the variables that are not followed let happen: where there are more than [`CASES_MAX`] combinations of
/// their values, each effect that looks at them may happen or not by itself, and the cases may become too many.
pub(crate) fn cases(form: &Form, vars: &[VarId], guard: &[Allowed], effects: &[&Effect]) -> Cases {
    let is_hidden = |part: &&Allowed| vars.binary_search(&part.var).is_err();
    let hidden_parts = effects.iter().flat_map(|effect| effect.when.iter().filter(is_hidden));
    let mut hidden: Vec<VarId> = hidden_parts.map(|part| part.var).collect();
    let mut cases = Cases::one(effects.len());
    hidden.sort_unstable();
    hidden.dedup();
    let values = |var: VarId| (form.vars[var].hi - form.vars[var].lo + 1) as u64;
    let combinations = hidden.iter().try_fold(1, |product: u64, &var| product.checked_mul(values(var)));
    if combinations.is_none_or(|combinations| combinations > CASES_MAX) {
        for (at, effect) in effects.iter().enumerate().rev() {
            if effect.when.iter().any(|part| is_hidden(&part)) && !cases.are_too_many() {
                cases.split(at);
            }
        }
        return cases;
    }
    // One variable after the other: which effects does each of its values still let happen?
    let mut lets: Vec<u64> = Vec::new();
    for &var in &hidden {
        let of = &form.vars[var];
        let allowed = |cond: &[Allowed]| {
            cond.iter().filter(|part| part.var == var).fold(u64::MAX, |mask, part| mask & part.mask)
        };
        let possible = u64::MAX >> (63 - (of.hi - of.lo)) & allowed(guard);
        let masks: Vec<u64> = effects.iter().map(|effect| allowed(&effect.when)).collect();
        lets.clear();
        for value in members(std::iter::once(possible)) {
            let begin = lets.len();
            lets.resize(begin + cases.words_each, u64::MAX);
            for (at, _) in masks.iter().enumerate().filter(|(_, mask)| *mask >> value & 1 == 0) {
                lets[begin + at / 64] &= !(1 << (63 - at % 64));
            }
            let (known, new) = lets.split_at(begin);
            if known.chunks_exact(cases.words_each).any(|row| row == new) {
                lets.truncate(begin);
            }
        }
        cases.cut(&lets);
    }
    cases
}
