//! The data of a core form. Any value that [`Form::problems`] accepts has a meaning.

use std::collections::{BTreeMap, BTreeSet};

/// The most values that one variable may have: a condition's mask has one bit for each.
pub const MAX_VALUES: i32 = 64;

/// Index into [`Form::vars`].
pub type VarId = usize;
/// Index into [`Form::events`].
pub type EventId = usize;
/// A sentence in one or more languages, by language code (`en`, `es`, ...).
pub type Words = BTreeMap<String, String>;
/// A conjunction: every part must hold. Empty means true.
pub type Cond = Vec<Allowed>;

/// One machine and one procedure, made explicit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Form {
    /// What it is called.
    pub name: String,
    /// How many people carry it out; also the initial value of the variable `#people`, if there is one.
    pub people: u32,
    /// The variables.
    pub vars: Vec<Var>,
    /// The events, in the card's order. Each happens exactly once.
    pub events: Vec<Event>,
    /// What must never be.
    pub hazards: Vec<Hazard>,
    /// What must hold once every event has happened.
    pub goal: Cond,
    /// What values are called in each language, by the value's name; where one variable says otherwise, by
    /// `variable: value`. Empty where the names speak for themselves.
    pub value_words: BTreeMap<String, Words>,
}

/// A variable over the whole numbers `lo..=hi`.
#[derive(Debug, Clone, PartialEq)]
pub struct Var {
    /// Unique name, such as `door.left` or `#bucket`.
    pub name: String,
    /// Least value.
    pub lo: i32,
    /// Greatest value; at most [`MAX_VALUES`] values in all.
    pub hi: i32,
    /// Value before anything has happened.
    pub init: i32,
    /// What sort of thing it counts or names.
    pub kind: VarKind,
    /// Names of the values from `lo` up; empty where the numbers speak for themselves.
    pub vals: Vec<String>,
    /// Words for people, if the file gave any.
    pub words: Words,
}

/// What sort of thing a variable is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum VarKind {
    /// One of several named states.
    Enum,
    /// A bounded amount.
    Num,
    /// Kit or people: how many are free.
    Res,
}

/// Which end of a step an event is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EventKind {
    /// The step begins.
    Start,
    /// The step ends.
    End,
    /// The step begins and ends at once.
    Do,
}

/// Something that happens exactly once.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Unique name, such as `Flush.left@start`.
    pub name: String,
    /// The step that it belongs to.
    pub step: String,
    /// Which end of that step.
    pub kind: EventKind,
    /// Events that must have happened before, sorted.
    pub pre: Vec<EventId>,
    /// What must hold or the hands cannot do it.
    pub guard: Cond,
    /// What it changes, applied in order; conditions are looked at in the state before the event.
    pub eff: Vec<Effect>,
    /// Minutes that pass before this event can follow its start, or that a `do` takes. The proof ignores it.
    pub dur_min: f64,
    /// How many people's hands it needs, where that is said.
    pub people: Option<u32>,
    /// The world decides when this happens, not the crew (one of the answers of a `look`). No order may be
    /// added in front of it, since that would choose the answer.
    pub nature: bool,
    /// Those of `pre` that the author asked for, with the reason.
    pub asked: Vec<Asked>,
    /// The words for the crew.
    pub words: Words,
    /// The side it belongs to, if to one.
    pub side: Option<String>,
    /// Where it came from.
    pub origin: Option<Origin>,
}

/// An order that the author wants although the machine does not force it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// The event that comes first.
    pub before: EventId,
    /// The author's reason.
    pub because: Words,
}

/// A place in a machine file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Origin {
    /// The file's name as it was given.
    pub file: String,
    /// Line, from 1.
    pub line: u32,
}

/// One change that an event makes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Effect {
    /// Looked at in the state before the event.
    pub when: Cond,
    /// The variable that changes.
    pub var: VarId,
    /// How it changes.
    pub op: Op,
    /// By or to how much.
    pub c: i32,
}

/// How an effect changes its variable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Op {
    /// The variable becomes `c`.
    Set,
    /// `c` is added; the result stays within the variable's range.
    Add,
}

/// One part of a condition: bit `i` of `mask` allows the value `lo + i` of the variable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Allowed {
    /// The variable.
    pub var: VarId,
    /// The values that it may have.
    pub mask: u64,
}

/// Something that must never be.
#[derive(Debug, Clone, PartialEq)]
pub struct Hazard {
    /// Unique name.
    pub id: String,
    /// `None`: no reachable state may satisfy `when`. `Some(e)`: `e` may not happen in a state that does
    /// (looked at before its effects).
    pub on: Option<EventId>,
    /// The condition.
    pub when: Cond,
    /// The hazard's sentence.
    pub words: Words,
    /// Where it came from, if from the file.
    pub origin: Option<Origin>,
}

