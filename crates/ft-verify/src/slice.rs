//! Explores one slice and looks whether its claims hold in each of its states.

use std::collections::{BTreeSet, HashSet};

use ft_form::certificate::{Claim, Slice};
use ft_form::{Allowed, Effect, EventId, Form, Op, allows};

use crate::Known;
use crate::closure::Closure;

/// A state of a slice: by followed event whether it has happened, by followed variable its value.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct State {
    done: Vec<bool>,
    vals: Vec<i32>,
}

struct Explorer<'a> {
    form: &'a Form,
    order: &'a Closure,
    slice: &'a Slice,
    /// By followed event: the slice can tell that nothing keeps it from happening.
    sure: Vec<bool>,
    /// By followed event: see [`Explorer::cases_of`].
    cases: Vec<Vec<Vec<bool>>>,
}

/// So many combinations of what is not followed are tried together; part of the format.
const COMBINATIONS_MAX: u64 = 4096;

/// So many effects of one event that happen or not by themselves are tried; part of the format.
const OPEN_MAX: usize = 12;

/// The longest threads that are exchanged.
const THREAD_MAX: usize = 64;

/// Confirms every claim of a slice; gives the number of its states.
pub(crate) fn confirm(form: &Form, order: &Closure, known: &Known, slice: &Slice) -> Result<u64, String> {
    well_formed(form, known, slice)?;
    let sure = sure(form, order, known, slice);
    let mut explorer = Explorer { form, order, slice, sure, cases: Vec::new() };
    explorer.cases =
        slice.events.iter().map(|&event| explorer.cases_of(event)).collect::<Result<_, String>>()?;
    let groups = explorer.groups();
    let start = State {
        done: vec![false; slice.events.len()],
        vals: slice.vars.iter().map(|&var| form.vars[var].init).collect(),
    };
    let mut seen = HashSet::from([start.clone()]);
    let mut waiting = vec![start];
    while let Some(state) = waiting.pop() {
        if let Some(claim) = slice.claims.iter().find(|claim| explorer.breaks(&state, **claim)) {
            return Err(format!("{claim:?} does not hold in {state:?}"));
        }
        for event in (0..slice.events.len()).filter(|&event| explorer.may(&state, event)) {
            for mut next in explorer.after(&state, event) {
                exchange(&mut next.done, &groups);
                if seen.len() as u64 > slice.states {
                    return Err(format!("it has more than the {} states that it speaks of", slice.states));
                }
                if seen.insert(next.clone()) {
                    waiting.push(next);
                }
            }
        }
    }
    if seen.len() as u64 == slice.states {
        Ok(slice.states)
    } else {
        Err(format!("it has {} states and speaks of {}", seen.len(), slice.states))
    }
}

fn well_formed(form: &Form, known: &Known, slice: &Slice) -> Result<(), String> {
    let sorted = |list: &[usize], end: usize| {
        list.windows(2).all(|pair| pair[0] < pair[1]) && list.last().is_none_or(|&last| last < end)
    };
    if !sorted(&slice.vars, form.vars.len()) || !sorted(&slice.events, form.events.len()) {
        return Err("its variables and events are not sorted lists of what the form has".into());
    }
    for (event, of) in form.events.iter().enumerate() {
        let changes = of.eff.iter().any(|effect| slice.vars.contains(&effect.var));
        if changes && !slice.events.contains(&event) {
            return Err(format!("it leaves out `{}`, which changes one of its variables", of.name));
        }
    }
    for claim in &slice.claims {
        let exists = match *claim {
            Claim::Hazard(index) => index < form.hazards.len(),
            Claim::Goal(part) => part < form.goal.len(),
            Claim::Ready { event, part } => form.events.get(event).is_some_and(|of| part < of.guard.len()),
            Claim::Always { var, .. } | Claim::Rest { var, .. } => slice.vars.contains(&var),
            Claim::Deadlock => true,
        };
        if !exists {
            return Err(format!("{claim:?} speaks of what does not exist"));
        }
        if *claim == Claim::Deadlock {
            follows_what_may_block(form, known, slice)?;
        }
    }
    Ok(())
}

