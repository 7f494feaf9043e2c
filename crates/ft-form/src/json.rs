//! The exchange format of a core form, version 1 (`docs/core-form.md`).
//!
//! Keys that begin with `x-` are extensions: ours carry words, sides and places in the file; a reader ignores
//! those that it does not know. Any other unknown key is an error. Every problem is reported, not the first.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::types::{Allowed, Asked, Effect, Event, EventKind, Form, Hazard, Op, Origin, Var, VarKind, Words};

/// A form as the exchange format's text, one line.
pub fn print(form: &Form) -> String {
    serde_json::to_string(&wire(form)).expect("numbers, texts and lists always have a JSON text")
}

/// Reads the exchange format.
///
/// # Errors
/// Every problem found, one sentence each, with line and column where the text itself is broken.
pub fn parse(text: &str) -> Result<Form, Vec<String>> {
    let wire: WireForm = serde_json::from_str(text).map_err(|error| vec![error.to_string()])?;
    let unknown = unknown_keys(&wire);
    if !unknown.is_empty() {
        return Err(unknown);
    }
    let form = unwire(wire);
    let problems = form.problems();
    if problems.is_empty() { Ok(form) } else { Err(problems) }
}

type Rest = BTreeMap<String, Value>;
type Pair = (usize, u64);

#[derive(Serialize, Deserialize)]
struct WireForm {
    name: String,
    people: u32,
    vars: Vec<WireVar>,
    events: Vec<WireEvent>,
    hazards: Vec<WireHazard>,
    goal: Vec<Pair>,
    #[serde(rename = "x-values", default, skip_serializing_if = "BTreeMap::is_empty")]
    value_words: BTreeMap<String, Words>,
    #[serde(flatten)]
    rest: Rest,
}

#[derive(Serialize, Deserialize)]
struct WireVar {
    name: String,
    lo: i32,
    hi: i32,
    init: i32,
    kind: WireVarKind,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    vals: Vec<String>,
    #[serde(rename = "x-words", default, skip_serializing_if = "Words::is_empty")]
    words: Words,
    #[serde(flatten)]
    rest: Rest,
}

#[derive(Serialize, Deserialize, Clone, Copy)]
#[serde(rename_all = "lowercase")]
enum WireVarKind {
    Enum,
    Num,
    Res,
}

#[derive(Serialize, Deserialize, Clone, Copy)]
#[serde(rename_all = "lowercase")]
enum WireEventKind {
    Start,
    End,
    Do,
}

#[derive(Serialize, Deserialize, Clone, Copy)]
#[serde(rename_all = "lowercase")]
enum WireOp {
    Set,
    Add,
}

#[derive(Serialize, Deserialize)]
struct WireEvent {
    name: String,
    step: String,
    kind: WireEventKind,
    pre: Vec<usize>,
    guard: Vec<Pair>,
    eff: Vec<WireEffect>,
    dur: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    people: Option<u32>,
    #[serde(rename = "x-nature", default, skip_serializing_if = "std::ops::Not::not")]
    nature: bool,
    #[serde(rename = "x-asked", default, skip_serializing_if = "Vec::is_empty")]
    asked: Vec<WireAsked>,
    #[serde(rename = "x-words", default, skip_serializing_if = "Words::is_empty")]
    words: Words,
    #[serde(rename = "x-side", default, skip_serializing_if = "Option::is_none")]
    side: Option<String>,
    #[serde(rename = "x-origin", default, skip_serializing_if = "Option::is_none")]
    origin: Option<WireOrigin>,
    #[serde(flatten)]
    rest: Rest,
}

#[derive(Serialize, Deserialize)]
struct WireAsked {
    before: usize,
    because: Words,
}

#[derive(Serialize, Deserialize)]
struct WireOrigin {
    file: String,
    line: u32,
}

#[derive(Serialize, Deserialize)]
struct WireEffect {
    when: Vec<Pair>,
    v: usize,
    op: WireOp,
    c: i32,
    #[serde(flatten)]
    rest: Rest,
}

#[derive(Serialize, Deserialize)]
struct WireHazard {
    id: String,
    on: Option<usize>,
    when: Vec<Pair>,
    #[serde(rename = "x-words", default, skip_serializing_if = "Words::is_empty")]
    words: Words,
    #[serde(rename = "x-origin", default, skip_serializing_if = "Option::is_none")]
    origin: Option<WireOrigin>,
    #[serde(flatten)]
    rest: Rest,
}

fn unknown_keys(wire: &WireForm) -> Vec<String> {
    let mut found = Vec::new();
    let mut look = |rest: &Rest, of: String| {
        for key in rest.keys().filter(|key| !key.starts_with("x-")) {
            found.push(format!("unknown key `{key}` in {of}; keys of your own begin with `x-`"));
        }
    };
    look(&wire.rest, "the form".into());
    for var in &wire.vars {
        look(&var.rest, format!("variable `{}`", var.name));
    }
    for event in &wire.events {
        look(&event.rest, format!("event `{}`", event.name));
        for effect in &event.eff {
            look(&effect.rest, format!("an effect of event `{}`", event.name));
        }
    }
    for hazard in &wire.hazards {
        look(&hazard.rest, format!("hazard `{}`", hazard.id));
    }
    found
}

