//! The work at the sink, which nobody writes: loads from the parts that come off, and their journey.

use std::collections::BTreeSet;

use ft_form::{Cond, Effect, Op};
use ft_machine::{Lubricant, Machine, Material, Part, PartId, Procedure, SideId, Statement, Subject};
use ft_units::TimeUnit;

use super::acts::Act;
use super::events::{Builder, Draft, Head, each, pauses};
use super::speak::{fill, frame, join, words};
use super::vars::{Key, Scope, litres, part, side_of, side_text, step_sides};
use super::{Group, Load, Phase, Purpose, Task, TaskFrom, Variant, hazards};

/// Kinds of parts that may share a load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Plastic and rubber.
    Soft,
    /// Metal, and pieces that have metal in them.
    Hard,
    /// What cuts: always alone.
    Sharp,
}

/// Stages of a load's journey.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Pre-rinse, soak where needed, wash.
    Wash,
    /// Rinse.
    Rinse,
    /// Sanitise for the contact time.
    Sanitise,
    /// Into the slots, to air-dry.
    LayOut,
}

/// The class of a part.
pub fn class(part: &Part) -> Class {
    match (part.sharp, part.material) {
        (true, _) => Class::Sharp,
        (false, Material::Plastic | Material::Rubber) => Class::Soft,
        (false, Material::Metal | Material::Composite) => Class::Hard,
    }
}

/// The pieces and seals of a part.
pub fn pieces(machine: &Machine, part: PartId) -> impl Iterator<Item = PartId> + '_ {
    machine.parts.iter().enumerate().filter(move |(_, piece)| piece.of == Some(part)).map(|(id, _)| id)
}

/// A part that comes off and does not go back on in the same procedure.
struct Loose {
    part: PartId,
    side: Option<SideId>,
    step: usize,
    washed: bool,
}

/// The loads of a procedure: in the order in which their parts come off, each of one class and one side, none
/// larger than the sink.
pub fn loads(machine: &Machine, procedure: &Procedure, variant: &Variant) -> Vec<Load> {
    let room = machine.sinks.iter().map(|sink| litres(sink.room)).fold(f64::INFINITY, f64::min);
    let mut open: Vec<(Load, usize, bool)> = Vec::new();
    let mut full: Vec<(Load, usize)> = Vec::new();
    for loose in loose(machine, procedure, variant) {
        let item = &machine.parts[loose.part];
        let (class, size) = (class(item), litres(item.room));
        let found = open.iter().position(|(load, _, washed)| {
            class != Class::Sharp
                && load.class == class
                && load.parts[0].1 == loose.side
                && *washed == loose.washed
        });
        match found {
            Some(at) if open[at].0.litres + size <= room => {
                let (load, last, _) = &mut open[at];
                load.parts.push((loose.part, loose.side));
                load.litres += size;
                *last = loose.step;
            }
            found => {
                if let Some(at) = found {
                    let (load, last, _) = open.remove(at);
                    full.push((load, last));
                }
                let load = Load { parts: vec![(loose.part, loose.side)], class, litres: size };
                open.push((load, loose.step, loose.washed));
            }
        }
    }
    full.extend(open.into_iter().map(|(load, last, _)| (load, last)));
    full.sort_by_key(|(load, last)| (*last, load.parts[0].1, load.class));
    full.into_iter().map(|(load, _)| load).collect()
}

/// A load of parts that somebody else has put together; its class is that of its first part.
pub fn load(machine: &Machine, parts: &Group) -> Option<Load> {
    let (first, _) = *parts.first()?;
    let litres = parts.iter().map(|(id, _)| litres(machine.parts[*id].room)).sum();
    Some(Load { parts: parts.clone(), class: class(&machine.parts[first]), litres })
}

fn loose(machine: &Machine, procedure: &Procedure, variant: &Variant) -> Vec<Loose> {
    let scope = Scope { machine, procedure, purpose: Purpose::Closing, variant, people: 1 };
    let mut fitted = BTreeSet::new();
    let mut washed = BTreeSet::new();
    let mut found: Vec<Loose> = Vec::new();
    let mut seen = BTreeSet::new();
    for (step, item) in procedure.steps.iter().enumerate() {
        if !scope.has(&item.named) || (item.every.is_some() && !variant.due) {
            continue;
        }
        for side in step_sides(&scope, step) {
            let mut off = |id: PartId, side: Option<SideId>| {
                if scope.has(&machine.parts[id].named) && seen.insert((id, side)) {
                    found.push(Loose { part: id, side, step, washed: false });
                }
            };
            each(&item.statements, &mut |statement| match statement {
                Statement::TakeOff(target) | Statement::Replace(target) | Statement::AlreadyOff(target) => {
                    if let Subject::Part(id) = target.subject {
                        off(id, side_of(*target, side));
                    }
                }
                Statement::TakeApart(target) => {
                    if let Subject::Part(id) = target.subject {
                        for piece in pieces(machine, id) {
                            off(piece, side_of(*target, side));
                        }
                    }
                }
                Statement::Fit(target) => {
                    if let Subject::Part(id) = target.subject {
                        fitted.insert((id, side_of(*target, side)));
                    }
                }
                Statement::Wash(targets, _) => {
                    washed.extend(targets.iter().filter_map(|target| match target.subject {
                        Subject::Part(id) => Some((id, side_of(*target, side))),
                        _ => None,
                    }));
                }
                _ => {}
            });
        }
    }
    found.retain(|loose| !fitted.contains(&(loose.part, loose.side)));
    for loose in &mut found {
        loose.washed = washed.contains(&(loose.part, loose.side));
    }
    found
}

