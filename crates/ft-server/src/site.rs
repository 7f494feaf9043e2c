//! The running site: the record, what is kept in mind of it, the night, and everybody who listens.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, RwLock, RwLockReadGuard};

use axum::body::Bytes;
use ft_app::Source;
use ft_app::tonight::{Asked, NoNight, tonight};
use ft_night::Plan;
use ft_plan::Budget;
use ft_record::{Event, Fact, Installed, Stored, VERSION};
use ft_run::Run;
use ft_store::{Accepted, Head, Store, StoreError};
use tokio::sync::broadcast;

use crate::api::stream;
use crate::config::Config;
use crate::current::Current;
use crate::ids;
use crate::known::Known;
use crate::metrics::Metrics;
use crate::planner;
use crate::probes::Probes;
use crate::problem::Problem;
use crate::sessions::Sessions;
use crate::tls::Trust;

/// Languages in which plans are sent.
pub const LANGUAGES: [&str; 2] = ["en", "es"];
/// Somebody may be so late before the rest is planned anew. Source: none, our choice.
const LATE_S: i64 = 180;
/// Messages that a slow listener may be behind before it reads the record instead.
const BEHIND: usize = 1024;
/// Events that are read from the record at once.
const PAGE: usize = 500;

/// Gives the text of a file of the kitchen by the name that the kitchen file uses; the kitchen file itself for `None`.
pub type Read = dyn Fn(Option<&str>) -> Result<Source, String> + Send + Sync;

/// Something for everybody who listens.
#[derive(Debug, Clone)]
pub enum News {
    /// An event was stored: its place, and the message.
    Stored(u64, Bytes),
    /// There is another plan: the message in each language.
    Plan(Arc<BTreeMap<&'static str, Bytes>>),
    /// What probes show now: the message.
    Probes(Bytes),
    /// The server ends.
    End,
}

/// The site.
pub struct Site {
    /// How it runs.
    pub config: Config,
    /// The record.
    pub store: Store,
    /// What is measured.
    pub metrics: Metrics,
    /// The certificate, where it has one.
    pub trust: Option<Trust>,
    /// The probes; none where the site has none.
    pub probes: Probes,
    /// Who listens.
    pub news: broadcast::Sender<News>,
    /// The record's random name.
    pub epoch: String,
    read: Box<Read>,
    known: RwLock<Known>,
    current: RwLock<Current>,
    sessions: Mutex<Sessions>,
    /// The code of the first start; `None` once somebody is set up.
    code: Mutex<Option<String>>,
    device: String,
    /// Held by whoever makes events for the server's own device, so that its numbers have no gap.
    own: Mutex<()>,
    /// Held by whoever reads on in the record, so that everybody hears of events in their order.
    reading: Mutex<()>,
    /// What the morning keeps in mind.
    desk: Mutex<crate::morning::Desk>,
    /// Whether the record's chain is whole.
    pub chain: crate::chain::Chain,
    /// Tries of PINs go one at a time: each takes 19 MiB.
    pub trying: Mutex<()>,
    /// Asks for the rest of the night to be planned anew.
    again: planner::Ask,
}

/// Why the site does not start.
#[derive(Debug)]
pub enum NoSite {
    /// The record.
    Store(StoreError),
    /// There is no plan.
    Night(NoNight),
    /// A machine cannot be run: its name, and why.
    Machine(String, Vec<String>),
    /// A file cannot be read.
    File(String),
    /// The address cannot be listened on.
    Listen(std::io::Error),
    /// The certificate.
    Certificate(String),
    /// The probes' file names what the kitchen does not have.
    Probes(Vec<ft_diag::Problem>),
}

impl From<StoreError> for NoSite {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

impl Site {
    /// Opens the record, plans tonight, and takes up the night that was open.
    ///
    /// # Errors
    /// [`NoSite`].
    pub fn open(config: Config, read: Box<Read>, trust: Option<Trust>) -> Result<Arc<Self>, NoSite> {
        let store = Store::open(&config.store)?;
        let head = store.head()?;
        // Both are read once at the start, so that no page has to wait for years of record.
        let (mut known, mut desk) = (Known::default(), crate::morning::Desk::default());
        let mapping = config.probes.as_ref().map(|probes| &probes.read.mapping);
        let probes = mapping.map_or_else(Probes::default, |mapping| Probes::of(mapping, ids::now_ms()));
        loop {
            let page = store.since(known.seq, PAGE)?;
            for stored in &page {
                known.take(stored);
                desk.take(stored);
                probes.resume(&stored.event);
            }
            if page.len() < PAGE {
                break;
            }
        }
        let current = match known.runs.last().filter(|run| !run.is_signed) {
            Some(open) => taken_up(&store, &open.id, &config, &*read)?,
            None => planned(&config, &*read, &config.procedure, None)?,
        };
        if let Some(probes) = &config.probes {
            let problems = ft_probe::check_places(&probes.read, &places(&current));
            if !problems.is_empty() {
                return Err(NoSite::Probes(problems));
            }
        }
        let sessions = Sessions::read(&store, config.session_min, ids::now_ms())?;
        let device = if let Some(device) = store.get("server", "device")? {
            device
        } else {
            let device = format!("server-{}", ids::uuid7(ids::now_ms()));
            store.put("server", "device", &device)?;
            device
        };
        let is_new = known.people.is_empty();
        let (again, asked) = planner::ask();
        let site = Arc::new(Self {
            news: broadcast::channel(BEHIND).0,
            metrics: Metrics::default(),
            probes,
            epoch: head.epoch,
            read,
            known: RwLock::new(known),
            current: RwLock::new(current),
            sessions: Mutex::new(sessions),
            code: Mutex::new(is_new.then(ids::one_time_code)),
            device,
            own: Mutex::new(()),
            reading: Mutex::new(()),
            desk: Mutex::new(desk),
            chain: crate::chain::Chain::default(),
            trying: Mutex::new(()),
            again,
            trust,
            store,
            config,
        });
        planner::start(&site, asked);
        site.expect();
        Ok(site)
    }

