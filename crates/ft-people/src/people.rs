//! The fold: people, their roles, and what was told of their skills.

use std::collections::{BTreeMap, BTreeSet};

use ft_record::{Event, Fact, Practice, Role, Training};

/// An event that something rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// Its id.
    pub event: String,
    /// When, milliseconds since 1970.
    pub at_ms: i64,
}

/// Somebody who works here.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Person {
    /// Roles over time, sorted by time.
    pub(crate) roles: Vec<(Named, Vec<Role>)>,
    /// The language that they read.
    pub(crate) language: String,
    /// What was told of their skills, sorted by time: who said it, the skill, how.
    pub(crate) trained: Vec<(Named, String, String, Training)>,
    /// Practice sessions, sorted by time, each with the machine that was practised on.
    pub(crate) practised: Vec<(Named, Option<String>, Practice)>,
    /// When each skill was last used, by its name.
    pub(crate) used_ms: BTreeMap<String, i64>,
}

/// Everybody who was told of.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct People {
    persons: BTreeMap<String, Person>,
    corrected: BTreeSet<String>,
    /// By machine: the skills that its steps need.
    asks: BTreeMap<String, BTreeSet<String>>,
}

impl People {
    /// Nobody.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in an event; one that is not about people changes nothing. In any order.
    pub fn apply(&mut self, event: &Event) {
        let named = Named { event: event.id.clone(), at_ms: event.at_ms };
        match &event.fact {
            Fact::PersonAdded { who, roles, language } => {
                let person = self.persons.entry(who.clone()).or_default();
                person.language.clone_from(language);
                sorted(&mut person.roles, (named, roles.clone()), |(named, _)| named.at_ms);
            }
            Fact::RolesChanged { who, roles } => {
                let person = self.persons.entry(who.clone()).or_default();
                sorted(&mut person.roles, (named, roles.clone()), |(named, _)| named.at_ms);
            }
            Fact::Trained { who, skill, how } => {
                let by = event.person.clone().unwrap_or_default();
                let person = self.persons.entry(who.clone()).or_default();
                sorted(&mut person.trained, (named, by, skill.clone(), *how), |told| told.0.at_ms);
            }
            Fact::Practised { session } => {
                let person = self.persons.entry(session.who.clone()).or_default();
                let practised = (named, event.machine.clone(), session.clone());
                sorted(&mut person.practised, practised, |told| told.0.at_ms);
            }
            Fact::Corrected { of, .. } => {
                self.corrected.insert(of.clone());
            }
            _ => {}
        }
    }

    /// Somebody used a skill at a moment: they did a step that needs it. It keeps the skill from lapsing.
    pub fn used(&mut self, who: &str, skill: &str, at_ms: i64) {
        let used =
            self.persons.entry(who.to_owned()).or_default().used_ms.entry(skill.to_owned()).or_default();
        *used = (*used).max(at_ms);
    }

    /// A machine has steps that need these skills, and practice on it counts for them. Practice on a machine of which
    /// nothing was said counts for no skill.
    pub fn asks_for(&mut self, machine: &str, skills: BTreeSet<String>) {
        self.asks.insert(machine.to_owned(), skills);
    }

    /// Whether practice on a machine is practice of a skill.
    pub(crate) fn is_practice_of(&self, skill: &str, machine: Option<&str>) -> bool {
        machine.and_then(|machine| self.asks.get(machine)).is_some_and(|skills| skills.contains(skill))
    }

    /// Everybody, by name.
    pub fn persons(&self) -> &BTreeMap<String, Person> {
        &self.persons
    }

    /// Somebody's roles at a moment; empty for who was not known then.
    pub fn roles(&self, who: &str, at_ms: i64) -> &[Role] {
        let Some(person) = self.persons.get(who) else { return &[] };
        let told = person.roles.iter().rev().find(|(named, _)| named.at_ms <= at_ms && self.counts(named));
        told.map_or(&[], |(_, roles)| roles)
    }

    /// Whether somebody has one of some roles at a moment.
    pub fn is_any(&self, who: &str, roles: &[Role], at_ms: i64) -> bool {
        self.roles(who, at_ms).iter().any(|role| roles.contains(role))
    }

    /// Whether an event was not corrected.
    pub(crate) fn counts(&self, named: &Named) -> bool {
        !self.corrected.contains(&named.event)
    }
}

fn sorted<T>(list: &mut Vec<T>, item: T, at: impl Fn(&T) -> i64) {
    let place = list.partition_point(|other| at(other) <= at(&item));
    list.insert(place, item);
}
