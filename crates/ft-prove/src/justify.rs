//! Reads off one safe run why its events stand in the order in which they stand.
//!
//! Every event's guard, and the goal at the end, has for each part a *maker*: the event that last made it true
//! before it was needed. The maker comes before the need; whoever could undo the part comes before the maker or
//! after the need. Every hazard has parts that are never true together: where one ends before another begins,
//! that end comes before that begin. Explanation-based generalisation of orders, after Kambhampati and Kedar
//! 1994 (named from memory). Only orders of the base are read off, since only those are known to be safe.

use ft_form::walk::State;
use ft_form::{Allowed, EventId, Form, Op, VarId, VarKind, allows};

use crate::relation::Relation;

/// Why one event stands before another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Why {
    /// It makes this part true.
    Enables(Allowed),
    /// The other would undo this part, or it would undo what the other makes.
    Threatens(Allowed),
    /// The two would show the hazard.
    Hazard(usize),
    /// It takes what the other gives back.
    Kit(VarId),
    /// An amount turns here; whether that matters is for the prover to say.
    Turns,
}

/// A stretch of the run in which a part holds. `from` is 0 and `to` is the run's length where nobody opens or
/// closes it; positions count states, so that the event at position `p` leads from state `p` to state `p + 1`.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    from: usize,
    to: usize,
}

/// Orders of `base` that the run shows to be needed.
pub(crate) fn justify(
    form: &Form,
    run: &[EventId],
    base: &Relation,
    waits: &[bool],
) -> Vec<(EventId, EventId, Why)> {
    let mut states = vec![State::start(form)];
    for &event in run {
        let next = states[states.len() - 1].after(form, event);
        states.push(next);
    }
    let mut found =
        Found { form, run, base, waits, states, orders: Vec::new(), closed: Relation::kept(form) };
    for (position, &event) in run.iter().enumerate() {
        for part in &form.events[event].guard {
            found.need(*part, position, Some(event));
        }
    }
    for part in &form.goal {
        found.need(*part, run.len(), None);
    }
    for index in 0..form.hazards.len() {
        found.hazard(index);
    }
    for (var, of) in form.vars.iter().enumerate() {
        match of.kind {
            VarKind::Num if !waits[var] => found.amount(var),
            VarKind::Num | VarKind::Res => found.kit(var),
            VarKind::Enum => {}
        }
    }
    found.orders
}

struct Found<'a> {
    form: &'a Form,
    run: &'a [EventId],
    base: &'a Relation,
    waits: &'a [bool],
    states: Vec<State>,
    orders: Vec<(EventId, EventId, Why)>,
    closed: Relation,
}