/// Writes the stages of a load.
pub fn write(builder: &mut Builder<'_>, index: usize, load: &Load) {
    let machine = builder.scope.machine;
    let by_author = builder.washes_itself(load);
    let mut chained = None;
    let stages: &[Stage] = if by_author {
        &[Stage::Rinse, Stage::Sanitise, Stage::LayOut]
    } else {
        &[Stage::Wash, Stage::Rinse, Stage::Sanitise, Stage::LayOut]
    };
    for &stage in stages {
        let head = head(builder, index, load, stage);
        let sink = sink_of(machine.sinks.len(), stage);
        let (drafts, phases) = drafts(builder, load, stage, sink);
        let journey = &machine.journey;
        let solution = match stage {
            Stage::Wash => journey.cleaner,
            Stage::Sanitise => journey.sanitiser,
            Stage::Rinse | Stage::LayOut => None,
        };
        let task = Task {
            events: Vec::new(),
            pauses: pauses(&drafts),
            from: TaskFrom::Load(index, stage),
            side: head.side,
            place: sink.or(Some(0)).and_then(|sink| machine.sinks.get(sink)).and_then(|sink| sink.place),
            phases,
            people: 1,
            skill: None,
            takes: Vec::new(),
            gives: Vec::new(),
            sink: sink.map(|sink| (sink, load.litres)),
            solutions: solution.into_iter().map(|solution| (solution, None)).collect(),
        };
        chained = Some(builder.sink_task(&head, &drafts, chained, task));
    }
}

/// The sink of a stage, of `count` sinks: one does for all, of two the second sanitises, of three each has its own.
pub fn sink_of(count: usize, stage: Stage) -> Option<usize> {
    match (count, stage) {
        (0, _) | (_, Stage::LayOut) => None,
        (1, _) | (_, Stage::Wash) | (2, Stage::Rinse) => Some(0),
        (2, Stage::Sanitise) | (_, Stage::Rinse) => Some(1),
        (_, Stage::Sanitise) => Some(2),
    }
}

fn head(builder: &Builder<'_>, index: usize, load: &Load, stage: Stage) -> Head {
    let machine = builder.scope.machine;
    let stage_words = match stage {
        Stage::Wash => ["wash", "lavar"],
        Stage::Rinse => ["rinse", "enjuagar"],
        Stage::Sanitise => ["sanitise", "desinfectar"],
        Stage::LayOut => ["lay out", "tender"],
    };
    let number = index + 1;
    let said = words(&machine.languages, |language| {
        let names: Vec<String> = load
            .parts
            .iter()
            .map(|(id, side)| side_text(machine, &machine.parts[*id].named, *side, language))
            .collect();
        let verb = frame(language, stage_words[0], stage_words[1]);
        let list = join(language, &names);
        fill(frame(language, "Load {}, {}: {}", "Tanda {}, {}: {}"), &[&number.to_string(), verb, &list])
    });
    Head {
        name: format!("Load {number}, {}", stage_words[0]),
        words: said,
        people: 1,
        from: TaskFrom::Load(index, stage),
        side: load.parts[0].1,
    }
}