    /// Works out ahead what the machines should have gone through, so that whoever asks whether they may serve does not
    /// wait for it. What goes wrong here is told to whoever asks.
    fn expect(&self) {
        if let Ok(mut desk) = self.desk() {
            let _ = desk.decisions(&self.store, &self.current(), ids::now_ms());
        }
    }

    /// What is kept in mind.
    pub fn known(&self) -> RwLockReadGuard<'_, Known> {
        self.known.read().unwrap_or_else(PoisonError::into_inner)
    }

    /// The night.
    pub fn current(&self) -> RwLockReadGuard<'_, Current> {
        self.current.read().unwrap_or_else(PoisonError::into_inner)
    }

    /// Who is signed in.
    pub fn sessions(&self) -> MutexGuard<'_, Sessions> {
        self.sessions.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What the morning keeps in mind, read on to the end of the record.
    ///
    /// # Errors
    /// [`Problem`] of the store.
    pub fn desk(&self) -> Result<MutexGuard<'_, crate::morning::Desk>, Problem> {
        let mut desk = self.desk.lock().unwrap_or_else(PoisonError::into_inner);
        desk.read_on(&self.store)?;
        Ok(desk)
    }

    /// The code of the first start.
    pub fn code(&self) -> MutexGuard<'_, Option<String>> {
        self.code.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The end of the record.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn head(&self) -> Result<Head, StoreError> {
        self.store.head()
    }

    /// Stores events; when this returns they are durable, and everybody who listens has been told.
    ///
    /// # Errors
    /// [`StoreError`]: nothing was stored.
    pub fn append(&self, events: Vec<Event>) -> Result<Vec<Accepted>, StoreError> {
        let began = std::time::Instant::now();
        let accepted = self.store.append(events, ids::now_ms())?;
        self.metrics.stored(accepted.iter().filter(|one| one.is_new).count(), began.elapsed());
        self.read_on()?;
        Ok(accepted)
    }

    /// Says something as the server itself; gives the event's id.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn say(&self, fact: Fact, person: Option<String>, run: Option<String>) -> Result<String, StoreError> {
        let _own = self.own.lock().unwrap_or_else(PoisonError::into_inner);
        let event = self.own_event(ids::now_ms(), fact, person, run);
        let id = event.id.clone();
        self.append(vec![event])?;
        Ok(id)
    }

    /// Says something of a machine as the server itself; gives the event's id.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn say_of(
        &self,
        machine: &str,
        fact: Fact,
        person: Option<String>,
        run: Option<String>,
    ) -> Result<String, StoreError> {
        let _own = self.own.lock().unwrap_or_else(PoisonError::into_inner);
        let mut event = self.own_event(ids::now_ms(), fact, person, run);
        event.machine = Some(machine.to_owned());
        let id = event.id.clone();
        self.append(vec![event])?;
        Ok(id)
    }

    /// Says several things at once as the server itself, each of its own moment and perhaps of a machine.
    ///
    /// # Errors
    /// [`StoreError`]: none of them is stored.
    pub fn tell(&self, facts: Vec<(i64, Option<String>, Fact)>) -> Result<(), StoreError> {
        let _own = self.own.lock().unwrap_or_else(PoisonError::into_inner);
        let mut events = Vec::new();
        for (count, (at_ms, machine, fact)) in facts.into_iter().enumerate() {
            let event = self.own_event(ids::now_ms(), fact, None, None);
            events.push(Event { at_ms, machine, order: event.order + count as u64, ..event });
        }
        self.append(events).map(|_| ())
    }

    /// Takes what is new in the record into mind, and tells everybody, in the record's order.
    fn read_on(&self) -> Result<(), StoreError> {
        let _reading = self.reading.lock().unwrap_or_else(PoisonError::into_inner);
        loop {
            let seq = self.known().seq;
            let page = self.store.since(seq, PAGE)?;
            let is_last = page.len() < PAGE;
            {
                let mut known = self.known.write().unwrap_or_else(PoisonError::into_inner);
                for stored in &page {
                    known.take(stored);
                }
            }
            for stored in &page {
                self.probes.apply(&stored.event);
            }
            let messages: Vec<News> =
                page.iter().map(|stored| News::Stored(stored.seq, stream::stored(stored))).collect();
            self.take(page);
            for message in messages {
                // Nobody listening is no error.
                let _ = self.news.send(message);
            }
            if is_last {
                return Ok(());
            }
        }
    }

    /// Takes events of the open night; where they leave the plan, the rest is planned anew beside it.
    fn take(&self, page: Vec<Stored>) {
        let mut current = self.current.write().unwrap_or_else(PoisonError::into_inner);
        let of_run: Vec<Stored> = page.into_iter().filter(|stored| current.has(&stored.event)).collect();
        if of_run.is_empty() {
            return;
        }
        let is_off = of_run.iter().any(|stored| current.is_off_plan(&stored.event, LATE_S));
        current.take(of_run);
        if is_off && !current.is_signed() {
            self.again.ask();
        }
    }

    /// Plans the rest of the night anew. Nothing waits for it: a tick that comes meanwhile is taken by the old plan, and
    /// asks again where it leaves that.
    pub fn plan_again(&self) {
        self.metrics.replans.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        let again = self.current().again(ids::now_ms());
        let Some(plan) = again.planned() else { return };
        let told = {
            let mut current = self.current.write().unwrap_or_else(PoisonError::into_inner);
            if !again.is_of(&current) || current.is_signed() {
                return;
            }
            current.follow(plan);
            current.sheets.iter().map(|(code, sheet)| (*code, stream::plan(sheet))).collect()
        };
        // Nobody listening is no error.
        let _ = self.news.send(News::Plan(Arc::new(told)));
    }

    /// Opens a night.
    ///
    /// # Errors
    /// [`Problem`]: one is open already, or there is no plan.
    pub fn open_run(&self, who: &str, procedure: &str, here: Option<&[String]>) -> Result<String, Problem> {
        let open = || {
            let current = self.current();
            current.id.clone().filter(|_| !current.is_signed())
        };
        if let Some(id) = open() {
            return Err(Problem::conflict(
                "W0411",
                "A night is open already.",
                format!("Sign the night {id} first, or go on with it."),
            ));
        }
        let _own = self.own.lock().unwrap_or_else(PoisonError::into_inner);
        if !self.is_planned(procedure, here) {
            let night = planned(&self.config, &*self.read, procedure, here).map_err(NoSite::problem)?;
            let mut current = self.current.write().unwrap_or_else(PoisonError::into_inner);
            if current.id.is_none() || current.is_signed() {
                *current = night;
            }
        }
        if let Some(id) = open() {
            return Err(Problem::conflict("W0411", "A night is open already.", format!("Go on with {id}.")));
        }
        let (fact, kept) = {
            let current = self.current();
            if !current.plan.is_plan() {
                return Err(Problem::conflict(
                    "W0412",
                    "There is no plan for this night.",
                    "Ask for other people, or more time.",
                ));
            }
            // The texts lie on the shelf before the night begins: it goes on with what was proved.
            let kitchen = (self.read)(None).map_err(|error| NoSite::File(error).problem())?;
            for live in &current.run.machines {
                self.store.put("file", &sha256(&live.ready.source.text), &live.ready.source.text)?;
            }
            self.store.put("file", &sha256(&kitchen.text), &kitchen.text)?;
            let fact = Fact::RunOpened {
                procedure: procedure.to_owned(),
                machines: current.run.machines.iter().map(installed).collect(),
                people: current.crew.clone(),
                out_by_ms: None,
            };
            (fact, Kept { kitchen: sha256(&kitchen.text), begins_ms: 0, plan: current.plan.clone() })
        };
        let now = ids::now_ms();
        let event = self.own_event(now, fact, Some(who.to_owned()), None);
        let id = event.id.clone();
        let kept = Kept { begins_ms: now, ..kept };
        self.store.put("night", &id, &serde_json::to_string(&kept).expect("a plan is JSON"))?;
        {
            let mut current = self.current.write().unwrap_or_else(PoisonError::into_inner);
            current.begin(&id, now);
        }
        if let Err(error) = self.append(vec![event]) {
            // It was not opened: what could be is there again.
            self.current.write().unwrap_or_else(PoisonError::into_inner).id = None;
            return Err(error.into());
        }
        self.expect();
        Ok(id)
    }

    /// Whether the night that could be is the one that is asked for, from the texts as they are now.
    fn is_planned(&self, procedure: &str, here: Option<&[String]>) -> bool {
        let current = self.current();
        let same_people = match here {
            None => true,
            Some(here) => {
                here.len() == current.crew.len() && here.iter().all(|name| current.crew.contains(name))
            }
        };
        let same_texts = || {
            current.run.machines.iter().all(|live| {
                let installed =
                    current.run.kitchen.machines.iter().find(|one| one.named.name == live.ready.name);
                let read = installed.and_then(|one| (self.read)(Some(&one.file)).ok());
                read.is_some_and(|source| source.text == live.ready.source.text)
            })
        };
        let same_kitchen = || {
            let text = (self.read)(None).map(|source| source.text);
            text.is_ok_and(|text| {
                ft_compile::read(&text).0.kitchen.is_some_and(|kitchen| {
                    // Who is here was chosen above; all else must be as it was planned.
                    kitchen.hours == current.run.kitchen.hours
                        && kitchen.machines == current.run.kitchen.machines
                        && (here.is_some() || kitchen.people == current.run.kitchen.people)
                })
            })
        };
        current.id.is_none()
            && current.procedure == procedure
            && same_people
            && same_texts()
            && same_kitchen()
    }

    /// An event of the server's own device; `own` must be held until it is stored.
    fn own_event(&self, now: i64, fact: Fact, person: Option<String>, run: Option<String>) -> Event {
        Event {
            v: VERSION,
            id: ids::uuid7(now),
            device: self.device.clone(),
            order: self.known().last_order(&self.device) + 1,
            at_ms: now,
            zone: "Etc/UTC".to_owned(),
            person,
            run,
            machine: None,
            fact,
        }
    }

    /// Plans the same procedure with other people, and changes nothing.
    ///
    /// # Errors
    /// [`Problem`]: there is no such plan.
    pub fn other_people(&self, here: &[String]) -> Result<Current, Problem> {
        let procedure = self.current().procedure.clone();
        planned(&self.config, &*self.read, &procedure, Some(here)).map_err(NoSite::problem)
    }
}

