//! The running site: the record, what is kept in mind of it, the night, and everybody who listens.

mod lengths;
mod night;
mod no_site;

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, RwLock, RwLockReadGuard};

use axum::body::Bytes;
use ft_app::Source;
use ft_record::{Event, Fact, Stored, VERSION};
use ft_store::{Accepted, Head, Store, StoreError};
use tokio::sync::broadcast;

use crate::addresses::Addresses;
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

pub use lengths::are_lengths_used;
use night::{planned, taken_up};
pub use no_site::NoSite;

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
    /// Where wrong PINs come from.
    addresses: Mutex<Addresses>,
    /// Tries of PINs go one at a time: each takes 19 MiB.
    pub trying: Mutex<()>,
    /// Asks for the rest of the night to be planned anew.
    again: planner::Ask,
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
        let (mut known, mut desk) = (Known::default(), crate::morning::Desk::new());
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
        let timed = if are_lengths_used(&store)? { desk.lengths.runs() } else { Vec::new() };
        let current = match known.runs.last().filter(|run| !run.is_signed) {
            Some(open) => taken_up(&store, &open.id, &config, &*read, &timed)?,
            None => planned(&config, &*read, &config.procedure, None, &timed)?,
        };
        if let Some(probes) = &config.probes {
            let problems = ft_probe::check_places(&probes.read, &crate::probes::places(&current));
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
            addresses: Mutex::default(),
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
            let files = crate::morning::files(&self.current());
            let _ = desk.decisions(&self.store, &files, ids::now_ms());
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
        desk.skilled(&self.current());
        Ok(desk)
    }

    /// Where wrong PINs come from.
    pub fn addresses(&self) -> MutexGuard<'_, Addresses> {
        self.addresses.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Whether a device's name is the server's own, which nobody else may use.
    pub fn is_own_device(&self, device: &str) -> bool {
        self.device == device
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
}

/// SHA-256 of a text, lower case hex.
pub fn sha256(text: &str) -> String {
    ids::fingerprint(text)
}