fn follows_what_may_block(form: &Form, known: &Known, slice: &Slice) -> Result<(), String> {
    for (event, of) in form.events.iter().enumerate() {
        for (part, allowed) in of.guard.iter().enumerate().filter(|(part, _)| known.may_block(event, *part)) {
            if !slice.events.contains(&event) || !slice.vars.contains(&allowed.var) {
                return Err(format!("it does not follow part {part} of the guard of `{}`", of.name));
            }
        }
    }
    Ok(())
}

/// By followed event: whether in a state in which nothing may happen it must have happened, once the followed
/// events before it have and the followed parts of its guard hold.
fn sure(form: &Form, order: &Closure, known: &Known, slice: &Slice) -> Vec<bool> {
    if !slice.claims.iter().any(|claim| matches!(claim, Claim::Rest { .. } | Claim::Deadlock)) {
        return vec![false; slice.events.len()];
    }
    let followed = |event: EventId| slice.events.contains(&event);
    let is_sure = |&event: &EventId| {
        let guard = form.events[event].guard.iter().enumerate();
        let parts_known = guard
            .into_iter()
            .all(|(part, allowed)| !known.may_block(event, part) || slice.vars.contains(&allowed.var));
        // What comes before it and may be stuck is followed, or has happened once a followed one has.
        let before = (0..form.events.len()).filter(|&before| order.has(before, event));
        parts_known
            && before.filter(|&before| known.may_be_stuck(before)).all(|before| {
                followed(before)
                    || slice.events.iter().any(|&later| order.has(before, later) && order.has(later, event))
            })
    };
    slice.events.iter().map(is_sure).collect()
}

