//! How a procedure must end, and steps that nothing can ever allow.

use std::collections::BTreeSet;

use ft_diag::Problem;
use ft_form::{Cond, Form, Op, Var, allows};
use ft_machine::{Procedure, SideId, SideRef, Subject};

use super::vars::{Key, Scope, Vars, inside, part};
use super::{Load, Purpose, Task, TaskFrom};
use crate::codes;

/// What must hold when everything is done.
pub fn goal(scope: &Scope<'_>, vars: &Vars, loads: &[Load]) -> Cond {
    let mut goal = Cond::new();
    for (key, var) in vars.keys() {
        let full = vars.list[var].hi;
        match key {
            Key::People | Key::Kit(_) | Key::Sink(_) => goal.extend(vars.one_of(key, &[full])),
            Key::Switch(id, _) if scope.purpose == Purpose::Closing => {
                goal.extend(vars.one_of(key, &[scope.machine.switches[id].safe as i32]));
            }
            Key::Inside(..) if scope.purpose != Purpose::Other => {
                goal.extend(vars.one_of(key, &[inside::SANITISED]));
            }
            Key::Contents(Subject::Vessel(id), _)
                if scope.purpose == Purpose::Closing && !scope.machine.vessels[id].kit =>
            {
                goal.extend(vars.one_of(key, &[0]));
            }
            Key::Part(..) if scope.purpose == Purpose::Opening => {
                goal.extend(vars.one_of(key, &[part::FITTED]));
            }
            Key::Part(id, side) => {
                let laid_out = loads.iter().any(|load| load.parts.contains(&(id, side)));
                goal.extend(vars.one_of(key, &[if laid_out { part::IN_SLOT } else { part::FITTED }]));
            }
            _ => {}
        }
    }
    for condition in &scope.procedure.goal {
        let sides: Vec<Option<SideId>> = if condition.target.side == SideRef::This {
            (0..scope.machine.sides.len()).map(Some).collect()
        } else {
            vec![None]
        };
        goal.extend(sides.into_iter().filter_map(|side| vars.condition(condition, side)));
    }
    goal.sort_unstable();
    goal.dedup();
    goal
}

/// Reports steps that could never be done, even if every other step were done in whatever order and nothing were
/// ever undone.
pub fn never_enabled(form: &Form, procedure: &Procedure, tasks: &[Task], problems: &mut Vec<Problem>) {
    // By variable: the values that it may come to have, as bits from `lo` up.
    let mut possible: Vec<u64> = form.vars.iter().map(|var| bit(var, var.init)).collect();
    let mut can: BTreeSet<usize> = BTreeSet::new();
    loop {
        let mut grew = false;
        for (id, event) in form.events.iter().enumerate() {
            let held =
                |possible: &[u64], cond: &Cond| cond.iter().all(|part| possible[part.var] & part.mask != 0);
            if !held(&possible, &event.guard) {
                continue;
            }
            grew |= can.insert(id);
            let before = possible.clone();
            for effect in event.eff.iter().filter(|effect| held(&before, &effect.when)) {
                let var = &form.vars[effect.var];
                let known = possible[effect.var];
                let new = match effect.op {
                    Op::Set => bit(var, effect.c),
                    Op::Add => (var.lo..=var.hi)
                        .filter(|value| known & bit(var, *value) != 0)
                        .fold(0, |new, value| new | bit(var, (value + effect.c).clamp(var.lo, var.hi))),
                };
                possible[effect.var] |= new;
                grew |= possible[effect.var] != known;
            }
        }
        if !grew {
            break;
        }
    }
    let mut told = BTreeSet::new();
    for task in tasks {
        let Some(&event) = task.events.iter().find(|event| !can.contains(event)) else { continue };
        let TaskFrom::Step(step) = task.from else { continue };
        if !told.insert(step) {
            continue;
        }
        let missing = form.events[event].guard.iter().find(|part| possible[part.var] & part.mask == 0);
        let named = &procedure.steps[step].named;
        let mut problem = Problem::error(
            codes::NEVER_ENABLED,
            named.span.clone(),
            format!("nothing can ever allow the step `{}`", named.name),
        );
        if let Some(part) = missing {
            let var = &form.vars[part.var];
            problem = problem.with_remedy(format!(
                "it needs `{}` {}, and no step makes it so: add the step that does, or take this one out",
                var.name,
                wanted(var, part.mask)
            ));
        }
        problems.push(problem);
    }
}

/// A value's bit in a mask; none where a variable has more values than a mask has bits.
fn bit(var: &Var, value: i32) -> u64 {
    u32::try_from(value - var.lo).ok().and_then(|at| 1_u64.checked_shl(at)).unwrap_or(0)
}

/// The name of a variable's value; the number where it has none.
pub fn value_name(var: &Var, value: i32) -> String {
    let named = usize::try_from(value - var.lo).ok().and_then(|index| var.vals.get(index));
    named.cloned().unwrap_or_else(|| value.to_string())
}

/// What a mask asks of a variable, by the shorter list: `to be` these values, or `not to be` the others.
pub fn wanted(var: &Var, mask: u64) -> String {
    let (allowed, others): (Vec<i32>, Vec<i32>) =
        (var.lo..=var.hi).partition(|value| allows(var, mask, *value));
    let list = |values: &[i32]| {
        values.iter().map(|value| format!("`{}`", value_name(var, *value))).collect::<Vec<_>>().join(" or ")
    };
    if allowed.len() <= others.len() {
        format!("to be {}", list(&allowed))
    } else {
        format!("not to be {}", list(&others))
    }
}