impl NoSite {
    /// What a request is told.
    pub fn problem(self) -> Problem {
        match self {
            Self::Store(error) => error.into(),
            Self::Night(NoNight::Trouble(source, trouble)) => {
                let (wrong, remedy) = match trouble {
                    ft_app::Trouble::Choice(wrong, remedy) => (wrong, remedy),
                    ft_app::Trouble::Problems(problems) => {
                        let first = problems.first().map(|problem| problem.message.clone());
                        (first.unwrap_or_default(), "Look at the file's page: it shows the place.".into())
                    }
                    ft_app::Trouble::Form(sentences) => (sentences.join("; "), String::new()),
                };
                Problem::bad("W0422", format!("{}: {wrong}", source.name), remedy)
            }
            Self::Night(NoNight::Unsafe(machine, story)) => Problem::conflict(
                "W0413",
                format!("{machine}: its card is not safe, so nothing is planned. {}", story.join(" ")),
                "`fulltray repair` shows which order would make it safe.",
            ),
            Self::Night(NoNight::TooLarge(machine)) => Problem::conflict(
                "W0414",
                format!("{machine}: it could not be proved within the limits."),
                "Leave the machine out, or shorten its card.",
            ),
            Self::Night(NoNight::Broken(rules)) => Problem::new(
                axum::http::StatusCode::INTERNAL_SERVER_ERROR,
                "W0500",
                format!("The plan broke a rule and is not shown: {}", rules.join("; ")),
                "This is an error of the program: report it with the kitchen file.",
            ),
            Self::Machine(machine, why) => Problem::conflict(
                "W0413",
                format!("{machine}: it is not safe with these wash loads: {}", why.join("; ")),
                "Plan again with another seed, or report it with the machine file.",
            ),
            Self::File(error) => Problem::conflict("W0415", error, "Put the file back where it was."),
            Self::Probes(problems) => {
                let first = problems.into_iter().next();
                let (wrong, remedy) =
                    first.map_or_else(Default::default, |p| (p.message, p.remedy.unwrap_or_default()));
                Problem::conflict("W0418", wrong, remedy)
            }
            Self::Listen(error) => Problem::conflict("W0416", error.to_string(), "Name another address."),
            Self::Certificate(error) => {
                Problem::conflict("W0417", error, "Look at the certificate's folder.")
            }
        }
    }
}

