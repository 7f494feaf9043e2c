//! Small procedures without any sense to them, for the corners that sensible ones never reach.

use ft_form::{Allowed, Cond, Effect, Event, EventKind, Form, Hazard, Op, Var, VarKind, Words};

use crate::chance::Chance;

/// A random form of at most `events` events: guards, conditional effects, clamped adds, an answer of the
/// world, hazards on states and on events, a goal. About a third are safe.
pub fn form(seed: u64, events: usize) -> Form {
    let mut chance = Chance::new(seed);
    let chance = &mut chance;
    let mut form = Form { name: format!("tiny {seed}"), people: 1, ..Form::default() };
    for index in 0..chance.within(1, 4) {
        let lo = chance.within(0, 2) as i32 - 1;
        let hi = lo + chance.within(1, 3) as i32;
        let init = lo + chance.below((hi - lo + 1) as usize) as i32;
        let kind = VarKind::Enum;
        form.vars.push(Var {
            name: format!("v{index}"),
            lo,
            hi,
            init,
            kind,
            vals: vec![],
            words: Words::new(),
        });
    }
    let count = chance.within(2, events);
    for index in 0..count {
        let mut event = Event::new(format!("e{index}"), format!("e{index}"), EventKind::Do);
        event.dur_min = chance.within(0, 5) as f64;
        event.pre = (0..index).filter(|_| chance.percent(25)).collect();
        if chance.percent(35) {
            event.guard = cond(chance, &form.vars, 75);
        }
        for _ in 0..chance.below(3) {
            let effect = effect(chance, &form.vars);
            event.eff.push(effect);
        }
        form.events.push(event);
    }
    if count >= 4 && chance.percent(20) {
        answer_of_the_world(&mut form);
    }
    for index in 0..chance.below(3) {
        let on = chance.percent(40).then(|| chance.below(form.events.len()));
        let when = cond(chance, &form.vars, 30);
        form.hazards.push(Hazard { id: format!("h{index}"), on, when, words: Words::new(), origin: None });
    }
    if chance.percent(40) {
        form.goal = cond(chance, &form.vars, 75);
    }
    form
}

/// A few steps that take kit, hold it, sometimes need more before they give it back, and sometimes forget to:
/// where dead ends come from.
pub fn kits(seed: u64) -> Form {
    let mut chance = Chance::new(seed);
    let chance = &mut chance;
    let mut form = Form { name: format!("kits {seed}"), people: 1, ..Form::default() };
    let kits = chance.within(1, 3);
    for index in 0..kits {
        let hi = chance.within(1, 2) as i32;
        let (name, kind) = (format!("#k{index}"), VarKind::Res);
        form.vars.push(Var { name, lo: 0, hi, init: hi, kind, vals: vec![], words: Words::new() });
    }
    let add = |var: usize, c: i32| Effect { when: Vec::new(), var, op: Op::Add, c };
    let needs = |var: usize| Allowed { var, mask: !1 };
    for step in 0..chance.within(2, 4) {
        let name = format!("s{step}");
        let kit = chance.below(kits);
        let mut start = Event::new(format!("{name}@start"), name.clone(), EventKind::Start);
        start.pre = (0..form.events.len()).filter(|_| chance.percent(12)).collect();
        start.guard = vec![needs(kit)];
        start.eff = vec![add(kit, -1)];
        form.events.push(start);
        let mut last = form.events.len() - 1;
        if chance.percent(40) {
            let mut more = Event::new(format!("{name}+"), name.clone(), EventKind::Do);
            more.pre = vec![last];
            if chance.percent(60) {
                more.guard = vec![needs(chance.below(kits))];
            }
            form.events.push(more);
            last += 1;
        }
        let mut end = Event::new(format!("{name}@end"), name, EventKind::End);
        end.pre = vec![last];
        if chance.percent(40) {
            end.guard = vec![needs(chance.below(kits))];
        }
        if chance.percent(90) {
            end.eff = vec![add(kit, 1)];
        }
        form.events.push(end);
    }
    form
}