/// Whether a value is allowed by a mask over a variable.
pub fn allows(var: &Var, mask: u64, value: i32) -> bool {
    let bit = value - var.lo;
    (0..MAX_VALUES).contains(&bit) && mask >> bit & 1 == 1
}

impl Event {
    /// An event with nothing in it but its names.
    pub fn new(name: impl Into<String>, step: impl Into<String>, kind: EventKind) -> Self {
        Self {
            name: name.into(),
            step: step.into(),
            kind,
            pre: Vec::new(),
            guard: Vec::new(),
            eff: Vec::new(),
            dur_min: 0.0,
            people: None,
            nature: false,
            asked: Vec::new(),
            words: Words::new(),
            side: None,
            origin: None,
        }
    }
}

impl Form {
    /// Everything that keeps this form from having a meaning, one sentence each; empty when it has one.
    ///
    /// A circle in `pre` is not among them: it has a meaning, namely a deadlock.
    pub fn problems(&self) -> Vec<String> {
        let mut found = Vec::new();
        let mut names = BTreeSet::new();
        for var in &self.vars {
            if !names.insert(&var.name) {
                found.push(format!("two variables are called `{}`", var.name));
            }
            let values = i64::from(var.hi) - i64::from(var.lo) + 1;
            if !(1..=i64::from(MAX_VALUES)).contains(&values) {
                found.push(format!(
                    "variable `{}` has {values} values; 1 to {MAX_VALUES} are possible",
                    var.name
                ));
            } else if !(var.lo..=var.hi).contains(&var.init) {
                found.push(format!(
                    "variable `{}` starts at {}, outside its range {} to {}",
                    var.name, var.init, var.lo, var.hi
                ));
            } else if !var.vals.is_empty() && var.vals.len() as i64 != values {
                found.push(format!(
                    "variable `{}` has {values} values but {} names for them",
                    var.name,
                    var.vals.len()
                ));
            }
        }
        names.clear();
        for event in &self.events {
            let here = format!("event `{}`", event.name);
            if !names.insert(&event.name) {
                found.push(format!("two events are called `{}`", event.name));
            }
            for &before in event.pre.iter().chain(event.asked.iter().map(|asked| &asked.before)) {
                if before >= self.events.len() {
                    found.push(format!(
                        "{here} waits for event number {before}, but there are {}",
                        self.events.len()
                    ));
                }
            }
            self.check_cond(&event.guard, &here, &mut found);
            for effect in &event.eff {
                self.check_cond(&effect.when, &here, &mut found);
                match self.vars.get(effect.var) {
                    None => found
                        .push(format!("{here} changes variable number {}, which does not exist", effect.var)),
                    Some(var) if effect.op == Op::Set && !(var.lo..=var.hi).contains(&effect.c) => {
                        found.push(format!(
                            "{here} sets `{}` to {}, outside its range {} to {}",
                            var.name, effect.c, var.lo, var.hi
                        ));
                    }
                    Some(_) => {}
                }
            }
        }
        names.clear();
        for hazard in &self.hazards {
            let here = format!("hazard `{}`", hazard.id);
            if !names.insert(&hazard.id) {
                found.push(format!("two hazards are called `{}`", hazard.id));
            }
            if hazard.on.is_some_and(|event| event >= self.events.len()) {
                found.push(format!("{here} speaks of an event that does not exist"));
            }
            self.check_cond(&hazard.when, &here, &mut found);
        }
        self.check_cond(&self.goal, "the goal", &mut found);
        found
    }

    fn check_cond(&self, cond: &[Allowed], here: &str, found: &mut Vec<String>) {
        for part in cond {
            if part.var >= self.vars.len() {
                found.push(format!(
                    "{here} speaks of variable number {}, but there are {}",
                    part.var,
                    self.vars.len()
                ));
            }
        }
    }

    /// The value's name, or its number where it has none.
    pub fn value_name(&self, var: VarId, value: i32) -> String {
        let var = &self.vars[var];
        usize::try_from(value - var.lo)
            .ok()
            .and_then(|index| var.vals.get(index).cloned())
            .unwrap_or_else(|| value.to_string())
    }

    /// What people call a value in a language; its name where the form has no word for it.
    pub fn value_text(&self, var: VarId, value: i32, language: &str) -> String {
        let name = self.value_name(var, value);
        let own = self.value_words.get(&format!("{}: {name}", self.vars[var].name));
        let words = own.or_else(|| self.value_words.get(&name));
        words.and_then(|words| words.get(language)).cloned().unwrap_or(name)
    }
}
