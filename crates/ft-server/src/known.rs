//! What the server keeps in mind of the whole record: people, runs, devices.

use std::collections::{BTreeMap, BTreeSet};

use ft_record::{Event, Fact, Role, Stored};

use crate::clock::day;
use crate::leaf::{Spans, extend};

/// Somebody who works here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// What they may do; empty: nothing any more.
    pub roles: Vec<Role>,
    /// The language that they read.
    pub language: String,
}

/// A night.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RunLine {
    /// The id of the event that opened it.
    pub id: String,
    /// The procedure.
    pub procedure: String,
    /// When, milliseconds since 1970.
    pub at_ms: i64,
    /// Whether it is signed.
    pub is_signed: bool,
}

/// How deep a chain of corrections of corrections is followed: nothing keeps events from naming each other.
const DEEPEST: u32 = 8;

/// As many of a device's last numbers are remembered.
const REMEMBERED: usize = 4096;

/// What is kept in mind.
#[derive(Debug, Clone, Default)]
pub struct Known {
    /// The last place of the record that was read.
    pub seq: u64,
    /// People by name.
    pub people: BTreeMap<String, Person>,
    /// Runs in the order in which they were opened.
    pub runs: Vec<RunLine>,
    /// Every machine that a run was opened with.
    pub machines: BTreeSet<String>,
    /// By day of the devices' clocks, where the server is: its places in the record.
    pub days: BTreeMap<String, Spans>,
    /// By event: the corrections that take it back.
    corrections: BTreeMap<String, Vec<String>>,
    /// By device: which id it gave to each of its last numbers.
    devices: BTreeMap<String, BTreeMap<u64, String>>,
}

impl Known {
    /// Takes the next event of the record.
    pub fn take(&mut self, stored: &Stored) {
        self.seq = stored.seq;
        let event = &stored.event;
        let numbers = self.devices.entry(event.device.clone()).or_default();
        numbers.insert(event.order, event.id.clone());
        if numbers.len() > REMEMBERED {
            numbers.pop_first();
        }
        extend(self.days.entry(day(event.at_ms)).or_default(), stored.seq);
        match &event.fact {
            Fact::Corrected { of, .. } => {
                self.corrections.entry(of.clone()).or_default().push(event.id.clone());
            }
            Fact::PersonAdded { who, roles, language } => {
                let person = Person { roles: roles.clone(), language: language.clone() };
                self.people.insert(who.clone(), person);
            }
            Fact::RolesChanged { who, roles } => {
                if let Some(person) = self.people.get_mut(who) {
                    person.roles.clone_from(roles);
                }
            }
            Fact::RunOpened { procedure, machines, .. } => {
                self.machines.extend(machines.iter().map(|installed| installed.machine.clone()));
                self.runs.push(RunLine {
                    id: event.id.clone(),
                    procedure: procedure.clone(),
                    at_ms: event.at_ms,
                    is_signed: false,
                });
            }
            Fact::Signed { .. } => {
                if let Some(run) = self.runs.iter_mut().find(|run| Some(&run.id) == event.run.as_ref()) {
                    run.is_signed = true;
                }
            }
            _ => {}
        }
    }

    /// Whether an event was taken back, and that was not taken back itself.
    pub fn is_taken_back(&self, id: &str) -> bool {
        self.is_taken_back_within(id, DEEPEST)
    }

    fn is_taken_back_within(&self, id: &str, deepest: u32) -> bool {
        let Some(corrections) = self.corrections.get(id).filter(|_| deepest > 0) else { return false };
        corrections.iter().any(|correction| !self.is_taken_back_within(correction, deepest - 1))
    }

    /// The roles of somebody; none where nobody has that name.
    pub fn roles(&self, who: &str) -> &[Role] {
        self.people.get(who).map_or(&[], |person| &person.roles)
    }

    /// Whether a device gave this number to another event before.
    pub fn is_taken(&self, event: &Event) -> bool {
        let numbers = self.devices.get(&event.device);
        numbers.and_then(|numbers| numbers.get(&event.order)).is_some_and(|id| *id != event.id)
    }

    /// The last number of a device; 0 where it has said nothing.
    pub fn last_order(&self, device: &str) -> u64 {
        let numbers = self.devices.get(device);
        numbers.and_then(|numbers| numbers.last_key_value()).map_or(0, |(order, _)| *order)
    }
}
