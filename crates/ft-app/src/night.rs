//! Tonight's planning problem, from a kitchen, its machines and the orders that were proved.

mod places;
mod wash;

use std::collections::BTreeMap;

use ft_compile::lower::{self, Phase as Span, TaskFrom};
use ft_compile::{File, Lowered};
use ft_form::EventId;
use ft_machine::Kitchen;
use ft_night::{Hold, KitPool, Lag, Person, Phase, Point, Problem, Room, Serving, Side, Task, Words};
use ft_prove::Order;

/// A machine of the kitchen with its proved order.
pub struct MachineNight<'a> {
    /// What the kitchen calls it.
    pub name: String,
    /// What people call it, by language.
    pub label: Words,
    /// Where it stands: a place of the kitchen.
    pub place: Option<usize>,
    /// Its file.
    pub file: &'a File,
    /// Which procedure.
    pub procedure: usize,
    /// The lowered procedure.
    pub lowered: &'a Lowered,
    /// Its order.
    pub order: &'a Order,
}

/// Where the parts of the problem come from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Origins {
    /// By task of the problem: the machine and its task.
    pub tasks: Vec<(usize, usize)>,
    /// By wash item: the machine, the part and its side.
    pub items: Vec<(usize, ft_machine::PartId, Option<ft_machine::SideId>)>,
}

/// Builds the problem. Second 0 is when the closing begins.
pub fn problem(kitchen: &Kitchen, machines: &[MachineNight<'_>]) -> (Problem, Origins) {
    let mut night = Night {
        kitchen,
        problem: Problem::default(),
        origins: Origins::default(),
        skills: kitchen.skills.iter().map(|skill| skill.name.clone()).collect(),
        places: places::Places::new(kitchen, machines),
    };
    night.problem.name.clone_from(&kitchen.named.name);
    night.head();
    for (index, machine) in machines.iter().enumerate() {
        night.machine(index, machine);
    }
    (night.problem, night.origins)
}

struct Night<'a> {
    kitchen: &'a Kitchen,
    problem: Problem,
    origins: Origins,
    /// Names of the skills, by their number in the problem.
    skills: Vec<String>,
    places: places::Places,
}

