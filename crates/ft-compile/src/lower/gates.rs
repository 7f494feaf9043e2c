//! Needs that count only under one answer of a look.
//!
//! A guard is a conjunction over single variables and cannot say "if the tube is in the reservoir, then the lid
//! must be off". So a variable of its own, the gate, follows whether that holds: each event that changes the answer
//! or what is needed sets it, worked out over every combination of the few variables involved.

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
    for effect in event.eff.iter().filter(|effect| involved.contains(&effect.var)) {
        deciding.extend(effect.when.iter().map(|part| part.var));
    }
    deciding.sort_unstable();
    deciding.dedup();
    let mut shut: Vec<Vec<i32>> = Vec::new();
    let mut values: Vec<i32> = deciding.iter().map(|var| vars.list[*var].lo).collect();
    loop {
        let after = after(vars, event, &deciding, &values);
        let of_gate: Vec<i32> = involved
            .iter()
            .map(|var| after[deciding.binary_search(var).expect("deciding contains involved")])
            .collect();
        if !is_open(vars, gate, involved, &of_gate) {
            shut.push(values.clone());
        }
        if !step(vars, &deciding, &mut values) {
            break;
        }
    }
    event.eff.push(Effect { when: Vec::new(), var: gate_var, op: Op::Set, c: 1 });
    for when in cover(vars, &deciding, &shut) {
        event.eff.push(Effect { when, var: gate_var, op: Op::Set, c: 0 });
    }
}

fn after(vars: &Vars, event: &Event, deciding: &[VarId], before: &[i32]) -> Vec<i32> {
    let mut after = before.to_vec();
    for effect in &event.eff {
        let Ok(at) = deciding.binary_search(&effect.var) else { continue };
        let holds = effect.when.iter().all(|part| {
            deciding
                .binary_search(&part.var)
                .is_ok_and(|at| allows(&vars.list[part.var], part.mask, before[at]))
        });
        if holds {
            let var = &vars.list[effect.var];
            after[at] = match effect.op {
                Op::Set => effect.c,
                Op::Add => (after[at] + effect.c).clamp(var.lo, var.hi),
            };
        }
    }
    after
}

/// The next combination; false after the last.
fn step(vars: &Vars, deciding: &[VarId], values: &mut [i32]) -> bool {
    for (at, var) in deciding.iter().enumerate().rev() {
        if values[at] < vars.list[*var].hi {
            values[at] += 1;
            return true;
        }
        values[at] = vars.list[*var].lo;
    }
    false
}

/// Conditions that together hold for exactly the combinations: one box for each, joined along one variable at a
/// time while two boxes differ in nothing else.
fn cover(vars: &Vars, deciding: &[VarId], combinations: &[Vec<i32>]) -> Vec<Cond> {
    let bit = |at: usize, value: i32| 1u64 << (value - vars.list[deciding[at]].lo);
    let mut boxes: Vec<Vec<u64>> = combinations
        .iter()
        .map(|values| values.iter().enumerate().map(|(at, value)| bit(at, *value)).collect())
        .collect();
    for at in (0..deciding.len()).rev() {
        let mut joined: std::collections::BTreeMap<Vec<u64>, u64> = std::collections::BTreeMap::new();
        for mut one in boxes {
            let mask = std::mem::replace(&mut one[at], 0);
            *joined.entry(one).or_insert(0) |= mask;
        }
        boxes = joined
            .into_iter()
            .map(|(mut one, mask)| {
                one[at] = mask;
                one
            })
            .collect();
    }
    boxes
        .into_iter()
        .map(|one| {
            let all = |at: usize| {
                let var = &vars.list[deciding[at]];
                (var.lo..=var.hi).fold(0, |mask, value| mask | bit(at, value))
            };
            one.into_iter()
                .enumerate()
                .filter(|(at, mask)| *mask != all(*at))
                .map(|(at, mask)| Allowed { var: deciding[at], mask })
                .collect()
        })
        .collect()
}
