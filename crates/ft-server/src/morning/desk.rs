//! What the morning keeps in mind of the record: folds that are read on before each question.

use std::collections::BTreeMap;

use ft_app::morning::{Made, expected};
use ft_app::wear::Replacements;
use ft_lots::{InventoryView, Limits, Predicted};
use ft_machine::Step;
use ft_morning::{Inspections, Kept, Logs, Place, Sessions};
use ft_pages::Language;
use ft_people::StepLengths;
use ft_record::{Fact, Installed, Stored};
use ft_release::{Decision, Expected, Morning, Settings, may_it_serve};
use ft_rules::{Stack, shipped_named};
use ft_store::Store;
use jiff::tz::TimeZone;

use crate::current::Current;
use crate::problem::Problem;
use crate::site::sha256;

/// The rule set by which dates are judged. Source: none, our choice; the page names it with each date.
const RULES: &str = "us-food-code";
/// Events that are read from the record at once.
const PAGE: usize = 500;

/// Each machine with the text of its file as it is now, in the kitchen's order.
pub type Files = Vec<(String, String)>;

/// Whether a machine was released, by whom, and when.
pub type Said = (bool, Option<String>, i64);

/// Steps that need a skill: machine, title of the step, skill.
type Skilled = Vec<[String; 3]>;

/// The folds.
#[derive(Default)]
pub struct Desk {
    seq: u64,
    /// What release, lots and people need.
    pub morning: Morning,
    /// Practice sessions, by person.
    pub sessions: BTreeMap<String, Sessions>,
    /// What was seen of parts since the last closing, by machine.
    pub seen: BTreeMap<String, Inspections>,
    /// By machine: who released or refused it last, and when.
    pub said: BTreeMap<String, Said>,
    /// Places that lots were put.
    pub places: Vec<String>,
    /// Readings that somebody took.
    pub readings: crate::product::Readings,
    /// Logged temperatures.
    pub logs: Logs,
    /// Replacements of parts.
    pub replaced: Replacements,
    /// How long steps took whom, whether or not that is used.
    pub lengths: StepLengths,
    /// What needs a skill.
    skilled: Skilled,
    /// By who, machine and event: when they did it last.
    did: BTreeMap<(String, String, String), i64>,
    /// Expectations, by machine, files, and runs.
    expected: BTreeMap<String, (String, Expected)>,
}

impl Desk {
    /// Nothing read yet.
    pub fn new() -> Self {
        Self { lengths: StepLengths::new(true), ..Self::default() }
    }

    /// Takes what is new in the record.
    ///
    /// # Errors
    /// [`Problem`] of the store.
    pub fn read_on(&mut self, store: &Store) -> Result<(), Problem> {
        loop {
            let page = store.since(self.seq, PAGE)?;
            for stored in &page {
                self.take(stored);
            }
            if page.len() < PAGE {
                return Ok(());
            }
        }
    }

    /// Takes the next event of the record.
    pub fn take(&mut self, stored: &Stored) {
        self.seq = stored.seq;
        let event = &stored.event;
        self.morning.apply(event);
        self.readings.take(event);
        self.logs.apply(event);
        self.replaced.apply(event);
        self.lengths.apply(event);
        if let Some(machine) = &event.machine {
            self.seen.entry(machine.clone()).or_default().apply(event);
        }
        match &event.fact {
            // What is taken apart again is looked at again.
            Fact::RunOpened { procedure, machines, .. } if procedure == "closing" => {
                for installed in machines {
                    self.seen.remove(&installed.machine);
                }
            }
            Fact::Happened { event: name } => {
                if let (Some(who), Some(machine)) = (&event.person, &event.machine) {
                    let last = self.did.entry((who.clone(), machine.clone(), name.clone())).or_default();
                    *last = (*last).max(event.at_ms);
                    let used = self.skilled.iter().filter(|skilled| is_of(machine, name, skilled));
                    used.for_each(|[.., skill]| self.morning.used(who, skill, event.at_ms));
                }
            }
            Fact::Practised { session } => {
                self.sessions.entry(session.who.clone()).or_default().apply(event, &session.who);
            }
            Fact::Released { .. } | Fact::Refused { .. } => {
                if let Some(machine) = &event.machine {
                    let is_yes = matches!(event.fact, Fact::Released { .. });
                    self.said.insert(machine.clone(), (is_yes, event.person.clone(), event.at_ms));
                }
            }
            Fact::Stored { place, .. } if !self.places.contains(place) => self.places.push(place.clone()),
            _ => {}
        }
    }

    /// Takes in which steps need which skill, as the machine files say it now: practice of them counts for it, and doing
    /// them keeps it from lapsing.
    pub fn skilled(&mut self, current: &Current) {
        let mut skilled = Skilled::new();
        for live in &current.run.machines {
            let steps = live.ready.file.procedures.iter().flat_map(|procedure| &procedure.steps);
            let of = |step: &Step| {
                Some([&live.ready.name, &step.named.name, step.skill.as_ref()?].map(String::clone))
            };
            skilled.extend(steps.filter_map(of));
        }
        if self.skilled == skilled {
            return;
        }
        for live in &current.run.machines {
            let of = skilled.iter().filter(|[machine, ..]| *machine == live.ready.name);
            let skills = of.map(|[.., skill]| skill.clone()).collect();
            self.morning.asks_for(&live.ready.name, skills);
        }
        for ((who, machine, name), at_ms) in &self.did {
            let used = skilled.iter().filter(|skilled| is_of(machine, name, skilled));
            used.for_each(|[.., skill]| self.morning.used(who, skill, *at_ms));
        }
        self.skilled = skilled;
    }