impl Night<'_> {
    fn head(&mut self) {
        let kitchen = self.kitchen;
        self.problem.places = self.places.list();
        self.problem.walk_s = self.places.walks();
        self.problem.skills = kitchen.skills.iter().map(|skill| skill.label.clone()).collect();
        let from = kitchen.hours.map_or(0, |hours| hours.from_min);
        let second = |clock_min: u32| {
            let day = if clock_min + 12 * 60 < from { 24 * 60 } else { 0 };
            (clock_min + day).saturating_sub(from) * 60
        };
        self.problem.people = kitchen
            .people
            .iter()
            .filter(|person| person.here)
            .map(|person| Person {
                name: person.named.name.clone(),
                skills: person.skills.clone(),
                from_s: person.from_min.map_or(0, second),
                to_s: person.until_min.map(second),
                pace_percent: (person.pace * 100.0).round() as u32,
                starts_at: None,
                keeps_side: None,
            })
            .collect();
        self.problem.deadline_s =
            kitchen.hours.and_then(|hours| hours.out_by_min).map(|out| (out - from) * 60);
    }

    fn machine(&mut self, index: usize, machine: &MachineNight<'_>) {
        let Some(model) = machine.file.machine.as_ref() else { return };
        let first_side = self.problem.sides.len();
        for side in &model.sides {
            let title = joined(&machine.label, &side.label);
            self.problem.sides.push(Side { title, machine: index, serves_until_s: 0 });
        }
        let kit = self.kit(model, machine.lowered);
        self.unheard_of_skills(machine.lowered);
        let mut task_of = BTreeMap::new();
        for (number, task) in machine.lowered.tasks.iter().enumerate() {
            if matches!(task.from, TaskFrom::Load(..)) {
                continue;
            }
            task_of.insert(number, self.problem.tasks.len());
            let made = self.task(index, machine, task, first_side);
            self.problem.tasks.push(made);
            self.origins.tasks.push((index, number));
        }
        self.holds(machine.lowered, &kit, &task_of);
        wash::add(&mut self.problem, &mut self.origins, index, machine, &self.places, self.kitchen, &task_of);
        self.lags(machine, &task_of);
        self.sign_off(index, machine, &task_of);
        if let Some(serving) = machine.file.procedures[machine.procedure].serving {
            let from = self.kitchen.hours.map_or(0, |hours| hours.from_min);
            let until_s = serving.until_min.saturating_sub(from) * 60;
            self.problem.serving.push(Serving { machine: index, keep: serving.sides, until_s });
        }
    }

    /// A skill that the kitchen does not know is one that nobody here has.
    fn unheard_of_skills(&mut self, lowered: &Lowered) {
        for skill in lowered.tasks.iter().filter_map(|task| task.skill.as_ref()) {
            if !self.skills.contains(skill) {
                self.skills.push(skill.clone());
                self.problem.skills.push(Words::from([("en".to_owned(), skill.clone())]));
            }
        }
    }

    /// The last look comes after everything of its machine. A card in order says so only of what ends its lanes.
    fn sign_off(&mut self, index: usize, machine: &MachineNight<'_>, task_of: &BTreeMap<usize, usize>) {
        let is_look = |number: &usize| machine.lowered.tasks[*number].from == TaskFrom::SignOff;
        let Some(look) = task_of.iter().find(|(number, _)| is_look(number)).map(|(_, own)| *own) else {
            return;
        };
        for &own in task_of.values().filter(|own| **own != look) {
            let (from, to) = (Point::end(own), Point::begin(look));
            if !self.problem.lags.iter().any(|lag| lag.from == from && lag.to == to) {
                self.problem.lags.push(Lag { from, to, min_s: 0, max_s: None, because: Words::new() });
            }
        }
        for (item, (of, ..)) in self.origins.items.iter().enumerate() {
            let before = &mut self.problem.wash.items[item].before;
            if *of == index && !before.contains(&look) {
                before.push(look);
            }
        }
    }

    /// The pools of the machine's kit: kit of one name is the kitchen's, shared by all machines.
    fn kit(&mut self, model: &ft_machine::Machine, lowered: &Lowered) -> BTreeMap<usize, usize> {
        let mut pools = BTreeMap::new();
        let used = |id: usize| lowered.tasks.iter().any(|task| task.takes.contains(&id));
        for (id, vessel) in model.vessels.iter().enumerate().filter(|(id, vessel)| vessel.kit && used(*id)) {
            let known = self
                .problem
                .kit
                .iter()
                .position(|pool| pool.title.values().any(|name| *name == vessel.named.name));
            let pool = known.unwrap_or_else(|| {
                let owned = self.kitchen.kit.iter().find(|(named, _)| named.name == vessel.named.name);
                let count = owned.map_or(vessel.count, |(_, count)| *count);
                self.problem.kit.push(KitPool { title: vessel.named.label.clone(), count });
                self.problem.kit.len() - 1
            });
            pools.insert(id, pool);
        }
        pools
    }

    fn task(&self, index: usize, machine: &MachineNight<'_>, task: &lower::Task, first_side: usize) -> Task {
        let place = self.places.of(index, task.place);
        let skill = task.skill.as_ref().and_then(|skill| self.skills.iter().position(|known| known == skill));
        let mut phases = Vec::new();
        for (number, span) in task.phases.iter().enumerate() {
            let phase = match *span {
                Span::Hands(0.0) => continue,
                Span::Hands(seconds) => Phase {
                    hands_s: whole(seconds),
                    people: task.people,
                    skill,
                    place,
                    same_people: number > 0,
                    ..Phase::default()
                },
                Span::Watch(seconds) => Phase {
                    wait_s: whole(seconds),
                    people: task.people,
                    skill,
                    place,
                    late_s: Some(0),
                    same_people: true,
                    ..Phase::default()
                },
                Span::Alone(seconds) => {
                    Phase { wait_s: whole(seconds), place, late_s: Some(0), ..Phase::default() }
                }
            };
            let after_alone = phases.last().is_some_and(|last: &Phase| last.people == 0);
            // Whoever is free may do what comes after an unattended wait.
            phases.push(Phase {
                same_people: phase.same_people && !after_alone && !phases.is_empty(),
                late_s: phase.late_s.or(if number > 0 && !after_alone { Some(0) } else { None }),
                ..phase
            });
        }
        if phases.is_empty() {
            phases.push(Phase { hands_s: 1, people: task.people, skill, place, ..Phase::default() });
        }
        let serving = machine.file.procedures[machine.procedure].serving.is_some();
        Task {
            title: joined(&machine.label, &title(machine, task)),
            side: task.side.map(|side| first_side + side),
            ends_service: serving && task.side.is_some(),
            release_s: 0,
            due_s: None,
            phases,
            rooms: Vec::new(),
        }
    }

    /// Kit taken by one step and given back by another on the same side, in the card's order.
    fn holds(&mut self, lowered: &Lowered, kit: &BTreeMap<usize, usize>, task_of: &BTreeMap<usize, usize>) {
        let mut open: BTreeMap<(usize, Option<usize>), Vec<usize>> = BTreeMap::new();
        for (number, task) in lowered.tasks.iter().enumerate() {
            let Some(&own) = task_of.get(&number) else { continue };
            for id in &task.takes {
                open.entry((*id, task.side)).or_default().push(own);
            }
            for id in &task.gives {
                let taken = open
                    .get_mut(&(*id, task.side))
                    .filter(|list| !list.is_empty())
                    .map(|list| list.remove(0));
                if let (Some(from_task), Some(&pool)) = (taken, kit.get(id)) {
                    self.problem.holds.push(Hold { kit: pool, count: 1, from_task, to_task: own });
                }
            }
        }
    }

    /// The proved order between events, as lags between begins and ends of tasks.
    fn lags(&mut self, machine: &MachineNight<'_>, task_of: &BTreeMap<usize, usize>) {
        let by_event = by_event(machine.lowered);
        for edge in &machine.order.edges {
            let (Some(&before), Some(&after)) = (by_event.get(&edge.before), by_event.get(&edge.after))
            else {
                continue;
            };
            if before == after {
                continue;
            }
            let tasks = &machine.lowered.tasks;
            match (task_of.get(&before), task_of.get(&after)) {
                (Some(&from), Some(&to)) => {
                    let from = match tasks[before].events.as_slice() {
                        [first, _, ..] if *first == edge.before => Point::begin(from),
                        _ => Point::end(from),
                    };
                    let to = match tasks[after].events.as_slice() {
                        [_, .., last] if *last == edge.after => Point::end(to),
                        _ => Point::begin(to),
                    };
                    self.problem.lags.push(Lag { from, to, min_s: 0, max_s: None, because: Words::new() });
                }
                (None, Some(&to)) => wash::before(&mut self.problem, &self.origins, machine, before, to),
                (Some(&from), None) => wash::after(&mut self.problem, &self.origins, machine, after, from),
                (None, None) => {}
            }
        }
    }
}

