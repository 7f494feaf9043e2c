//! Needs that count only under one answer of a look.
//!
//! A guard is a conjunction over single variables and cannot say "if the tube is in the reservoir, then the lid
//! must be off". So a variable of its own, the gate, follows whether that holds: each event that changes the answer
//! or what is needed sets it, worked out over every combination of the few variables involved.

use std::collections::BTreeMap;

use ft_form::{Allowed, Cond, Effect, Event, EventId, Op, VarId, VarKind, Words, allows};

use super::vars::{Key, Vars};

/// An event's need that counts only under an answer.
pub struct Gate {
    /// The event.
    pub event: EventId,
    /// The answer.
    pub under: Allowed,
    /// What is needed then.
    pub needs: Cond,
}

/// Adds the gates' variables, guards and effects.
pub fn lower(vars: &mut Vars, events: &mut [Event], gates: &[Gate]) {
    for (number, gate) in gates.iter().enumerate() {
        let mut involved: Vec<VarId> =
            gate.needs.iter().map(|part| part.var).chain([gate.under.var]).collect();
        involved.sort_unstable();
        involved.dedup();
        let init: Vec<i32> = involved.iter().map(|var| vars.list[*var].init).collect();
        let open = is_open(vars, gate, &involved, &init);
        let name = format!("way clear {}", number + 1);
        let words = Words::from([
            ("en".to_owned(), name.clone()),
            ("es".to_owned(), format!("camino libre {}", number + 1)),
        ]);
        let names = vec!["no".to_owned(), "yes".to_owned()];
        let var = vars.list.len();
        vars.push(Key::Gate(number), &name, words, (0, 1, i32::from(open)), VarKind::Enum, names);
        events[gate.event].guard.push(Allowed { var, mask: 0b10 });
        for event in events.iter_mut() {
            if event.eff.iter().any(|effect| involved.contains(&effect.var)) {
                follow(vars, event, gate, &involved, var);
            }
        }
    }
}

fn is_open(vars: &Vars, gate: &Gate, involved: &[VarId], values: &[i32]) -> bool {
    let holds = |part: &Allowed| {
        let at = involved
            .iter()
            .position(|var| *var == part.var)
            .expect("involved has every variable of the gate");
        allows(&vars.list[part.var], part.mask, values[at])
    };
    !holds(&gate.under) || gate.needs.iter().all(holds)
}

/// Adds the effects by which `event` keeps the gate true to what it says.
fn follow(vars: &Vars, event: &mut Event, gate: &Gate, involved: &[VarId], gate_var: VarId) {
    // The variables that decide: the gate's own, and those that the event's effects on them look at.
    let mut deciding = involved.to_vec();
    let effects: Vec<Effect> =
        event.eff.iter().filter(|effect| involved.contains(&effect.var)).cloned().collect();
    for effect in &effects {
        deciding.extend(effect.when.iter().map(|part| part.var));
    }
    deciding.sort_unstable();
    deciding.dedup();
    let all: Vec<u64> = deciding.iter().map(|&var| every_value(vars, var)).collect();
    let classes =
        deciding.iter().zip(&all).map(|(&var, &all)| classes(vars, &effects, gate, var, all)).collect();
    let search = Search { vars, gate, effects: &effects, deciding: &deciding, all: &all, classes };
    event.eff.push(Effect { when: Vec::new(), var: gate_var, op: Op::Set, c: 1 });
    for shut in search.shut(0, &mut all.clone()) {
        let parts = deciding.iter().zip(shut).zip(&all).filter(|((_, mask), all)| mask != *all);
        let when = parts.map(|((&var, mask), _)| Allowed { var, mask }).collect();
        event.eff.push(Effect { when, var: gate_var, op: Op::Set, c: 0 });
    }
}

fn every_value(vars: &Vars, var: VarId) -> u64 {
    let var = &vars.list[var];
    u64::MAX >> (63 - (var.hi - var.lo))
}