impl Found<'_> {
    fn put(&mut self, first: EventId, then: EventId, why: Why) {
        if first != then && self.base.has(first, then) && !self.form.events[then].nature {
            self.closed.add(first, then);
            self.orders.push((first, then, why));
        }
    }

    fn holds(&self, part: Allowed, state: usize) -> bool {
        self.states[state].holds(self.form, &[part])
    }

    /// The part is needed in the state `position`, by `user` or by the goal.
    fn need(&mut self, part: Allowed, position: usize, user: Option<EventId>) {
        if self.waits[part.var] && user.is_some() {
            return; // Whoever gives it back will do; stories tell where that is not so.
        }
        let maker = (0..position).rev().find(|&at| !self.holds(part, at)).map(|at| self.run[at]);
        if let (Some(maker), Some(user)) = (maker, user) {
            self.put(maker, user, Why::Enables(part));
        }
        for &writer in self.run {
            if Some(writer) == maker || Some(writer) == user || !self.may_undo(writer, part) {
                continue;
            }
            if let Some(user) = user.filter(|&user| self.base.has(user, writer)) {
                self.put(user, writer, Why::Threatens(part));
            } else if let Some(maker) = maker {
                self.put(writer, maker, Why::Threatens(part));
            }
        }
    }

    fn may_undo(&self, writer: EventId, part: Allowed) -> bool {
        let var = &self.form.vars[part.var];
        self.form.events[writer].eff.iter().any(|effect| {
            effect.var == part.var
                && match effect.op {
                    Op::Set => !allows(var, part.mask, effect.c),
                    Op::Add => effect.c != 0,
                }
        })
    }

    fn hazard(&mut self, index: usize) {
        let hazard = &self.form.hazards[index];
        if let Some(user) = hazard.on {
            let position = self.run.iter().position(|&event| event == user).unwrap_or(0);
            // Any one part that is false there will do; the one that needs the fewest new orders.
            let false_there: Vec<Allowed> =
                hazard.when.iter().copied().filter(|&part| !self.holds(part, position)).collect();
            let mut best: Option<Vec<(EventId, EventId, Why)>> = None;
            for part in false_there {
                let (kept_orders, kept_closed) = (self.orders.len(), self.closed.clone());
                self.need(Allowed { var: part.var, mask: !part.mask }, position, Some(user));
                let orders = self.orders.split_off(kept_orders);
                self.closed = kept_closed;
                let cost = |orders: &[(EventId, EventId, Why)]| {
                    orders.iter().filter(|(first, then, _)| !self.closed.has(*first, *then)).count()
                };
                if best.as_ref().is_none_or(|best| cost(&orders) < cost(best)) {
                    best = Some(orders);
                }
            }
            for (first, then, _) in best.unwrap_or_default() {
                self.put(first, then, Why::Hazard(index));
            }
            return;
        }
        let stretches: Vec<Vec<Stretch>> = hazard.when.iter().map(|&part| self.stretches(part)).collect();
        if stretches.iter().map(Vec::len).product::<usize>() <= 4_096 {
            self.keep_apart(index, &stretches, &mut Vec::new());
        }
    }

    /// Whoever gives kit back has taken it: the nearest earlier event that takes it and is not yet accounted for.
    fn kit(&mut self, var: VarId) {
        let mut taken: Vec<EventId> = Vec::new();
        for &event in self.run {
            let adds = self.form.events[event].eff.iter().filter(|effect| effect.var == var);
            match adds.map(|effect| if effect.op == Op::Add { effect.c } else { 0 }).sum::<i32>() {
                0 => {}
                change if change < 0 => taken.push(event),
                _ => {
                    let from = taken.iter().rposition(|&take| self.base.has(take, event));
                    if let Some(take) = from.map(|from| taken.remove(from)) {
                        self.put(take, event, Why::Kit(var));
                    }
                }
            }
        }
    }

    /// Where an amount turns, from rising to falling or back, the events keep their order.
    fn amount(&mut self, var: VarId) {
        let mut last: Option<(EventId, bool)> = None;
        for (position, &event) in self.run.iter().enumerate() {
            if !self.form.events[event].eff.iter().any(|effect| effect.var == var) {
                continue;
            }
            let (before, after) = (self.states[position].vals[var], self.states[position + 1].vals[var]);
            let rises = after > before;
            if let Some((earlier, rose)) = last
                && rose != rises
            {
                self.put(earlier, event, Why::Turns);
            }
            last = Some((event, rises));
        }
    }

    fn stretches(&self, part: Allowed) -> Vec<Stretch> {
        let mut stretches = Vec::new();
        let mut from = None;
        for state in 0..self.states.len() {
            match (self.holds(part, state), from) {
                (true, None) => from = Some(state),
                (false, Some(begin)) => {
                    stretches.push(Stretch { from: begin, to: state });
                    from = None;
                }
                (true, Some(_)) | (false, None) => {}
            }
        }
        stretches.extend(from.map(|begin| Stretch { from: begin, to: self.states.len() }));
        stretches
    }

    /// For each choice of one stretch of each part: two of them are apart in the run, and must stay so.
    fn keep_apart(&mut self, index: usize, stretches: &[Vec<Stretch>], chosen: &mut Vec<Stretch>) {
        if chosen.len() < stretches.len() {
            for stretch in &stretches[chosen.len()] {
                chosen.push(*stretch);
                self.keep_apart(index, stretches, chosen);
                chosen.pop();
            }
            return;
        }
        let mut pairs = Vec::new();
        for first in chosen.iter() {
            for then in chosen.iter().filter(|then| first.to <= then.from) {
                // The event that leads out of the one, and the event that leads into the other.
                pairs.push((self.run[first.to - 1], self.run[then.from - 1]));
            }
        }
        let is_free = |pair: &(EventId, EventId)| pair.0 == pair.1 || self.closed.has(pair.0, pair.1);
        if pairs.iter().any(is_free) {
            return;
        }
        if let Some(&(first, then)) = pairs.iter().find(|pair| self.base.has(pair.0, pair.1)) {
            self.put(first, then, Why::Hazard(index));
        }
    }
}
