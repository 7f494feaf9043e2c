//! A run as it stands.

use std::collections::BTreeMap;

use ft_form::Form;

use crate::chain::Stored;
use crate::event::Event;
use crate::fact::{Fact, Installed, PartRef, ReadingSource, SignedAs};
use crate::fold::merge::{merged, taken_out};
use crate::fold::moves::{MachineNight, replay};
use crate::fold::parts::{self, PartNow};

/// A run as it stands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Night {
    /// How it began; `None`: that event is not among those that were given.
    pub opened: Option<Opened>,
    /// The machines that have a form.
    pub machines: BTreeMap<String, MachineNight>,
    /// The parts that somebody said something about, by machine.
    pub parts: BTreeMap<String, BTreeMap<PartRef, PartNow>>,
    /// Who came and went.
    pub people: BTreeMap<String, Presence>,
    /// Timers that run, the first to ring first.
    pub timers: Vec<Timer>,
    /// What was measured, in the order of the replay.
    pub readings: Vec<ReadingTaken>,
    /// Who signed, in the order of the replay.
    pub signed: Vec<Signature>,
    /// What counts no more, in the order of the replay.
    pub corrections: Vec<Correction>,
    /// Moves of machines that have no form here: they are kept and shown, and change nothing.
    pub unknown: Vec<Event>,
}

/// How a run began.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opened {
    /// The run's id.
    pub id: String,
    /// The procedure.
    pub procedure: String,
    /// The machines.
    pub machines: Vec<Installed>,
    /// When it should end.
    pub out_by_ms: Option<i64>,
    /// When it began.
    pub at_ms: i64,
    /// Who opened it.
    pub by: Option<String>,
}

/// Whether somebody is here.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Presence {
    /// Since when; the last time that they came.
    pub since_ms: i64,
    /// When they left; `None`: they are here.
    pub left_ms: Option<i64>,
}

/// A timer that runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Timer {
    /// Its machine.
    pub machine: Option<String>,
    /// What it times.
    pub timer: String,
    /// When it was started.
    pub started_ms: i64,
    /// When it rings.
    pub ends_ms: i64,
    /// Who started it.
    pub by: Option<String>,
}

/// Something that was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingTaken {
    /// The record's event.
    pub id: String,
    /// The machine.
    pub machine: Option<String>,
    /// What.
    pub of: String,
    /// The value, in `unit`.
    pub value: f64,
    /// The unit.
    pub unit: String,
    /// The limit that held then.
    pub within: Option<String>,
    /// Whether it was within.
    pub good: Option<bool>,
    /// Where it came from.
    pub source: ReadingSource,
    /// When.
    pub at_ms: i64,
    /// Who.
    pub by: Option<String>,
}

/// Somebody stands for the run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    /// Who.
    pub who: Option<String>,
    /// As what.
    pub r#as: SignedAs,
    /// When.
    pub at_ms: i64,
}

/// An event that counts no more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Correction {
    /// The correcting event.
    pub id: String,
    /// The one that was corrected.
    pub of: String,
    /// Other ticks of the same step, which count no more with it.
    pub with: Vec<String>,
    /// Who.
    pub by: Option<String>,
    /// When.
    pub at_ms: i64,
    /// Why.
    pub because: String,
}

impl Correction {
    /// Whether an event counts no more because of it.
    pub fn takes_out(&self, id: &str) -> bool {
        self.of == id || self.with.iter().any(|other| other == id)
    }
}

/// Works a run out of its events, in whatever order they are given; `forms` are its machines' by name.
pub fn run(forms: &BTreeMap<String, &Form>, events: &[Stored]) -> Night {
    let all = merged(events);
    let out = taken_out(&all);
    let counting: Vec<&Event> =
        all.into_iter().filter(|event| !out.ids.contains(event.id.as_str())).collect();
    let mut night = Night::default();
    for (machine, form) in forms {
        let mine = counting.iter().copied().filter(|event| event.machine.as_ref() == Some(machine));
        night.machines.insert(machine.clone(), replay(form, mine));
    }
    for event in counting {
        night.take(event, forms);
    }
    for correction in &mut night.corrections {
        let with = out.with.get(correction.id.as_str());
        correction.with = with.into_iter().flatten().map(|id| (*id).to_owned()).collect();
    }
    night.timers.sort_by(|one, two| (one.ends_ms, &one.timer).cmp(&(two.ends_ms, &two.timer)));
    night
}