/// A variable's values in groups that nothing involved tells apart.
fn classes(vars: &Vars, effects: &[Effect], gate: &Gate, var: VarId, all: u64) -> Vec<u64> {
    let is_counted = effects.iter().any(|effect| effect.var == var && effect.op == Op::Add);
    let looks = effects.iter().flat_map(|effect| &effect.when).chain(&gate.needs).chain([&gate.under]);
    let mut classes = vec![all];
    if is_counted {
        let values = vars.list[var].hi - vars.list[var].lo;
        return (0..=values).map(|value| 1 << value).collect();
    }
    for part in looks.filter(|part| part.var == var) {
        let halves = classes.iter().flat_map(|class| [class & part.mask, class & !part.mask]);
        classes = halves.filter(|half| *half != 0).collect();
    }
    classes
}

/// The search for what shuts a gate: variable by variable, until what is chosen decides.
struct Search<'a> {
    vars: &'a Vars,
    gate: &'a Gate,
    effects: &'a [Effect],
    deciding: &'a [VarId],
    /// By deciding variable: all its values, as bits.
    all: &'a [u64],
    /// By deciding variable: its values in classes.
    classes: Vec<Vec<u64>>,
}

impl Search<'_> {
    /// Boxes that together hold exactly where the gate is shut after the event, from the variable `at` on.
    ///
    /// `values` has what each variable may be: one class of those before `at`, anything of the others. Boxes of
    /// two classes that differ in nothing else are one.
    fn shut(&self, at: usize, values: &mut Vec<u64>) -> Vec<Vec<u64>> {
        match self.is_shut(values) {
            Some(false) => return Vec::new(),
            Some(true) => return vec![self.all[at..].to_vec()],
            None => {}
        }
        let mut joined: BTreeMap<Vec<u64>, u64> = BTreeMap::new();
        for &class in &self.classes[at] {
            values[at] = class;
            for rest in self.shut(at + 1, values) {
                *joined.entry(rest).or_insert(0) |= class;
            }
        }
        values[at] = self.all[at];
        joined.into_iter().map(|(rest, mask)| std::iter::once(mask).chain(rest).collect()).collect()
    }

    /// Whether the gate is shut after the event, if that is the same for all these values.
    fn is_shut(&self, values: &[u64]) -> Option<bool> {
        let under = Self::holds(&self.gate.under, self.after(self.gate.under.var, values));
        let needs = self.gate.needs.iter().map(|part| Self::holds(part, self.after(part.var, values)));
        let needs = needs.fold(Some(true), and);
        and(under, needs.map(|holds| !holds))
    }

    /// What a variable may be after the event.
    fn after(&self, var: VarId, values: &[u64]) -> u64 {
        let mut after = values[self.at(var)];
        for effect in self.effects.iter().filter(|effect| effect.var == var) {
            let holds = effect.when.iter().map(|part| Self::holds(part, values[self.at(part.var)]));
            let changed = match effect.op {
                Op::Set => 1 << (effect.c - self.vars.list[var].lo),
                Op::Add => self.added(var, after, effect.c),
            };
            match holds.fold(Some(true), and) {
                Some(true) => after = changed,
                None => after |= changed,
                Some(false) => {}
            }
        }
        after
    }

    fn added(&self, var: VarId, values: u64, by: i32) -> u64 {
        let last = self.vars.list[var].hi - self.vars.list[var].lo;
        let present = (0..=last).filter(|value| values >> value & 1 == 1);
        present.fold(0, |sums, value| sums | 1 << (value + by).clamp(0, last))
    }

    fn holds(part: &Allowed, values: u64) -> Option<bool> {
        match (values & part.mask, values & !part.mask) {
            (0, _) => Some(false),
            (_, 0) => Some(true),
            _ => None,
        }
    }

    fn at(&self, var: VarId) -> usize {
        self.deciding.binary_search(&var).expect("deciding has every variable that is looked at")
    }
}

/// Both, where `None` is not known.
fn and(one: Option<bool>, other: Option<bool>) -> Option<bool> {
    match (one, other) {
        (Some(false), _) | (_, Some(false)) => Some(false),
        (Some(true), Some(true)) => Some(true),
        _ => None,
    }
}
