//! Parts to be washed as items of the plan, which decides their loads.

use std::collections::BTreeMap;

use ft_compile::lower::{Class, Stage as WashStage, TaskFrom, sink_of};
use ft_machine::{Kitchen, Machine, PartId, SideId};
use ft_night::{Item, Journey, Phase, Problem, Stage, Words};
use ft_units::{TimeUnit, VolumeUnit};

use super::places::Places;
use super::{MachineNight, Origins, room, tenths, whole};

/// Seconds that a load costs beside its parts: to gather and change the water, to rinse, dip and lay out.
/// Source: common practice, no source; without them every part would be a load of its own.
fn load_s(stage: WashStage) -> u32 {
    match stage {
        WashStage::Wash => 45,
        WashStage::Rinse | WashStage::Sanitise => 10,
        WashStage::LayOut => 15,
    }
}

/// Adds a machine's parts, their journeys and the sinks that they need.
pub fn add(
    problem: &mut Problem,
    origins: &mut Origins,
    index: usize,
    machine: &MachineNight<'_>,
    places: &Places,
    kitchen: &Kitchen,
    task_of: &BTreeMap<usize, usize>,
) {
    let Some(model) = machine.file.machine.as_ref() else { return };
    let mut journeys: BTreeMap<(Class, u32), usize> = BTreeMap::new();
    for load in &machine.lowered.loads {
        let mut given = Vec::new();
        for &(part, side) in &load.parts {
            let soak_s = model.parts[part].soak.map_or(0, |soak| whole(soak.in_unit(TimeUnit::Second)));
            let journey = *journeys.entry((load.class, soak_s)).or_insert_with(|| {
                let journey = journey(problem, index, machine, model, places, kitchen, load.class, soak_s);
                problem.wash.journeys.push(journey);
                problem.wash.journeys.len() - 1
            });
            given.push(problem.wash.items.len());
            problem.wash.items.push(Item {
                title: named(model, part, side),
                journey,
                size: tenths(model.parts[part].room.in_unit(VolumeUnit::Litre))
                    .min(problem.wash.journeys[journey].units),
                after: takes_off(machine, part, side, task_of),
                before: Vec::new(),
                within_s: None,
            });
            origins.items.push((index, part, side));
        }
        // A load of the card may mix parts with and without a soak; the plan keeps them apart.
        given.sort_by_key(|item| problem.wash.items[*item].journey);
        for group in given.chunk_by(|a, b| problem.wash.items[*a].journey == problem.wash.items[*b].journey) {
            problem.wash.given.push(group.to_vec());
        }
    }
}

fn named(model: &Machine, part: PartId, side: Option<SideId>) -> Words {
    let part = &model.parts[part].named;
    part.label
        .iter()
        .map(|(language, name)| {
            let side = side.map(|side| ft_compile::lower::text(&model.sides[side], language));
            (language.clone(), side.map_or_else(|| name.clone(), |side| format!("{name} ({side})")))
        })
        .collect()
}

/// The tasks whose events make the part come off.
fn takes_off(
    machine: &MachineNight<'_>,
    part: PartId,
    side: Option<SideId>,
    task_of: &BTreeMap<usize, usize>,
) -> Vec<usize> {
    let lowered = machine.lowered;
    let key = ft_compile::lower::Key::Part(part, side);
    let Some(var) = lowered.keys.iter().position(|known| *known == key) else { return Vec::new() };
    lowered
        .tasks
        .iter()
        .enumerate()
        .filter(|(_, task)| !matches!(task.from, TaskFrom::Load(..)))
        .filter(|(_, task)| {
            task.events
                .iter()
                .any(|event| lowered.form.events[*event].eff.iter().any(|effect| effect.var == var))
        })
        .filter_map(|(number, _)| task_of.get(&number).copied())
        .collect()
}

