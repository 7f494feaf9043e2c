//! The fold: of the whole record, what the question needs.

use std::collections::{BTreeMap, BTreeSet};

use ft_lots::Books;
use ft_people::People;
use ft_record::{Event, Fact, Installed, Journey, PartRef, SignedAs};

/// How many runs of each machine and procedure are kept: the last one is judged, the others may turn out to be last
/// when an opening is corrected.
const KEEP_RUNS: usize = 3;

/// How long a run whose opening has not arrived is waited for, milliseconds: a tablet that was away for a week.
const WAIT_MS: i64 = 7 * 86_400_000;

/// What the record says that the question needs.
#[derive(Debug, Clone, Default)]
pub struct Morning {
    machines: BTreeMap<String, MachineLog>,
    runs: BTreeMap<String, Run>,
    books: Books,
    people: People,
    corrected: BTreeSet<String>,
    last_ms: i64,
}

/// What is known of a machine beyond its runs. Lists are sorted by time.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct MachineLog {
    /// The first run that it took part in, milliseconds since 1970.
    pub first_ms: Option<i64>,
    pub(crate) faults: Vec<Told<String>>,
    pub(crate) mended: Vec<Told<String>>,
    pub(crate) parts: BTreeMap<PartRef, Vec<Told<PartFact>>>,
    /// The last readings that belong to no run, by what they are of.
    pub(crate) probes: BTreeMap<String, Told<Reading>>,
    pub(crate) overrides: Vec<Told<Override>>,
    pub(crate) released: Vec<Told<String>>,
}

/// Something with the event that tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct Told<T> {
    /// The event's id.
    pub event: String,
    /// When, milliseconds since 1970.
    pub at_ms: i64,
    /// Who.
    pub person: Option<String>,
    /// What.
    pub what: T,
}

/// What was told of a part.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum PartFact {
    Moved(Journey),
    Missing,
    Found,
    Inspected { good: bool, lubricated: bool },
    Replaced,
}

/// Something that was measured.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Reading {
    pub of: String,
    pub value: f64,
    pub unit: String,
    pub good: Option<bool>,
}

/// A reason set aside.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Override {
    pub key: String,
    pub because: String,
}

/// A closing or opening, as far as it was told.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Run {
    /// Its id.
    pub id: String,
    /// When it was opened; `None` while its opening has not arrived.
    pub opened_ms: Option<i64>,
    /// The procedure.
    pub procedure: String,
    /// The machines of it.
    pub machines: Vec<Installed>,
    /// Events within it, in the order in which they were told.
    pub(crate) events: Vec<Event>,
}

impl Morning {
    /// An empty record.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in an event. Each once, in any order. Cost: small, but for late events about lots.
    pub fn apply(&mut self, event: &Event) {
        self.last_ms = self.last_ms.max(event.at_ms);
        if let Fact::Corrected { of, .. } = &event.fact {
            self.corrected.insert(of.clone());
        }
        self.books.apply(event);
        self.people.apply(event);
        if let Some(machine) = &event.machine {
            self.machines.entry(machine.clone()).or_default().apply(event);
        }
        self.apply_run(event);
    }

    /// What was told of lots.
    pub fn books(&self) -> &Books {
        &self.books
    }

    /// What was told of people.
    pub fn people(&self) -> &People {
        &self.people
    }

    /// Tells that somebody used a skill, for it not to lapse; the caller knows which steps need which.
    pub fn used(&mut self, who: &str, skill: &str, at_ms: i64) {
        self.people.used(who, skill, at_ms);
    }

    /// Practice on a machine counts for these skills and no others; the caller knows its steps.
    pub fn asks_for(&mut self, machine: &str, skills: BTreeSet<String>) {
        self.people.asks_for(machine, skills);
    }

    /// Machines that took part in a run, by name.
    pub fn machines(&self) -> impl Iterator<Item = &str> {
        self.machines.iter().filter(|(_, log)| log.first_ms.is_some()).map(|(name, _)| name.as_str())
    }

    /// What is known of a machine.
    pub fn machine(&self, name: &str) -> Option<&MachineLog> {
        self.machines.get(name)
    }

    /// The last run of a procedure that a machine took part in.
    pub fn last_run(&self, machine: &str, procedure: &str) -> Option<&Run> {
        let of = |run: &&Run| {
            run.procedure == procedure
                && run.opened_ms.is_some()
                && !self.corrected.contains(&run.id)
                && run.machines.iter().any(|installed| installed.machine == machine)
        };
        self.runs.values().filter(of).max_by_key(|run| (run.opened_ms, &run.id))
    }