/// A few events with effects that look at several variables at once, of up to 64 values each: how their values fit
/// together is at the edge of what a slice goes through (4,096 combinations), on both sides of it.
pub fn wide(seed: u64) -> Form {
    let mut chance = Chance::new(seed);
    let chance = &mut chance;
    let mut form = Form { name: format!("wide {seed}"), people: 1, ..Form::default() };
    for index in 0..chance.within(3, 6) {
        // The first is what is done, the others are what that depends on.
        let values =
            if index == 0 { chance.within(2, 4) } else { [2, 4, 32, 64, 64][chance.below(5)] } as i32;
        let lo = chance.below(3) as i32 - 1;
        let init = lo + chance.below(values as usize) as i32;
        let (name, kind) = (format!("v{index}"), VarKind::Num);
        form.vars.push(Var { name, lo, hi: lo + values - 1, init, kind, vals: vec![], words: Words::new() });
    }
    for index in 0..chance.within(1, 4) {
        let mut event = Event::new(format!("e{index}"), format!("e{index}"), EventKind::Do);
        event.pre = (0..index).filter(|_| chance.percent(25)).collect();
        if chance.percent(40) {
            event.guard = look(chance, &form.vars, 30);
        }
        if chance.percent(5) {
            // More effects than a word has bits.
            event.eff = vec![Effect { when: Cond::new(), var: 0, op: Op::Add, c: 0 }; chance.within(60, 70)];
        }
        let mut when = look(chance, &form.vars, 75);
        for _ in 0..chance.within(1, 3) {
            event.eff.push(Effect { when: when.clone(), ..effect(chance, &form.vars[..1]) });
            when = if chance.percent(60) { otherwise(chance, when) } else { look(chance, &form.vars, 75) };
        }
        if chance.percent(40) {
            let var = chance.within(1, form.vars.len() - 1);
            event.eff.push(Effect { var, ..effect(chance, &form.vars[var..=var]) });
        }
        form.events.push(event);
    }
    for index in 0..chance.within(1, 2) {
        let on = chance.percent(40).then(|| chance.below(form.events.len()));
        let when = vec![Allowed { var: 0, mask: 1 << chance.below(4) }];
        form.hazards.push(Hazard { id: format!("h{index}"), on, when, words: Words::new(), origin: None });
    }
    form
}

/// A condition on some of all variables but the first; `percent` says how many.
fn look(chance: &mut Chance, vars: &[Var], percent: usize) -> Cond {
    let mut cond = Cond::new();
    for (var, of) in vars.iter().enumerate().skip(1) {
        if chance.percent(percent) {
            let all = u64::MAX >> (63 - (of.hi - of.lo));
            cond.push(Allowed { var, mask: (chance.bits() | 1 << chance.below(64)) & all });
        }
    }
    cond
}

/// The condition with one of its parts turned round, so that both never hold together.
fn otherwise(chance: &mut Chance, mut when: Cond) -> Cond {
    if !when.is_empty() {
        let at = chance.below(when.len());
        when[at].mask = !when[at].mask;
    }
    when
}

/// A condition on one or two variables; `percent` says how often a value is allowed.
fn cond(chance: &mut Chance, vars: &[Var], percent: usize) -> Cond {
    let mut cond = Cond::new();
    for _ in 0..chance.within(1, 2) {
        let var = chance.below(vars.len());
        let values = (vars[var].hi - vars[var].lo + 1) as usize;
        let mask = (0..values).filter(|_| chance.percent(percent)).fold(0, |mask, bit| mask | 1 << bit);
        cond.push(Allowed { var, mask });
    }
    cond
}

fn effect(chance: &mut Chance, vars: &[Var]) -> Effect {
    let var = chance.below(vars.len());
    let when = if chance.percent(25) { cond(chance, vars, 60) } else { Cond::new() };
    let (lo, hi) = (vars[var].lo, vars[var].hi);
    if chance.percent(60) {
        Effect { when, var, op: Op::Set, c: lo + chance.below((hi - lo + 1) as usize) as i32 }
    } else {
        Effect { when, var, op: Op::Add, c: chance.below(5) as i32 - 2 }
    }
}

/// Makes the last two events the answers of a look: whichever comes first sets the answer.
fn answer_of_the_world(form: &mut Form) {
    let var = form.vars.len();
    let vals = vec!["unknown".into(), "no".into(), "yes".into()];
    let kind = VarKind::Enum;
    form.vars.push(Var { name: "answer".into(), lo: 0, hi: 2, init: 0, kind, vals, words: Words::new() });
    let first = form.events.len() - 2;
    for (event, answer) in form.events[first..].iter_mut().zip([1, 2]) {
        event.nature = true;
        event.guard.clear();
        event.pre.retain(|&before| before < first);
        let when = vec![Allowed { var, mask: 1 }];
        event.eff = vec![Effect { when, var, op: Op::Set, c: answer }];
    }
    if let Some(event) = form.events.first_mut() {
        // What comes first may depend on the answer, too: then it has to wait for it.
        event.guard.push(Allowed { var, mask: 0b110 });
    }
}