    /// What the temperatures mean for what is held at a moment, by place.
    pub fn kept(&self, at_ms: i64) -> BTreeMap<String, Kept> {
        let books = self.morning.books();
        let inventory = InventoryView::new(books, at_ms, &limits(at_ms), &BTreeMap::new());
        ft_morning::kept(books, &inventory, &self.logs, &ft_growth::shipped())
    }

    /// Dates that the temperatures shorten, by place.
    pub fn predicted(&self, at_ms: i64) -> BTreeMap<String, Predicted> {
        ft_morning::predicted(&self.kept(at_ms))
    }

    /// What every machine of the kitchen may do at a moment.
    ///
    /// # Errors
    /// [`Problem`]: a machine file of a run cannot be had.
    pub fn decisions(&mut self, store: &Store, files: &Files, at_ms: i64) -> Result<Vec<Decision>, Problem> {
        files.iter().map(|(name, _)| Ok(self.decide(store, files, name, at_ms)?.0)).collect()
    }

    /// What a machine of the kitchen may do at a moment, and what it should have gone through.
    ///
    /// # Errors
    /// [`Problem`]: a machine file of a run cannot be had.
    pub fn decide(
        &mut self,
        store: &Store,
        files: &Files,
        name: &str,
        at_ms: i64,
    ) -> Result<(Decision, &Expected), Problem> {
        self.expect(store, files, name)?;
        let (_, expected) = &self.expected[name];
        let settings = Settings::default();
        Ok((may_it_serve(&self.morning, expected, &limits(at_ms), &settings, at_ms), expected))
    }

    /// Works out what a machine should have gone through, where that is not known for these runs yet.
    fn expect(&mut self, store: &Store, files: &Files, name: &str) -> Result<(), Problem> {
        let installed = |procedure: &str| -> Option<&Installed> {
            let run = self.morning.last_run(name, procedure)?;
            run.machines.iter().find(|installed| installed.machine == name)
        };
        let (closing, opening) = (installed("closing"), installed("opening"));
        let now = files.iter().find(|(of, _)| of == name).map(|(_, text)| text);
        let now = now.ok_or_else(|| Problem::no_such("There is no such machine."))?;
        let text_of = |installed: Option<&Installed>| -> Result<String, Problem> {
            match installed {
                Some(installed) => {
                    let kept = store.get("file", &installed.file_sha256)?;
                    Ok(kept.unwrap_or_else(|| now.clone()))
                }
                None => Ok(now.clone()),
            }
        };
        let (closing_text, opening_text) = (text_of(closing)?, text_of(opening)?);
        let key = format!("{closing:?}{opening:?}{}{}", sha256(&closing_text), sha256(&opening_text));
        if self.expected.get(name).is_some_and(|(known, _)| *known == key) {
            return Ok(());
        }
        let (closing_file, opening_file) =
            (ft_compile::read(&closing_text).0, ft_compile::read(&opening_text).0);
        let (closing_sha, opening_sha) = (sha256(&closing_text), sha256(&opening_text));
        let made = expected(
            name,
            Made { file: &closing_file, sha256: &closing_sha, installed: closing },
            Made { file: &opening_file, sha256: &opening_sha, installed: opening },
        )
        .map_err(|problems| {
            let first = problems.first().map(|problem| problem.message.clone()).unwrap_or_default();
            Problem::conflict("W0480", format!("{name}: {first}"), "Look at the machine file's page.")
        })?;
        self.expected.insert(name.to_owned(), (key, made));
        Ok(())
    }
}

/// Whether an event of a machine's form is of a step: it is called like it, and then perhaps with its side or its end.
fn is_of(machine: &str, event: &str, [of, title, _]: &[String; 3]) -> bool {
    let rest = event.strip_prefix(title.as_str());
    machine == of
        && rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('@') || rest.starts_with(" ("))
}

/// A sentence on who released or refused a machine last.
pub fn said(site: &ft_morning::Site<'_>, (is_yes, who, at_ms): &Said) -> String {
    let who = who.as_deref().unwrap_or("–");
    let at = site.clock(*at_ms);
    match (site.language, is_yes) {
        (Language::English, true) => format!("Last released by {who}, {at}."),
        (Language::English, false) => format!("Last refused, asked by {who}, {at}."),
        (Language::Spanish, true) => format!("Liberada por última vez por {who}, {at}."),
        (Language::Spanish, false) => format!("Denegada por última vez, a petición de {who}, {at}."),
    }
}

/// Each machine of a kitchen with the text of its file.
pub fn files(current: &Current) -> Files {
    let machines = current.run.machines.iter();
    machines.map(|live| (live.ready.name.clone(), live.ready.source.text.clone())).collect()
}

/// What dates are judged by, where the server is.
pub fn limits(at_ms: i64) -> Limits {
    let zone = TimeZone::system();
    let at = jiff::Timestamp::from_millisecond(at_ms).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
    let day = zone.to_datetime(at).date();
    let stack = Stack::new(shipped_named(RULES), &[], day);
    Limits::of(&stack, zone.clone())
}

/// The kitchen for a page.
pub fn place(current: &Current, language: Language) -> ft_morning::Site<'_> {
    let machines = current.run.machines.iter().filter_map(|live| {
        let machine = live.ready.file.machine.as_ref()?;
        Some(Place { name: &live.ready.name, label: &live.ready.label, machine })
    });
    ft_morning::Site { language, zone: TimeZone::system(), machines: machines.collect() }
}