fn drafts(builder: &Builder<'_>, load: &Load, stage: Stage, sink: Option<usize>) -> (Vec<Draft>, Vec<Phase>) {
    let machine = builder.scope.machine;
    let journey = &machine.journey;
    let each = |time: ft_units::Time| time.in_unit(TimeUnit::Second) * load.parts.len() as f64;
    let mut act = becomes(builder, load, stage);
    let free = sink.and_then(|sink| builder.vars.at_least(Key::Sink(sink), 1));
    match stage {
        Stage::Wash => {
            act.hazards = left_on(builder, load);
            let soak = load
                .parts
                .iter()
                .filter_map(|(id, _)| machine.parts[*id].soak)
                .map(|soak| soak.in_unit(TimeUnit::Second))
                .fold(0.0, f64::max);
            if soak == 0.0 {
                act.needs.extend(free);
                return (vec![Draft::of(act)], vec![Phase::Hands(each(journey.wash))]);
            }
            // The parts lie in the sink while they soak.
            let begin = Act {
                needs: act.needs.clone().into_iter().chain(free).collect(),
                effects: occupy(builder, sink, -1),
                ..Act::default()
            };
            act.effects.extend(occupy(builder, sink, 1));
            let phases = vec![Phase::Hands(10.0), Phase::Alone(soak), Phase::Hands(each(journey.wash))];
            (vec![Draft::of(begin), Draft::of(act).after_alone(soak)], phases)
        }
        Stage::Rinse => {
            act.needs.extend(free);
            (vec![Draft::of(act)], vec![Phase::Hands(each(journey.rinse))])
        }
        Stage::Sanitise => {
            let contact = journey
                .sanitiser
                .and_then(|sanitiser| machine.solutions[sanitiser].contact)
                .map_or(60.0, |contact| contact.in_unit(TimeUnit::Second));
            let begin = Act {
                needs: act.needs.drain(..).chain(free).collect(),
                effects: occupy(builder, sink, -1),
                ..Act::default()
            };
            act.effects.extend(occupy(builder, sink, 1));
            let phases = vec![Phase::Hands(each(journey.dip)), Phase::Alone(contact), Phase::Hands(0.0)];
            (vec![Draft::of(begin), Draft::of(act).after_alone(contact).without_hands()], phases)
        }
        Stage::LayOut => (vec![Draft::of(act)], vec![Phase::Hands(each(journey.lay_out))]),
    }
}

/// What a stage needs of each part and makes of it; a part that is not to be found stays so.
fn becomes(builder: &Builder<'_>, load: &Load, stage: Stage) -> Act {
    let (from, to): (&[i32], i32) = match stage {
        Stage::Wash => (&[part::OFF, part::APART], part::WASHED),
        Stage::Rinse => (&[part::WASHED], part::RINSED),
        Stage::Sanitise => (&[part::RINSED], part::SANITISED),
        Stage::LayOut => (&[part::SANITISED], part::IN_SLOT),
    };
    let mut act = Act::default();
    for &(id, side) in &load.parts {
        let key = Key::Part(id, side);
        let Some(var) = builder.vars.get(key) else { continue };
        let mut allowed = from.to_vec();
        let mut when: Cond = Vec::new();
        if builder.may_go_missing.contains(&(id, side)) {
            allowed.push(part::MISSING);
            when.extend(builder.vars.none_of(key, &[part::MISSING]));
        }
        act.needs.extend(builder.vars.one_of(key, &allowed));
        act.effects.push(Effect { when, var, op: Op::Set, c: to });
    }
    act
}

/// H13: a seal or a piece is still on a part that is washed.
fn left_on(builder: &Builder<'_>, load: &Load) -> Vec<(String, ft_form::Words, Cond)> {
    let machine = builder.scope.machine;
    let mut found = Vec::new();
    for &(id, side) in &load.parts {
        for piece in pieces(machine, id) {
            let named = &machine.parts[piece].named;
            let Some(on) = builder.vars.one_of(Key::Part(piece, side), &[part::FITTED]) else { continue };
            let words =
                hazards::sentence(machine, "H13", |language| side_text(machine, named, side, language));
            found.push((hazards::id("H13", &side_text(machine, named, side, "")), words, vec![on]));
        }
    }
    found
}

fn occupy(builder: &Builder<'_>, sink: Option<usize>, change: i32) -> Vec<Effect> {
    let var = sink.and_then(|sink| builder.vars.get(Key::Sink(sink)));
    var.map(|var| Effect { when: Vec::new(), var, op: Op::Add, c: change }).into_iter().collect()
}

impl Builder<'_> {
    fn washes_itself(&self, load: &Load) -> bool {
        let (id, side) = load.parts[0];
        self.says(|statement, step_side| {
            matches!(statement, Statement::Wash(targets, _) if targets.iter().any(|target|
                target.subject == Subject::Part(id) && side_of(*target, step_side) == side))
        })
    }

    fn says(&self, test: impl Fn(&Statement, Option<SideId>) -> bool) -> bool {
        let mut found = false;
        for (step, item) in self.scope.procedure.steps.iter().enumerate() {
            for side in step_sides(self.scope, step) {
                each(&item.statements, &mut |statement| found |= test(statement, side));
            }
        }
        found
    }
}

/// Parts, each with its side, of which some statement says that they may not be found.
pub fn may_go_missing(scope: &Scope<'_>) -> BTreeSet<(PartId, Option<SideId>)> {
    let mut missing = BTreeSet::new();
    for (step, item) in scope.procedure.steps.iter().enumerate() {
        for side in step_sides(scope, step) {
            each(&item.statements, &mut |statement| {
                if let Statement::Missing(target) = statement
                    && let Subject::Part(id) = target.subject
                {
                    missing.insert((id, side_of(*target, side)));
                }
            });
        }
    }
    missing
}

/// Whether a part needs lubricant before it is fitted.
pub fn needs_lubricant(part: &Part) -> bool {
    matches!(part.lubricant, Some(Lubricant::Kind(_)))
}