fn cond(pairs: Vec<Pair>) -> Vec<Allowed> {
    pairs.into_iter().map(|(var, mask)| Allowed { var, mask }).collect()
}

fn pairs(cond: &[Allowed]) -> Vec<Pair> {
    cond.iter().map(|part| (part.var, part.mask)).collect()
}

fn origin(wire: WireOrigin) -> Origin {
    Origin { file: wire.file, line: wire.line }
}

fn wire_origin(origin: &Origin) -> WireOrigin {
    WireOrigin { file: origin.file.clone(), line: origin.line }
}

fn unwire(wire: WireForm) -> Form {
    Form {
        name: wire.name,
        people: wire.people,
        vars: wire.vars.into_iter().map(unwire_var).collect(),
        events: wire.events.into_iter().map(unwire_event).collect(),
        hazards: wire.hazards.into_iter().map(unwire_hazard).collect(),
        goal: cond(wire.goal),
        value_words: wire.value_words,
    }
}

fn unwire_var(wire: WireVar) -> Var {
    let kind = match wire.kind {
        WireVarKind::Enum => VarKind::Enum,
        WireVarKind::Num => VarKind::Num,
        WireVarKind::Res => VarKind::Res,
    };
    Var {
        name: wire.name,
        lo: wire.lo,
        hi: wire.hi,
        init: wire.init,
        kind,
        vals: wire.vals,
        words: wire.words,
    }
}

fn unwire_event(wire: WireEvent) -> Event {
    let kind = match wire.kind {
        WireEventKind::Start => EventKind::Start,
        WireEventKind::End => EventKind::End,
        WireEventKind::Do => EventKind::Do,
    };
    let mut pre = wire.pre;
    pre.sort_unstable();
    pre.dedup();
    Event {
        name: wire.name,
        step: wire.step,
        kind,
        pre,
        guard: cond(wire.guard),
        eff: wire.eff.into_iter().map(unwire_effect).collect(),
        dur_min: wire.dur,
        people: wire.people,
        nature: wire.nature,
        asked: wire.asked.into_iter().map(|a| Asked { before: a.before, because: a.because }).collect(),
        words: wire.words,
        side: wire.side,
        origin: wire.origin.map(origin),
    }
}

fn unwire_effect(wire: WireEffect) -> Effect {
    let op = match wire.op {
        WireOp::Set => Op::Set,
        WireOp::Add => Op::Add,
    };
    Effect { when: cond(wire.when), var: wire.v, op, c: wire.c }
}

fn unwire_hazard(wire: WireHazard) -> Hazard {
    Hazard {
        id: wire.id,
        on: wire.on,
        when: cond(wire.when),
        words: wire.words,
        origin: wire.origin.map(origin),
    }
}

fn wire(form: &Form) -> WireForm {
    WireForm {
        name: form.name.clone(),
        people: form.people,
        vars: form.vars.iter().map(wire_var).collect(),
        events: form.events.iter().map(wire_event).collect(),
        hazards: form.hazards.iter().map(wire_hazard).collect(),
        goal: pairs(&form.goal),
        value_words: form.value_words.clone(),
        rest: Rest::new(),
    }
}

fn wire_var(var: &Var) -> WireVar {
    let kind = match var.kind {
        VarKind::Enum => WireVarKind::Enum,
        VarKind::Num => WireVarKind::Num,
        VarKind::Res => WireVarKind::Res,
    };
    WireVar {
        name: var.name.clone(),
        lo: var.lo,
        hi: var.hi,
        init: var.init,
        kind,
        vals: var.vals.clone(),
        words: var.words.clone(),
        rest: Rest::new(),
    }
}

fn wire_event(event: &Event) -> WireEvent {
    let kind = match event.kind {
        EventKind::Start => WireEventKind::Start,
        EventKind::End => WireEventKind::End,
        EventKind::Do => WireEventKind::Do,
    };
    WireEvent {
        name: event.name.clone(),
        step: event.step.clone(),
        kind,
        pre: event.pre.clone(),
        guard: pairs(&event.guard),
        eff: event.eff.iter().map(wire_effect).collect(),
        dur: event.dur_min,
        people: event.people,
        nature: event.nature,
        asked: event
            .asked
            .iter()
            .map(|a| WireAsked { before: a.before, because: a.because.clone() })
            .collect(),
        words: event.words.clone(),
        side: event.side.clone(),
        origin: event.origin.as_ref().map(wire_origin),
        rest: Rest::new(),
    }
}

fn wire_effect(effect: &Effect) -> WireEffect {
    let op = match effect.op {
        Op::Set => WireOp::Set,
        Op::Add => WireOp::Add,
    };
    WireEffect { when: pairs(&effect.when), v: effect.var, op, c: effect.c, rest: Rest::new() }
}

fn wire_hazard(hazard: &Hazard) -> WireHazard {
    WireHazard {
        id: hazard.id.clone(),
        on: hazard.on,
        when: pairs(&hazard.when),
        words: hazard.words.clone(),
        origin: hazard.origin.as_ref().map(wire_origin),
        rest: Rest::new(),
    }
}
