//! Which event must come before which: the form's own `pre`, what guards force, and everything that follows.

use ft_form::certificate::Inferred;
use ft_form::{Effect, Event, EventId, Form, Op, Var, VarId, allows};

use crate::bits::Bits;

/// A strict partial order over the events, transitively closed.
#[derive(Debug, Clone)]
pub(crate) struct Precedence {
    /// By event: everything that must come before it.
    pub(crate) before: Vec<Bits>,
    /// By event: everything that must come after it.
    pub(crate) after: Vec<Bits>,
    /// What was added to the form's own `pre`.
    pub(crate) inferred: Vec<Inferred>,
    /// Events that can never happen, because they would have to come before themselves or because nothing
    /// makes their guard true.
    pub(crate) never: Bits,
}

impl Precedence {
    /// The closure of the form's `pre` alone.
    pub(crate) fn given(form: &Form) -> Self {
        let size = form.events.len();
        let mut order = Self {
            before: vec![Bits::new(size); size],
            after: vec![Bits::new(size); size],
            inferred: Vec::new(),
            never: Bits::new(size),
        };
        let sorted = sorted(form);
        if sorted.len() < size {
            // There is a circle, which needs care.
            for event in 0..size {
                form.events[event].pre.iter().for_each(|&first| order.add(first, event));
            }
            return order;
        }
        for &event in &sorted {
            for &first in &form.events[event].pre {
                let [row, firsts] = two(&mut order.before, event, first);
                row.add_all(firsts);
                row.insert(first);
            }
        }
        for &event in sorted.iter().rev() {
            for &first in &form.events[event].pre {
                let [row, thens] = two(&mut order.after, first, event);
                row.add_all(thens);
                row.insert(event);
            }
        }
        order
    }

    /// The closure of `pre` and of what guards force.
    ///
    /// If every event that can make a part of a guard true comes after `x`, the guard's event does too. Such
    /// an order changes nothing that can happen, so it may be added to `pre` freely.
    pub(crate) fn with_needs(form: &Form) -> Self {
        let mut order = Self::given(form);
        let needs = needs(form);
        loop {
            let mut changed = false;
            for need in &needs {
                changed |= order.infer(need);
            }
            if !changed {
                break;
            }
        }
        // What comes after such an event never happens either.
        for event in order.never.clone().iter() {
            order.never.add_all(&order.after[event]);
        }
        order
    }

    fn infer(&mut self, need: &Need) -> bool {
        let mut shared: Option<Bits> = None;
        for &maker in &need.makers {
            if maker == need.event || self.before[maker].has(need.event) {
                continue; // It comes too late to help.
            }
            let mut needed = self.before[maker].clone();
            needed.insert(maker);
            match &mut shared {
                None => shared = Some(needed),
                Some(shared) => shared.keep(&needed),
            }
        }
        let Some(shared) = shared else {
            let changed = !self.never.has(need.event);
            self.never.insert(need.event);
            return changed;
        };
        let mut changed = false;
        // The latest first, so that one order brings the earlier ones with it.
        let mut firsts: Vec<_> = shared.iter().filter(|&first| !self.before[need.event].has(first)).collect();
        firsts.sort_by_key(|&first| std::cmp::Reverse(self.before[first].count()));
        for first in firsts {
            if !self.before[need.event].has(first) {
                self.inferred.push(Inferred { before: first, after: need.event, var: need.var });
                self.add(first, need.event);
                changed = true;
            }
        }
        changed
    }

    /// Adds one order and everything that follows from it.
    pub(crate) fn add(&mut self, first: EventId, then: EventId) {
        if self.before[then].has(first) {
            return;
        }
        let mut firsts = self.before[first].clone();
        firsts.insert(first);
        let mut thens = self.after[then].clone();
        thens.insert(then);
        for event in thens.iter() {
            self.before[event].add_all(&firsts);
            if firsts.has(event) {
                self.never.insert(event);
            }
        }
        for event in firsts.iter() {
            self.after[event].add_all(&thens);
        }
    }
}

/// The events so that each comes after its `pre` (Kahn 1962); those of a circle, and after one, are left out.
fn sorted(form: &Form) -> Vec<EventId> {
    let mut left: Vec<usize> = form.events.iter().map(|event| event.pre.len()).collect();
    let mut followers = vec![Vec::new(); form.events.len()];
    for (event, of) in form.events.iter().enumerate() {
        of.pre.iter().for_each(|&first| followers[first].push(event));
    }
    let mut sorted: Vec<EventId> = (0..form.events.len()).filter(|&event| left[event] == 0).collect();
    let mut at = 0;
    while let Some(&event) = sorted.get(at) {
        for &then in &followers[event] {
            left[then] -= 1;
            if left[then] == 0 {
                sorted.push(then);
            }
        }
        at += 1;
    }
    sorted
}

/// Two different rows, the first to be changed.
fn two(rows: &mut [Bits], one: EventId, other: EventId) -> [&mut Bits; 2] {
    rows.get_disjoint_mut([one, other]).expect("no event comes before itself here")
}

/// A part of a guard that is false at first, and the events that may make it true.
struct Need {
    event: EventId,
    var: VarId,
    makers: Vec<EventId>,
}

fn needs(form: &Form) -> Vec<Need> {
    let mut needs = Vec::new();
    let writers = writers(form);
    for (event, of) in form.events.iter().enumerate() {
        for part in &of.guard {
            let var = &form.vars[part.var];
            if allows(var, part.mask, var.init) {
                continue;
            }
            let makers = writers[part.var]
                .iter()
                .copied()
                .filter(|&maker| may_make(&form.events[maker], var, part.var, part.mask))
                .collect();
            needs.push(Need { event, var: part.var, makers });
        }
    }
    needs
}

/// By variable: the events that may change it, in the card's order.
pub(crate) fn writers(form: &Form) -> Vec<Vec<EventId>> {
    let mut writers = vec![Vec::new(); form.vars.len()];
    for (event, of) in form.events.iter().enumerate() {
        for effect in &of.eff {
            let list: &mut Vec<EventId> = &mut writers[effect.var];
            if list.last() != Some(&event) {
                list.push(event);
            }
        }
    }
    writers
}

/// Whether an event could leave the variable at a value that the mask allows.
fn may_make(event: &Event, var: &Var, id: VarId, mask: u64) -> bool {
    let effects: Vec<&Effect> = event.eff.iter().filter(|effect| effect.var == id).collect();
    // What an `add` leaves depends on the value before, and so may be anything.
    effects.iter().any(|effect| match effect.op {
        Op::Add => true,
        Op::Set => allows(var, mask, effect.c),
    })
}