impl Night {
    /// Who is here, by name.
    pub fn present(&self) -> impl Iterator<Item = &str> {
        self.people.iter().filter(|(_, here)| here.left_ms.is_none()).map(|(who, _)| who.as_str())
    }

    /// The parts that are not to be found, with their machine.
    pub fn missing(&self) -> impl Iterator<Item = (&str, &PartRef, &PartNow)> {
        let all = self
            .parts
            .iter()
            .flat_map(|(machine, parts)| parts.iter().map(move |(part, now)| (machine, part, now)));
        all.filter(|(_, _, now)| now.missing).map(|(machine, part, now)| (machine.as_str(), part, now))
    }

    fn take(&mut self, event: &Event, forms: &BTreeMap<String, &Form>) {
        let (by, at_ms) = (event.person.clone(), event.at_ms);
        match &event.fact {
            Fact::RunOpened { procedure, machines, people, out_by_ms } => {
                for who in people {
                    self.come(who, at_ms);
                }
                self.opened.get_or_insert(Opened {
                    id: event.id.clone(),
                    procedure: procedure.clone(),
                    machines: machines.clone(),
                    out_by_ms: *out_by_ms,
                    at_ms,
                    by,
                });
            }
            Fact::Happened { .. } | Fact::Differed { .. } => {
                if event.machine.as_ref().is_none_or(|machine| !forms.contains_key(machine)) {
                    self.unknown.push(event.clone());
                }
            }
            Fact::Corrected { of, because } => self.corrections.push(Correction {
                id: event.id.clone(),
                of: of.clone(),
                with: Vec::new(),
                by,
                at_ms,
                because: because.clone(),
            }),
            Fact::PersonJoined { who } => self.come(who, at_ms),
            Fact::PersonLeft { who } => {
                let here =
                    self.people.entry(who.clone()).or_insert(Presence { since_ms: at_ms, left_ms: None });
                here.left_ms = Some(at_ms);
            }
            Fact::TimerStarted { timer, seconds } => self.start(event, timer, *seconds),
            Fact::TimerStopped { timer } => {
                self.timers.retain(|known| !(known.timer == *timer && known.machine == event.machine));
            }
            Fact::Signed { r#as } => self.signed.push(Signature { who: by, r#as: *r#as, at_ms }),
            Fact::Reading { of, value, unit, within, good, source } => self.readings.push(ReadingTaken {
                id: event.id.clone(),
                machine: event.machine.clone(),
                of: of.clone(),
                value: *value,
                unit: unit.clone(),
                within: within.clone(),
                good: *good,
                source: *source,
                at_ms,
                by,
            }),
            _ => {
                if let Some(machine) = &event.machine {
                    parts::take(self.parts.entry(machine.clone()).or_default(), event);
                }
            }
        }
    }

    fn come(&mut self, who: &str, at_ms: i64) {
        let here = self.people.entry(who.to_owned()).or_insert(Presence { since_ms: at_ms, left_ms: None });
        if here.left_ms.take().is_some() {
            here.since_ms = at_ms;
        }
    }

    /// Two tablets may start the same timer: the later end counts, since waiting longer is safe.
    fn start(&mut self, event: &Event, timer: &str, seconds: u32) {
        let ends_ms = event.at_ms.saturating_add(i64::from(seconds) * 1000);
        let new = Timer {
            machine: event.machine.clone(),
            timer: timer.to_owned(),
            started_ms: event.at_ms,
            ends_ms,
            by: event.person.clone(),
        };
        match self.timers.iter_mut().find(|known| known.timer == timer && known.machine == event.machine) {
            Some(known) if known.ends_ms < ends_ms => *known = new,
            Some(_) => {}
            None => self.timers.push(new),
        }
    }
}