impl Explorer<'_> {
    fn slot(&self, var: usize) -> Option<usize> {
        self.slice.vars.iter().position(|&followed| followed == var)
    }

    /// Whether the followed parts of a condition hold.
    fn holds(&self, state: &State, cond: &[Allowed]) -> bool {
        cond.iter().all(|part| match self.slot(part.var) {
            Some(slot) => allows(&self.form.vars[part.var], part.mask, state.vals[slot]),
            None => true,
        })
    }

    fn may(&self, state: &State, event: usize) -> bool {
        let id = self.slice.events[event];
        let mut before = self.slice.events.iter().zip(&state.done);
        !state.done[event]
            && before.all(|(&first, done)| *done || !self.order.has(first, id))
            && self.holds(state, &self.form.events[id].guard)
    }

    /// Every state that an event may lead to: one for each case of what is not followed.
    fn after(&self, state: &State, event: usize) -> Vec<State> {
        let mut results = Vec::new();
        for case in &self.cases[event] {
            let mut next = state.clone();
            next.done[event] = true;
            let followed = self.followed_effects(self.slice.events[event]);
            for (effect, _) in followed.iter().zip(case).filter(|(_, lets)| **lets) {
                if self.holds(state, &effect.when) {
                    let slot = self.slot(effect.var).expect("only followed effects are looked at");
                    self.change(&mut next.vals[slot], effect);
                }
            }
            results.push(next);
        }
        results
    }

    fn followed_effects(&self, event: EventId) -> Vec<&Effect> {
        self.form.events[event].eff.iter().filter(|effect| self.slot(effect.var).is_some()).collect()
    }

    /// What the variables that are not followed may let happen: by case, by followed effect.
    ///
    /// Their values are tried in every combination that the guard allows, up to [`COMBINATIONS_MAX`]; beyond that,
    /// each effect that looks at one of them may happen or not by itself, up to [`OPEN_MAX`] of them.
    fn cases_of(&self, event: EventId) -> Result<Vec<Vec<bool>>, String> {
        let effects = self.followed_effects(event);
        let hidden_parts = |effect: &&Effect| -> Vec<Allowed> {
            effect.when.iter().copied().filter(|part| self.slot(part.var).is_none()).collect()
        };
        let hidden: BTreeSet<usize> = effects.iter().flat_map(hidden_parts).map(|part| part.var).collect();
        let hidden: Vec<usize> = hidden.into_iter().collect();
        let sizes = hidden.iter().map(|&var| (self.form.vars[var].hi - self.form.vars[var].lo + 1) as u64);
        let combinations = sizes.fold(1_u64, u64::saturating_mul);
        let mut cases = BTreeSet::new();
        if combinations > COMBINATIONS_MAX {
            let open: Vec<usize> =
                (0..effects.len()).filter(|&at| !hidden_parts(&effects[at]).is_empty()).collect();
            if open.len() > OPEN_MAX {
                let name = &self.form.events[event].name;
                return Err(format!("`{name}` has more than {OPEN_MAX} effects that may happen or not"));
            }
            for chosen in 0..1_u64 << open.len() {
                let mut case = vec![true; effects.len()];
                for (bit, &at) in open.iter().enumerate() {
                    case[at] = chosen >> bit & 1 == 1;
                }
                cases.insert(case);
            }
            return Ok(cases.into_iter().collect());
        }
        let mut values: Vec<i32> = hidden.iter().map(|&var| self.form.vars[var].lo).collect();
        loop {
            let fits = |part: &Allowed| match hidden.iter().position(|var| *var == part.var) {
                Some(at) => allows(&self.form.vars[part.var], part.mask, values[at]),
                None => true,
            };
            if self.form.events[event].guard.iter().all(fits) {
                cases.insert(effects.iter().map(|effect| effect.when.iter().all(fits)).collect());
            }
            let Some(at) = (0..hidden.len()).rev().find(|&at| values[at] < self.form.vars[hidden[at]].hi)
            else {
                return Ok(cases.into_iter().collect());
            };
            values[at] += 1;
            for (later, value) in values.iter_mut().enumerate().skip(at + 1) {
                *value = self.form.vars[hidden[later]].lo;
            }
        }
    }

    fn change(&self, value: &mut i32, effect: &Effect) {
        let var = &self.form.vars[effect.var];
        *value = match effect.op {
            Op::Set => effect.c,
            Op::Add => value.saturating_add(effect.c).clamp(var.lo, var.hi),
        };
    }

    fn breaks(&self, state: &State, claim: Claim) -> bool {
        match claim {
            Claim::Hazard(index) => {
                let hazard = &self.form.hazards[index];
                self.holds(state, &hazard.when)
                    && hazard.on.is_none_or(|event| {
                        self.is_ready(state, event) && self.holds(state, &self.form.events[event].guard)
                    })
            }
            Claim::Always { var, mask } => !self.holds(state, &[Allowed { var, mask }]),
            Claim::Ready { event, part } => {
                self.is_ready(state, event) && self.fails(state, self.form.events[event].guard[part])
            }
            Claim::Rest { var, mask } => self.at_rest(state) && self.fails(state, Allowed { var, mask }),
            Claim::Goal(part) => {
                state.done.iter().all(|&done| done) && self.fails(state, self.form.goal[part])
            }
            Claim::Deadlock => self.at_rest(state) && state.done.contains(&false),
        }
    }

    /// Whether a part may be untrue here; what is not followed may always be.
    fn fails(&self, state: &State, part: Allowed) -> bool {
        self.slot(part.var).is_none() || !self.holds(state, &[part])
    }

    /// Whether, as far as followed, all before the event has happened, and it and all after it has not.
    fn is_ready(&self, state: &State, event: EventId) -> bool {
        self.slice.events.iter().zip(&state.done).all(|(&other, &done)| {
            if self.order.has(other, event) {
                done
            } else {
                !done || (other != event && !self.order.has(event, other))
            }
        })
    }

    fn at_rest(&self, state: &State) -> bool {
        !(0..self.slice.events.len()).any(|event| self.sure[event] && self.may(state, event))
    }

    /// Groups of threads that may be exchanged without any claim noticing.
    fn groups(&self) -> Vec<Vec<Vec<usize>>> {
        let size = self.slice.events.len();
        let tied = |a: usize, b: usize| {
            let (a, b) = (self.slice.events[a], self.slice.events[b]);
            self.order.has(a, b) || self.order.has(b, a)
        };
        let mut groups: Vec<Vec<Vec<usize>>> = Vec::new();
        let mut seen = vec![false; size];
        for first in 0..size {
            if seen[first] {
                continue;
            }
            seen[first] = true;
            let (mut thread, mut front) = (vec![first], vec![first]);
            while let Some(event) = front.pop() {
                for other in (0..size).filter(|&other| tied(event, other)) {
                    if !seen[other] {
                        seen[other] = true;
                        thread.push(other);
                        front.push(other);
                    }
                }
            }
            thread.sort_unstable();
            if thread.len() <= THREAD_MAX {
                match groups.iter_mut().find(|group| self.alike(&group[0], &thread)) {
                    Some(group) => group.push(thread),
                    None => groups.push(vec![thread]),
                }
            }
        }
        groups
    }

    fn alike(&self, one: &[usize], two: &[usize]) -> bool {
        let id = |local: usize| self.slice.events[local];
        let same_order = |left: (usize, usize), right: (usize, usize)| {
            self.order.has(id(left.0), id(left.1)) == self.order.has(id(right.0), id(right.1))
        };
        one.len() == two.len()
            && one.iter().zip(two).all(|(&x, &y)| {
                self.sure[x] == self.sure[y]
                    && self.parts(&self.form.events[id(x)].guard)
                        == self.parts(&self.form.events[id(y)].guard)
                    && self.effects(id(x)) == self.effects(id(y))
                    && self.cases[x] == self.cases[y]
                    && one.iter().zip(two).all(|(&other_x, &other_y)| same_order((other_x, x), (other_y, y)))
                    && self.slice.claims.iter().all(|claim| self.same_to(*claim, id(x), id(y)))
            })
    }

    fn parts(&self, cond: &[Allowed]) -> Vec<Allowed> {
        cond.iter().copied().filter(|part| self.slot(part.var).is_some()).collect()
    }

    fn effects(&self, event: EventId) -> Vec<(Vec<Allowed>, usize, Op, i32)> {
        let followed = self.followed_effects(event).into_iter();
        followed.map(|effect| (self.parts(&effect.when), effect.var, effect.op, effect.c)).collect()
    }

    /// Whether a claim treats two events alike.
    fn same_to(&self, claim: Claim, x: EventId, y: EventId) -> bool {
        let of = match claim {
            Claim::Hazard(index) => self.form.hazards[index].on,
            Claim::Ready { event, .. } => Some(event),
            Claim::Always { .. } | Claim::Rest { .. } | Claim::Goal(_) | Claim::Deadlock => None,
        };
        of.is_none_or(|event| {
            self.order.has(x, event) == self.order.has(y, event)
                && (x == event || self.order.has(event, x)) == (y == event || self.order.has(event, y))
        })
    }
}

/// Sorts the threads of each group by what has happened in them.
fn exchange(done: &mut [bool], groups: &[Vec<Vec<usize>>]) {
    for group in groups.iter().filter(|group| group.len() > 1) {
        let mut pasts: Vec<Vec<bool>> =
            group.iter().map(|thread| thread.iter().map(|&event| done[event]).collect()).collect();
        pasts.sort_unstable();
        for (thread, past) in group.iter().zip(pasts) {
            for (&event, happened) in thread.iter().zip(past) {
                done[event] = happened;
            }
        }
    }
}