/// The task of each event; the world's answers belong to the task that looks.
fn by_event(lowered: &Lowered) -> BTreeMap<EventId, usize> {
    let mut map = BTreeMap::new();
    let mut by_step = BTreeMap::new();
    for (number, task) in lowered.tasks.iter().enumerate() {
        for &event in &task.events {
            map.insert(event, number);
            by_step.insert(lowered.form.events[event].step.as_str(), number);
        }
    }
    for (event, item) in lowered.form.events.iter().enumerate().filter(|(_, event)| event.nature) {
        if let Some(&number) = by_step.get(item.step.as_str()) {
            map.insert(event, number);
        }
    }
    map
}

/// What a task is called, without what the crew is told.
fn title(machine: &MachineNight<'_>, task: &lower::Task) -> Words {
    let first = task.events[0];
    let event = &machine.lowered.form.events[first];
    event
        .words
        .iter()
        .map(|(language, words)| (language.clone(), words.split(": ").next().unwrap_or(words).to_owned()))
        .collect()
}

/// Two names in each language that has the second.
fn joined(first: &Words, second: &Words) -> Words {
    second
        .iter()
        .map(|(language, second)| {
            let first = first.get(language).or_else(|| first.values().next());
            (language.clone(), first.map_or_else(|| second.clone(), |first| format!("{first}: {second}")))
        })
        .collect()
}

fn whole(seconds: f64) -> u32 {
    seconds.ceil().max(0.0) as u32
}

/// A row of equal sinks as a room of the plan.
fn room(title: Words, bays: u32, litres: f64) -> Room {
    Room { title, bays, units: tenths(litres) }
}

/// Litres in tenths, rounded up.
fn tenths(litres: f64) -> u32 {
    (litres * 10.0 - 1e-9).ceil().max(1.0) as u32
}