#[allow(clippy::too_many_arguments)]
fn journey(
    problem: &mut Problem,
    index: usize,
    machine: &MachineNight<'_>,
    model: &Machine,
    places: &Places,
    kitchen: &Kitchen,
    class: Class,
    soak_s: u32,
) -> Journey {
    let seconds = |time: ft_units::Time| whole(time.in_unit(TimeUnit::Second));
    let sinks: Vec<usize> = model.sinks.iter().map(|sink| sink_room(problem, sink, kitchen)).collect();
    let bay = |stage: WashStage| sink_of(sinks.len(), stage).map(|sink| sinks[sink]);
    let place = places.of(index, model.sinks.first().and_then(|sink| sink.place));
    let hands = |each_s: u32, stage: WashStage| Stage {
        phase: Phase { hands_s: load_s(stage), people: 1, place, ..Phase::default() },
        each_s,
        room: bay(stage),
    };
    let contact =
        model.journey.sanitiser.and_then(|sanitiser| model.solutions[sanitiser].contact).map_or(60, seconds);
    let mut stages = Vec::new();
    if soak_s > 0 {
        stages.push(Stage {
            phase: Phase { hands_s: 10, people: 1, place, ..Phase::default() },
            each_s: 0,
            room: bay(WashStage::Wash),
        });
        stages.push(Stage {
            phase: Phase { wait_s: soak_s, place, late_s: Some(0), ..Phase::default() },
            each_s: 0,
            room: bay(WashStage::Wash),
        });
    }
    stages.push(hands(seconds(model.journey.wash), WashStage::Wash));
    stages.push(hands(seconds(model.journey.rinse), WashStage::Rinse));
    stages.push(hands(seconds(model.journey.dip), WashStage::Sanitise));
    stages.push(Stage {
        phase: Phase { wait_s: contact, place, late_s: Some(0), ..Phase::default() },
        each_s: 0,
        room: bay(WashStage::Sanitise),
    });
    stages.push(hands(seconds(model.journey.lay_out), WashStage::LayOut));
    let smallest = sinks.iter().map(|room| problem.rooms[*room].units).min().unwrap_or(u32::MAX);
    let (number, words) = match class {
        Class::Soft => (0, [("en", "plastic and rubber"), ("es", "plástico y goma")]),
        Class::Hard => (1, [("en", "metal"), ("es", "metal")]),
        Class::Sharp => (2, [("en", "sharp, alone"), ("es", "cortante, sola")]),
    };
    let title = words
        .into_iter()
        .map(|(language, kind)| {
            let name = machine.label.get(language).unwrap_or(&machine.name);
            let wash = if language == "es" { "lavar" } else { "wash" };
            (language.to_owned(), format!("{name}: {wash} {kind}"))
        })
        .collect();
    // What cuts is washed alone: a load takes one.
    let units = if class == Class::Sharp { smallest.min(1) } else { smallest };
    Journey { title, class: Some(number), units, stages }
}

/// The plan's room for a sink; sinks of one name are the kitchen's.
fn sink_room(problem: &mut Problem, sink: &ft_machine::Sink, kitchen: &Kitchen) -> usize {
    let known =
        problem.rooms.iter().position(|room| room.title.values().any(|name| *name == sink.named.name));
    known.unwrap_or_else(|| {
        let owned = kitchen.sinks.iter().find(|(named, _, _)| named.name == sink.named.name);
        let bays = owned.map_or(1, |(_, count, _)| *count);
        problem.rooms.push(room(sink.named.label.clone(), bays, sink.room.in_unit(VolumeUnit::Litre)));
        problem.rooms.len() - 1
    })
}

/// A load's stage comes before a task: so does every part in it.
pub fn before(
    problem: &mut Problem,
    origins: &Origins,
    machine: &MachineNight<'_>,
    load_task: usize,
    task: usize,
) {
    for item in items(origins, machine, load_task, problem) {
        add_once(&mut problem.wash.items[item].before, task);
    }
}

/// A task comes before a load's stage: so it does before every part in it.
pub fn after(
    problem: &mut Problem,
    origins: &Origins,
    machine: &MachineNight<'_>,
    load_task: usize,
    task: usize,
) {
    for item in items(origins, machine, load_task, problem) {
        add_once(&mut problem.wash.items[item].after, task);
    }
}

fn add_once(list: &mut Vec<usize>, task: usize) {
    if !list.contains(&task) {
        list.push(task);
    }
}

fn items(origins: &Origins, machine: &MachineNight<'_>, load_task: usize, problem: &Problem) -> Vec<usize> {
    let TaskFrom::Load(load, _) = machine.lowered.tasks[load_task].from else { return Vec::new() };
    let parts = &machine.lowered.loads[load].parts;
    // The machine being added is the last one, so its items are at the end of the list.
    let last = origins.items.last().map(|(index, _, _)| *index);
    origins
        .items
        .iter()
        .enumerate()
        .filter(|(item, (index, part, side))| {
            Some(*index) == last && parts.contains(&(*part, *side)) && *item < problem.wash.items.len()
        })
        .map(|(item, _)| item)
        .collect()
}
