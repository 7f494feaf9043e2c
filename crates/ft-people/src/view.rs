//! People as they are shown: plain structs that serialise to JSON.

use std::collections::BTreeSet;

use ft_record::Role;
use serde::Serialize;

use crate::people::People;
use crate::skill::{Settings, Why};

/// Everybody who works here.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PeopleView {
    /// By name.
    pub people: Vec<PersonView>,
    /// How often something has to be done under watch before it is done alone.
    pub watched_needed: u32,
    /// Whether practice has to be passed.
    pub practice_needed: bool,
    /// After how many days a skill lapses.
    pub lapses_days: u32,
}

/// Somebody.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PersonView {
    /// Their name.
    pub name: String,
    /// What they may do.
    pub roles: Vec<Role>,
    /// The language that they read.
    pub language: String,
    /// Each skill that the kitchen knows or that was told of them.
    pub skills: Vec<SkillView>,
    /// Practice sessions that were passed, and all of them.
    pub practice: (u32, u32),
}

/// A skill of somebody.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SkillView {
    /// Its name.
    pub skill: String,
    /// Whether they may do it alone.
    pub alone: bool,
    /// Why.
    #[serde(flatten)]
    pub why: Why,
    /// Events that it rests on.
    pub evidence: Vec<String>,
}

impl PeopleView {
    /// Everybody at a moment. `skills`: those of the kitchen file.
    pub fn new(people: &People, skills: &BTreeSet<String>, at_ms: i64, settings: Settings) -> Self {
        let of = |name: &String| {
            let person = &people.persons()[name];
            let mut known = skills.clone();
            known.extend(person.trained.iter().map(|(_, _, skill, _)| skill.clone()));
            let counted = |passed: bool| {
                let all = person.practised.iter().filter(|(named, ..)| people.counts(named));
                all.filter(|(.., session)| session.passed || !passed).count() as u32
            };
            PersonView {
                name: name.clone(),
                roles: people.roles(name, at_ms).to_vec(),
                language: person.language.clone(),
                practice: (counted(true), counted(false)),
                skills: known
                    .into_iter()
                    .map(|skill| {
                        let alone = people.may_alone(name, &skill, at_ms, settings);
                        SkillView { alone: alone.may, why: alone.why, evidence: alone.evidence, skill }
                    })
                    .collect(),
            }
        };
        Self {
            people: people.persons().keys().map(of).collect(),
            watched_needed: settings.watched,
            practice_needed: settings.practice,
            lapses_days: settings.lapses_days,
        }
    }
}