/// What a probe can stand at: the kitchen's places, its machines, and their vessels as the record names them.
fn places(current: &Current) -> ft_probe::Places {
    let run = &current.run;
    let mut places = ft_probe::Places {
        places: run.kitchen.places.iter().map(|place| place.name.clone()).collect(),
        machines: run.kitchen.machines.iter().map(|one| (one.named.name.clone(), BTreeSet::new())).collect(),
    };
    for live in &run.machines {
        let Some(machine) = live.ready.file.machine.as_ref() else { continue };
        let vessels = places.machines.entry(live.ready.name.clone()).or_default();
        for vessel in machine.vessels.iter().filter(|vessel| !vessel.kit) {
            if vessel.named.per_side {
                let sides = machine.sides.iter().map(|side| format!("{} ({})", vessel.named.name, side.name));
                vessels.extend(sides);
            } else {
                vessels.insert(vessel.named.name.clone());
            }
        }
    }
    places
}

/// What is kept of an open night beside the record, to go on with it after a restart.
#[derive(serde::Serialize, serde::Deserialize)]
struct Kept {
    kitchen: String,
    begins_ms: i64,
    plan: Plan,
}

/// SHA-256 of a text, lower case hex.
pub fn sha256(text: &str) -> String {
    ids::fingerprint(text)
}

