//! Whether somebody may do something alone, and why.

use ft_record::{Role, Training};
use serde::Serialize;

use crate::people::{Named, People, Person};

/// What has to come together before somebody does a step alone.
///
/// Source: none, our choice; the kitchen's lead sets them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    /// How often it has to be done under watch.
    pub watched: u32,
    /// Whether a practice session on a machine that needs it has to be passed.
    pub practice: bool,
    /// After how many days without doing it, practising it or being confirmed it lapses.
    pub lapses_days: u32,
}

impl Default for Settings {
    fn default() -> Self {
        Self { watched: 3, practice: true, lapses_days: 180 }
    }
}

/// Whether somebody may do something alone, and the events that say so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Alone {
    /// Whether.
    pub may: bool,
    /// Why.
    pub why: Why,
    /// Events that it rests on.
    pub evidence: Vec<String>,
}

/// Why somebody may or may not do something alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "why")]
pub enum Why {
    /// A trainer or lead said so.
    Confirmed,
    /// Practised and done under watch often enough.
    Learnt,
    /// Nobody of that name works here, or no longer.
    Unknown,
    /// A trainer or lead took it back.
    Withdrawn,
    /// Practice on a machine that needs it is not passed yet.
    NotPractised,
    /// Not done under watch often enough.
    NotWatched {
        /// How often it was.
        done: u32,
        /// How often it has to be.
        needed: u32,
    },
    /// Too long ago.
    Lapsed {
        /// Days since.
        days: u32,
        /// After how many it lapses.
        after: u32,
    },
}

/// How deep a chain of watchers is followed: each must be able to do it alone at the time of the watching.
const DEEPEST: u32 = 8;

impl People {
    /// Whether somebody may do at a moment what needs a skill, alone.
    pub fn may_alone(&self, who: &str, skill: &str, at_ms: i64, settings: Settings) -> Alone {
        self.alone(who, skill, at_ms, settings, DEEPEST)
    }

    fn alone(&self, who: &str, skill: &str, at_ms: i64, settings: Settings, deepest: u32) -> Alone {
        let no = |why, evidence| Alone { may: false, why, evidence };
        let Some(person) = self.persons().get(who) else { return no(Why::Unknown, Vec::new()) };
        if self.roles(who, at_ms).is_empty() {
            return no(Why::Unknown, Vec::new());
        }
        let told: Vec<_> = person
            .trained
            .iter()
            .filter(|(named, by, of, _)| {
                of == skill && named.at_ms <= at_ms && by != who && self.counts(named)
            })
            .collect();
        let said = told.iter().rev().find(|(named, by, _, how)| {
            *how != Training::UnderWatch && self.is_any(by, &[Role::Trainer, Role::Lead], named.at_ms)
        });
        if let Some((named, _, _, Training::Withdrawn)) = said {
            return no(Why::Withdrawn, vec![named.event.clone()]);
        }
        // Sorted by time: what was watched counts from the beginning, also before a confirmation.
        let watched: Vec<&Named> = told
            .iter()
            .filter(|(named, by, _, how)| {
                *how == Training::UnderWatch && self.may_watch(by, skill, named.at_ms, settings, deepest)
            })
            .map(|(named, ..)| named)
            .collect();
        let passed = self.passed(person, skill, at_ms);
        let (why, mut rests_on) = match said {
            Some((named, ..)) => (Why::Confirmed, vec![named]),
            None if settings.practice && passed.is_none() => return no(Why::NotPractised, Vec::new()),
            None if (watched.len() as u32) < settings.watched => {
                let why = Why::NotWatched { done: watched.len() as u32, needed: settings.watched };
                return no(why, watched.iter().map(|named| named.event.clone()).collect());
            }
            None => (Why::Learnt, watched.clone()),
        };
        rests_on.extend(passed);
        let evidence = rests_on.iter().map(|named| named.event.clone()).collect();
        // Watching somebody and being watched keep it fresh as well as doing it.
        let used = person.used_ms.get(skill).copied().filter(|used| *used <= at_ms);
        let last = rests_on.iter().chain(&watched).map(|named| named.at_ms).chain(used).max();
        let days = last.map_or(0, |last| (at_ms - last) / 86_400_000);
        if days > i64::from(settings.lapses_days) {
            return no(Why::Lapsed { days: days as u32, after: settings.lapses_days }, evidence);
        }
        Alone { may: true, why, evidence }
    }

    /// Whether somebody may watch others do it: a trainer or lead, or somebody who may do it alone.
    fn may_watch(&self, who: &str, skill: &str, at_ms: i64, settings: Settings, deepest: u32) -> bool {
        self.is_any(who, &[Role::Trainer, Role::Lead], at_ms)
            || (deepest > 0 && self.alone(who, skill, at_ms, settings, deepest - 1).may)
    }

    /// The last practice session that was passed of what needs a skill: a machine whose steps ask for it.
    fn passed<'a>(&self, person: &'a Person, skill: &str, at_ms: i64) -> Option<&'a Named> {
        let passed = person.practised.iter().rev().find(|(named, machine, session)| {
            session.passed
                && named.at_ms <= at_ms
                && self.counts(named)
                && self.is_practice_of(skill, machine.as_deref())
        });
        passed.map(|(named, ..)| named)
    }
}
