//! Exports a core form to Promela, the input language of the SPIN model checker, so that an outsider can
//! referee a verdict.
//!
//! Three questions can be asked of one form: whether a hazard can be reached, whether a dead end can, and
//! whether the goal can be missed; each is an `assert`, so SPIN's verifier compiled for safety answers it, and
//! breadth first it answers with a shortest story. Source of the language: G. J. Holzmann, The SPIN Model
//! Checker, 2003, chapter 3 and reference manual pages; semantics of `atomic` and `d_step` from there.

use std::fmt::Write as _;

use crate::types::{Allowed, Effect, Form, Op, Var};

/// What the exported model asserts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ask {
    /// No hazard, no dead end, goal reached: the whole verdict.
    All,
    /// Only the hazard with this index.
    Hazard(usize),
    /// Only that no dead end is reached.
    Deadlock,
    /// Only that the goal holds at the end.
    Goal,
}

/// The form as one Promela process that loops over its events.
///
/// Each event is one transition of the process, so that the length of SPIN's breadth-first story is the number
/// of events plus a constant: the initial step, and the final assertion's.
pub fn print(form: &Form, ask: Ask) -> String {
    let mut out = String::new();
    let _ = writeln!(
        out,
        "/* {} : made by fulltray; one process, one transition for each event */",
        form.name.replace("*/", "")
    );
    for (index, var) in form.vars.iter().enumerate() {
        let _ = writeln!(out, "byte v{index} = {}; /* {} */", var.init - var.lo, var.name.replace("*/", ""));
    }
    for index in 0..form.events.len() {
        let _ = writeln!(out, "bool d{index};");
    }
    let asserts = asserts(form, ask);
    out.push_str("inline check_state() {\n");
    for line in &asserts.state {
        let _ = writeln!(out, "  assert({line});");
    }
    out.push_str("  skip\n}\n");
    out.push_str("active proctype crew() {\n  d_step { check_state() }\n  do\n");
    for (index, event) in form.events.iter().enumerate() {
        let may = may(form, index);
        let _ = writeln!(out, "  :: d_step {{ {may} -> /* {} */", event.name.replace("*/", ""));
        for hazard in &asserts.on_event[index] {
            let _ = writeln!(out, "       assert({hazard});");
        }
        for (number, effect) in event.eff.iter().enumerate() {
            if !effect.when.is_empty() {
                // Conditions are looked at in the state before the event.
                let _ = writeln!(out, "       w{number} = {};", cond(form, &effect.when));
            }
        }
        for (number, effect) in event.eff.iter().enumerate() {
            let change = change(&form.vars[effect.var], effect);
            if effect.when.is_empty() {
                let _ = writeln!(out, "       {change}");
            } else {
                let _ = writeln!(out, "       if :: w{number} -> {change} w{number} = false :: else fi;");
            }
        }
        let _ = writeln!(out, "       d{index} = true; check_state() }}");
    }
    let all = (0..form.events.len()).map(|index| format!("d{index}")).collect::<Vec<_>>().join(" && ");
    let all = if all.is_empty() { "true".into() } else { all };
    if asserts.goal {
        let _ = writeln!(out, "  :: d_step {{ {all} -> assert({}) }} break", cond(form, &form.goal));
    } else {
        let _ = writeln!(out, "  :: {all} -> break");
    }
    if asserts.deadlock {
        let _ = writeln!(out, "  :: else -> assert(false) /* dead end */");
    } else {
        out.push_str("  :: else -> break\n");
    }
    out.push_str("  od\n}\n");
    // Scratch bits must be declared before use. They are false between events, so they add no states
    // (`hidden` would keep them out of the state vector, but SPIN then refuses to search breadth first).
    let scratch = form.events.iter().map(|event| event.eff.len()).max().unwrap_or(0);
    let mut declared = String::new();
    for number in 0..scratch {
        let _ = writeln!(declared, "bool w{number};");
    }
    declared + &out
}

struct Asserts {
    state: Vec<String>,
    on_event: Vec<Vec<String>>,
    deadlock: bool,
    goal: bool,
}

fn asserts(form: &Form, ask: Ask) -> Asserts {
    let mut asserts = Asserts {
        state: Vec::new(),
        on_event: vec![Vec::new(); form.events.len()],
        deadlock: matches!(ask, Ask::All | Ask::Deadlock),
        goal: matches!(ask, Ask::All | Ask::Goal),
    };
    for (index, hazard) in form.hazards.iter().enumerate() {
        if ask == Ask::All || ask == Ask::Hazard(index) {
            let never = format!("!({})", cond(form, &hazard.when));
            match hazard.on {
                None => asserts.state.push(never),
                Some(event) => asserts.on_event[event].push(never),
            }
        }
    }
    asserts
}

fn may(form: &Form, event: usize) -> String {
    let mut parts = vec![format!("!d{event}")];
    parts.extend(form.events[event].pre.iter().map(|before| format!("d{before}")));
    if !form.events[event].guard.is_empty() {
        parts.push(cond(form, &form.events[event].guard));
    }
    parts.join(" && ")
}

/// A conjunction as ranges of each variable's offset from its least value.
fn cond(form: &Form, cond: &[Allowed]) -> String {
    if cond.is_empty() {
        return "true".into();
    }
    let parts: Vec<String> = cond.iter().map(|part| one(&form.vars[part.var], *part)).collect();
    parts.join(" && ")
}

fn one(var: &Var, part: Allowed) -> String {
    let (name, last) = (part.var, var.hi - var.lo);
    let mut ranges = Vec::new();
    let mut low = 0;
    while low <= last {
        if part.mask >> low & 1 == 0 {
            low += 1;
            continue;
        }
        let mut high = low;
        while high < last && part.mask >> (high + 1) & 1 == 1 {
            high += 1;
        }
        ranges.push(match (low == 0, high == last, low == high) {
            (true, true, _) => "true".to_owned(),
            (_, _, true) => format!("v{name} == {low}"),
            (true, false, _) => format!("v{name} <= {high}"),
            (false, true, _) => format!("v{name} >= {low}"),
            (false, false, _) => format!("(v{name} >= {low} && v{name} <= {high})"),
        });
        low = high + 1;
    }
    if ranges.is_empty() { "false".into() } else { format!("({})", ranges.join(" || ")) }
}

fn change(var: &Var, effect: &Effect) -> String {
    let v = effect.var;
    let last = var.hi - var.lo;
    match effect.op {
        Op::Set => format!("v{v} = {};", effect.c - var.lo),
        Op::Add if effect.c == 0 => "skip;".into(),
        Op::Add if effect.c > 0 => {
            let by = effect.c.min(last);
            format!("v{v} = (v{v} > {} -> {last} : v{v} + {by});", last - by)
        }
        Op::Add => {
            let by = effect.c.saturating_neg().min(last);
            format!("v{v} = (v{v} < {by} -> 0 : v{v} - {by});")
        }
    }
}