fn installed(live: &ft_run::Live) -> Installed {
    let machine = live.ready.file.machine.as_ref();
    let option = |option: &usize| machine.map(|machine| machine.options[*option].name.clone());
    Installed {
        machine: live.ready.name.clone(),
        file_sha256: sha256(&live.ready.source.text),
        fitted: live.ready.variant.options.iter().filter_map(option).collect(),
        due: live.ready.variant.due,
        loads: live
            .loads
            .iter()
            .map(|(_, parts)| parts.iter().map(|(part, side)| live.part_ref(*part, *side)).collect())
            .collect(),
    }
}

/// Tonight, planned and brought to life.
fn planned(
    config: &Config,
    read: &Read,
    procedure: &str,
    here: Option<&[String]>,
) -> Result<Current, NoSite> {
    let kitchen = read(None).map_err(NoSite::File)?;
    let budget = Budget::units(config.work, 1);
    let asked = Asked { kitchen, procedure, budget, language: "en", here };
    let night = tonight(&asked, &|name: &str| read(Some(name))).map_err(NoSite::Night)?;
    let plan = night.plan.clone();
    let run = Run::of(night).map_err(|not| NoSite::Machine(not.machine, not.why))?;
    Ok(Current::new(None, procedure, ids::now_ms(), run, plan))
}

