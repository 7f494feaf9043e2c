//! How long steps took whom, out of begun and ended events: for planning, never for ranking.

use std::collections::{BTreeMap, BTreeSet};

use ft_odds::lengths::Run;
use ft_record::{Event, Fact};

/// Said wherever step lengths are collected or shown.
pub const NOTICE: &str = "How long steps take you is used to plan nights, and for nothing else: never to compare or to \
     rank people. You can have your figures printed, and have them erased.";

/// The same in Spanish.
pub const NOTICE_ES: &str = "Lo que tarda usted en cada paso sirve para planear las noches y para nada más: nunca para \
     comparar ni clasificar a las personas. Puede pedir sus cifras y que se borren.";

/// Longest length that is believed, minutes: longer ones were forgotten to be told.
///
/// Source: none, our choice.
const LONGEST_MIN: f64 = 120.0;

/// Step lengths out of the record; empty where the kitchen's setting says not to collect.
#[derive(Debug, Clone, Default)]
pub struct StepLengths {
    is_kept: bool,
    /// By run, machine and step: who began it, when, and by which event.
    begun: BTreeMap<(String, String, String), (String, i64, String)>,
    /// In the order in which they ended.
    runs: Vec<Timed>,
    counts: BTreeMap<(String, String), u32>,
    /// Whose lengths were erased, up to when.
    erased: BTreeMap<String, i64>,
    corrected: BTreeSet<String>,
}

/// A step that was timed.
#[derive(Debug, Clone)]
struct Timed {
    ended_ms: i64,
    /// The events that tell its beginning and its end.
    events: [String; 2],
    run: Run,
}

impl StepLengths {
    /// Nothing yet. `is_kept`: the kitchen's setting.
    pub fn new(is_kept: bool) -> Self {
        Self { is_kept, ..Self::default() }
    }

    /// Takes in an event, in the order in which they happened. A step of the core form begins with `NAME@start` and
    /// ends with `NAME@end`; one that somebody else ended is left out.
    pub fn apply(&mut self, event: &Event) {
        match &event.fact {
            Fact::LengthsErased { who } => {
                self.erased.insert(who.clone(), event.at_ms);
                self.runs.retain(|timed| timed.run.person != *who);
                self.begun.retain(|_, (begun_by, ..)| begun_by != who);
                self.counts.retain(|(person, _), _| person != who);
            }
            Fact::Corrected { of, .. } => {
                self.corrected.insert(of.clone());
                self.runs.retain(|timed| !timed.events.contains(of));
                self.begun.retain(|_, (_, _, event)| event != of);
            }
            Fact::Happened { event: name } if self.is_kept && !self.corrected.contains(&event.id) => {
                self.happened(event, name);
            }
            _ => {}
        }
    }

    /// Runs as the planner's lengths are learned from ([`ft_odds::lengths::Lengths::learn`]).
    pub fn runs(&self) -> Vec<Run> {
        self.runs.iter().map(|timed| timed.run.clone()).collect()
    }

    /// Everything that is kept of somebody, as a table (CSV) to hand to them.
    pub fn export(&self, who: &str) -> String {
        let mut text = String::from("ended_ms,step,number,minutes\n");
        for Timed { ended_ms, run, .. } in self.runs.iter().filter(|timed| timed.run.person == who) {
            let step = run.step.replace('"', "\"\"");
            text.push_str(&format!("{ended_ms},\"{step}\",{},{:.3}\n", run.number, run.minutes));
        }
        text
    }

    fn happened(&mut self, event: &Event, name: &str) {
        let (Some(run), Some(machine), Some(person)) = (&event.run, &event.machine, &event.person) else {
            return;
        };
        if self.erased.get(person).is_some_and(|erased| event.at_ms <= *erased) {
            return;
        }
        let key = |step: &str| (run.clone(), machine.clone(), step.to_owned());
        if let Some(step) = name.strip_suffix("@start") {
            self.begun.insert(key(step), (person.clone(), event.at_ms, event.id.clone()));
        } else if let Some(step) = name.strip_suffix("@end")
            && let Some((begun_by, begun_ms, began)) = self.begun.remove(&key(step))
        {
            let minutes = (event.at_ms - begun_ms) as f64 / 60_000.0;
            if begun_by != *person || !(0.0 < minutes && minutes <= LONGEST_MIN) {
                return;
            }
            let step = format!("{machine}/{step}");
            let number = self.counts.entry((person.clone(), step.clone())).or_default();
            *number += 1;
            self.runs.push(Timed {
                ended_ms: event.at_ms,
                events: [began, event.id.clone()],
                run: Run { step, person: person.clone(), number: *number, minutes },
            });
        }
    }
}
