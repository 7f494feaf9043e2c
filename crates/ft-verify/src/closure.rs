//! Which event always comes before which.

use ft_form::certificate::Inferred;
use ft_form::{EventId, Form, Op, VarId, allows};

/// A transitively closed table.
pub(crate) struct Closure {
    size: usize,
    /// Row by later event, one bit for each earlier one.
    rows: Vec<Vec<u64>>,
}

impl Closure {
    pub(crate) fn of_pre(form: &Form) -> Self {
        let size = form.events.len();
        let mut rows = vec![vec![0; size.div_ceil(64)]; size];
        for (then, event) in form.events.iter().enumerate() {
            for &first in &event.pre {
                rows[then][first / 64] |= 1 << (first % 64);
            }
        }
        let mut closure = Self { size, rows };
        closure.close();
        closure
    }

    /// Warshall's algorithm (1962), a row at a time.
    fn close(&mut self) {
        for middle in 0..self.size {
            let row = self.rows[middle].clone();
            for then in 0..self.size {
                if self.has(middle, then) {
                    self.rows[then].iter_mut().zip(&row).for_each(|(mine, theirs)| *mine |= theirs);
                }
            }
        }
    }

    pub(crate) fn has(&self, first: EventId, then: EventId) -> bool {
        self.rows[then][first / 64] >> (first % 64) & 1 == 1
    }

    pub(crate) fn has_circle(&self) -> bool {
        (0..self.size).any(|event| self.has(event, event))
    }

    /// Adds an order if a guard forces it: a part of it is false at first, and whatever can make it true is
    /// `before`, or comes after `before`, or comes too late.
    pub(crate) fn infer(&mut self, form: &Form, inferred: &Inferred) -> Result<(), String> {
        let Inferred { before, after, var } = *inferred;
        if before >= self.size || after >= self.size || var >= form.vars.len() {
            return Err("an inferred order speaks of what does not exist".into());
        }
        let forced = form.events[after].guard.iter().any(|part| {
            part.var == var
                && !allows(&form.vars[var], part.mask, form.vars[var].init)
                && (0..self.size).filter(|&maker| may_make(form, maker, var, part.mask)).all(|maker| {
                    maker == before || self.has(before, maker) || maker == after || self.has(after, maker)
                })
        });
        if !forced {
            let (before, after) = (&form.events[before].name, &form.events[after].name);
            return Err(format!("nothing forces `{before}` before `{after}`"));
        }
        if self.has(before, after) {
            return Ok(());
        }
        let mut firsts = self.rows[before].clone();
        firsts[before / 64] |= 1 << (before % 64);
        for then in 0..self.size {
            if then == after || self.has(after, then) {
                self.rows[then].iter_mut().zip(&firsts).for_each(|(mine, theirs)| *mine |= theirs);
            }
        }
        Ok(())
    }
}

fn may_make(form: &Form, event: EventId, var: VarId, mask: u64) -> bool {
    form.events[event].eff.iter().any(|effect| {
        effect.var == var
            && match effect.op {
                Op::Set => allows(&form.vars[var], mask, effect.c),
                Op::Add => true,
            }
    })
}