/// The night that was open when the server ended: from the texts that it was proved with and its plan.
fn taken_up(store: &Store, id: &str, config: &Config, read: &Read) -> Result<Current, NoSite> {
    let events = store.run(id)?;
    let opened = events.iter().find(|stored| stored.event.id == id).map(|stored| &stored.event);
    let Some((Fact::RunOpened { procedure, machines, people, .. }, at_ms)) =
        opened.map(|event| (event.fact.clone(), event.at_ms))
    else {
        return planned(config, read, &config.procedure, None);
    };
    let kept: Option<Kept> = store.get("night", id)?.and_then(|text| serde_json::from_str(&text).ok());
    let kitchen = match kept.as_ref().map(|kept| store.get("file", &kept.kitchen)).transpose()?.flatten() {
        Some(text) => Source { name: "kitchen".into(), text },
        None => read(None).map_err(NoSite::File)?,
    };
    let kitchen_file = ft_compile::read(&kitchen.text).0;
    let mut texts: BTreeMap<String, String> = BTreeMap::new();
    for machine in kitchen_file.kitchen.iter().flat_map(|kitchen| &kitchen.machines) {
        let proved = machines.iter().find(|one| one.machine == machine.named.name);
        if let Some(text) = proved.map(|one| store.get("file", &one.file_sha256)).transpose()?.flatten() {
            texts.insert(machine.file.clone(), text);
        }
    }
    let text = |name: &str| match texts.get(name) {
        Some(text) => Ok(Source { name: name.to_owned(), text: text.clone() }),
        None => read(Some(name)),
    };
    // With a plan that was kept, one schedule is built for its problem alone.
    let budget = Budget::units(if kept.is_some() { 1 } else { config.work }, 1);
    let asked = Asked { kitchen, procedure: &procedure, budget, language: "en", here: Some(&people) };
    let mut night = tonight(&asked, &text).map_err(NoSite::Night)?;
    let begins_ms = kept.as_ref().map_or(at_ms, |kept| kept.begins_ms);
    if let Some(kept) = kept {
        night.plan = kept.plan;
    }
    let plan = night.plan.clone();
    let run = Run::of(night).map_err(|not| NoSite::Machine(not.machine, not.why))?;
    let mut current = Current::new(Some(id.to_owned()), &procedure, begins_ms, run, plan);
    current.take(events);
    if let Some(plan) = current.again(ids::now_ms()).planned() {
        current.follow(plan);
    }
    Ok(current)
}