    /// A machine of a run, exactly as it was proved.
    pub fn installed<'a>(&self, run: &'a Run, machine: &str) -> Option<&'a Installed> {
        run.machines.iter().find(|installed| installed.machine == machine)
    }

    /// Whether an event stands: nobody corrected it.
    pub(crate) fn counts(&self, event: &str) -> bool {
        !self.corrected.contains(event)
    }

    fn apply_run(&mut self, event: &Event) {
        if let Fact::RunOpened { procedure, machines, .. } = &event.fact {
            let run = self.runs.entry(event.id.clone()).or_default();
            run.id.clone_from(&event.id);
            run.opened_ms = Some(event.at_ms);
            run.procedure.clone_from(procedure);
            run.machines.clone_from(machines);
            for installed in machines {
                let log = self.machines.entry(installed.machine.clone()).or_default();
                log.first_ms = Some(log.first_ms.map_or(event.at_ms, |first| first.min(event.at_ms)));
            }
            self.forget();
        } else if let Some(id) = &event.run {
            // A run that was forgotten is not begun again by what comes too late for it.
            if self.runs.contains_key(id) || self.last_ms - event.at_ms < WAIT_MS {
                let run = self.runs.entry(id.clone()).or_default();
                run.id.clone_from(id);
                run.events.push(event.clone());
            }
        }
    }

    /// Forgets runs that cannot be asked for any more.
    fn forget(&mut self) {
        let mut newest: BTreeMap<(&str, &str), Vec<(i64, &str)>> = BTreeMap::new();
        for run in self.runs.values() {
            for installed in &run.machines {
                let opened = run.opened_ms.unwrap_or(i64::MAX);
                newest.entry((&installed.machine, &run.procedure)).or_default().push((opened, &run.id));
            }
        }
        let mut keep: BTreeSet<String> = BTreeSet::new();
        for list in newest.values_mut() {
            list.sort_unstable();
            keep.extend(list.iter().rev().take(KEEP_RUNS).map(|(_, id)| (*id).to_owned()));
        }
        let last_ms = self.last_ms;
        self.runs.retain(|id, run| {
            let waits = run.opened_ms.is_none()
                && run.events.last().is_some_and(|event| last_ms - event.at_ms < WAIT_MS);
            waits || keep.contains(id)
        });
    }
}

impl MachineLog {
    fn apply(&mut self, event: &Event) {
        match &event.fact {
            Fact::FaultOpened { text } => insert(&mut self.faults, told(event, text.clone())),
            Fact::FaultClosed { of, .. } => insert(&mut self.mended, told(event, of.clone())),
            Fact::PartMoved { part, to } => self.part(event, part, PartFact::Moved(*to)),
            Fact::PartMissing { part, .. } => self.part(event, part, PartFact::Missing),
            Fact::PartFound { part, .. } => self.part(event, part, PartFact::Found),
            Fact::PartInspected { part, good, lubricated, .. } => {
                self.part(event, part, PartFact::Inspected { good: *good, lubricated: *lubricated });
            }
            Fact::PartReplaced { part, .. } => self.part(event, part, PartFact::Replaced),
            Fact::Reading { .. } if event.run.is_none() => {
                if let Some(reading) = reading(event) {
                    let newer = self.probes.get(&reading.of).is_none_or(|last| last.at_ms <= event.at_ms);
                    if newer {
                        self.probes.insert(reading.of.clone(), told(event, reading));
                    }
                }
            }
            Fact::Overridden { reason, because } => {
                insert(
                    &mut self.overrides,
                    told(event, Override { key: reason.clone(), because: because.clone() }),
                );
            }
            Fact::Released { of_run } => insert(&mut self.released, told(event, of_run.clone())),
            _ => {}
        }
    }

    fn part(&mut self, event: &Event, part: &PartRef, fact: PartFact) {
        insert(self.parts.entry(part.clone()).or_default(), told(event, fact));
    }
}

impl Run {
    /// Events of one machine, sorted as they are merged: by time, each device's own order kept, ties by device.
    pub(crate) fn of_machine<'a>(&'a self, machine: &str, morning: &Morning) -> Vec<&'a Event> {
        let of_machine =
            |event: &&Event| event.machine.as_deref() == Some(machine) && morning.counts(&event.id);
        let mut events: Vec<&Event> = self.events.iter().filter(of_machine).collect();
        events.sort_by(|a, b| (a.at_ms, &a.device, a.order).cmp(&(b.at_ms, &b.device, b.order)));
        // A device whose clock was set back: its own count decides.
        let mut by_device: BTreeMap<&str, Vec<&Event>> = BTreeMap::new();
        for event in &events {
            by_device.entry(&event.device).or_default().push(event);
        }
        for list in by_device.values_mut() {
            list.sort_by_key(|event| std::cmp::Reverse(event.order));
        }
        let next = |event: &&Event| by_device.get_mut(event.device.as_str()).and_then(Vec::pop);
        let merged: Vec<&Event> = events.iter().filter_map(next).collect();
        merged
    }

    /// Who signed for the whole run or for a machine of it, as what.
    pub(crate) fn signed<'a>(
        &'a self,
        machine: &'a str,
        r#as: SignedAs,
        morning: &'a Morning,
    ) -> impl Iterator<Item = &'a Event> {
        self.events.iter().filter(move |event| {
            event.fact == Fact::Signed { r#as }
                && event.machine.as_deref().is_none_or(|of| of == machine)
                && morning.counts(&event.id)
        })
    }
}

/// A reading as it is judged.
pub(crate) fn reading(event: &Event) -> Option<Reading> {
    match &event.fact {
        Fact::Reading { of, value, unit, good, .. } => {
            Some(Reading { of: of.clone(), value: *value, unit: unit.clone(), good: *good })
        }
        _ => None,
    }
}

fn told<T>(event: &Event, what: T) -> Told<T> {
    Told { event: event.id.clone(), at_ms: event.at_ms, person: event.person.clone(), what }
}

fn insert<T>(list: &mut Vec<Told<T>>, item: Told<T>) {
    let at = list.partition_point(|other| other.at_ms <= item.at_ms);
    list.insert(at, item);
}
