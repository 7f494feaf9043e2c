//! Short stories tried out on a form: fast enough to be the first answer to "is this order needed?".

use ft_form::{Allowed, EventId, Form, Op, allows};

use crate::bits::Bits;
use crate::relation::Relation;
use crate::verdict::{Flaw, FlawKind};

/// A form with its hazards by what may show them.
pub(crate) struct Trial<'f> {
    form: &'f Form,
    /// By variable: hazards on any state whose condition speaks of it.
    of_var: Vec<Vec<usize>>,
    /// By event: hazards on it.
    of_event: Vec<Vec<usize>>,
}

impl<'f> Trial<'f> {
    pub(crate) fn new(form: &'f Form) -> Self {
        let mut of_var = vec![Vec::new(); form.vars.len()];
        let mut of_event = vec![Vec::new(); form.events.len()];
        for (index, hazard) in form.hazards.iter().enumerate() {
            match hazard.on {
                Some(event) => of_event[event].push(index),
                None => hazard.when.iter().for_each(|part| of_var[part.var].push(index)),
            }
        }
        Self { form, of_var, of_event }
    }

    /// Carries out the events in this order, as far as guards allow, up to the first hazard.
    fn run(&self, story: &[EventId]) -> Option<Flaw> {
        let mut vals: Vec<i32> = self.form.vars.iter().map(|var| var.init).collect();
        let mut before = vals.clone();
        for (at, &event) in story.iter().enumerate() {
            let of = &self.form.events[event];
            if !self.holds(&vals, &of.guard) {
                return None;
            }
            let shown = |hazards: &[usize], vals: &[i32]| {
                hazards.iter().copied().find(|&hazard| self.holds(vals, &self.form.hazards[hazard].when))
            };
            let mut found = shown(&self.of_event[event], &vals);
            before.copy_from_slice(&vals);
            for effect in of.eff.iter().filter(|effect| self.holds(&before, &effect.when)) {
                let var = &self.form.vars[effect.var];
                vals[effect.var] = match effect.op {
                    Op::Set => effect.c,
                    Op::Add => vals[effect.var].saturating_add(effect.c).clamp(var.lo, var.hi),
                };
            }
            for effect in &of.eff {
                found = found.or_else(|| shown(&self.of_var[effect.var], &vals));
            }
            if let Some(index) = found {
                return Some(Flaw { kind: FlawKind::Hazard(index), story: story[..=at].to_vec() });
            }
        }
        let is_whole = story.len() == self.form.events.len();
        (is_whole && !self.holds(&vals, &self.form.goal))
            .then(|| Flaw { kind: FlawKind::Goal, story: story.to_vec() })
    }

    fn holds(&self, vals: &[i32], cond: &[Allowed]) -> bool {
        cond.iter().all(|part| allows(&self.form.vars[part.var], part.mask, vals[part.var]))
    }

    /// A flaw of a story that the relation allows and in which `then` comes before `first`.
    ///
    /// `at` is each event's position in a run that the relation allows.
    pub(crate) fn swapped(
        &self,
        relation: &Relation,
        at: &[usize],
        first: EventId,
        then: EventId,
    ) -> Option<Flaw> {
        let size = at.len();
        let mut story = Vec::with_capacity(size);
        let mut told = Bits::new(size);
        let mut tell = |events: &Bits, last: Option<EventId>| {
            let mut next: Vec<EventId> = events.iter().filter(|&event| !told.has(event)).collect();
            next.sort_unstable_by_key(|&event| at[event]);
            next.extend(last.filter(|&last| !told.has(last)));
            for &event in &next {
                told.insert(event);
            }
            story.extend(next);
        };
        tell(&relation.before[then], Some(then));
        tell(&relation.before[first], Some(first));
        let mut rest = Bits::new(size);
        (0..size).for_each(|event| rest.insert(event));
        // The rest in the run's order may not be allowed, where it depends on the swap; what comes before is.
        tell(&rest, None);
        let early = self.run(&story)?;
        if relation.lets(&early.story) {
            return Some(early);
        }
        None
    }
}
