//! Where the record is kept: one append-only log in SQLite or PostgreSQL, with the same tables and the same tests.
//!
//! Acknowledged means durable: [`Store::append`] returns when the events are on the disk. One thread writes, and
//! takes all that waits into one transaction. Reading goes on beside it.
//!
//! Beside the log lies a shelf for small things that change and are no record: hashes of PINs, sessions, settings.

mod backup;
mod error;
mod export;
mod log;
mod place;
mod postgres;
mod sql;
mod sqlite;
mod writer;

use std::sync::{Arc, Mutex, PoisonError};

use ft_record::{Event, Hash, Link, Seal, SiteKey, Stored, hex};

pub use error::{StoreError, Trouble};

use place::Place;
use sql::Sql;
use writer::{Work, Writer};

/// A record that is open. Clones share it.
#[derive(Clone)]
pub struct Store {
    place: Place,
    writer: Writer,
    reader: Arc<Mutex<Option<Box<dyn Sql>>>>,
}

/// An event that is in the record, durably.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Accepted {
    /// Its id.
    pub id: String,
    /// Its place.
    pub seq: u64,
    /// Whether it was stored now; else it was there already.
    pub is_new: bool,
    /// Whether what is stored says the same; `false` only for another event that came under an id that was taken.
    pub is_same: bool,
}

/// The end of the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// A random name of this log; a restored log has another, so that nobody takes its places for the old ones.
    pub epoch: String,
    /// The last place; 0 where nothing has happened yet.
    pub seq: u64,
    /// Its hash.
    pub hash: Hash,
}

impl Store {
    /// Opens a record, making it where there is none.
    ///
    /// # Errors
    /// [`StoreError`]: no such database, read-only, full, held by another program, not a record.
    pub fn open(place: &str) -> Result<Self, StoreError> {
        Self::at(Place::parse(place)?, true)
    }

    /// Opens a record that is there.
    ///
    /// # Errors
    /// [`Trouble::NoSuch`] where there is none; else as [`Store::open`].
    pub fn open_existing(place: &str) -> Result<Self, StoreError> {
        Self::at(Place::parse(place)?, false)
    }

    fn at(place: Place, create: bool) -> Result<Self, StoreError> {
        let mut sql = place.connect(create)?;
        if create {
            log::prepare(sql.as_mut(), &random_name()?)?;
        } else if !log::is_prepared(sql.as_mut())? {
            return Err(StoreError::new(Trouble::NoSuch, "it has no tables of a record"));
        }
        let reader = Arc::new(Mutex::new(None));
        Ok(Self { writer: Writer::start(place.clone(), sql)?, place, reader })
    }

    /// Appends events; when this returns they are durable, all or none. An event whose id is in the record already
    /// is not stored again.
    ///
    /// # Errors
    /// [`StoreError`]; nothing of these events was stored, or, where the connection broke during the commit, all:
    /// sending them again is harmless.
    pub fn append(&self, events: Vec<Event>, received_ms: i64) -> Result<Vec<Accepted>, StoreError> {
        if let Some(event) = events.iter().find(|event| !event.is_writable()) {
            return Err(StoreError::new(Trouble::NotWritable, format!("event {}", event.id)));
        }
        if events.is_empty() {
            return Ok(Vec::new());
        }
        self.writer.write(Work::Append(events.into_iter().map(|event| (received_ms, event)).collect()))
    }

    /// Events after a place, at most `limit`.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn since(&self, seq: u64, limit: usize) -> Result<Vec<Stored>, StoreError> {
        self.read(|sql| log::since(sql, seq, limit))
    }

    /// All events of a run, in the order of their places.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn run(&self, run: &str) -> Result<Vec<Stored>, StoreError> {
        self.read(|sql| log::of_run(sql, run))
    }

    /// The end of the log.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn head(&self) -> Result<Head, StoreError> {
        self.read(log::head)
    }

    /// Links after a place as they were found, for whoever verifies.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn links(&self, seq: u64, limit: usize) -> Result<Vec<Link>, StoreError> {
        self.read(|sql| log::links(sql, seq, limit))
    }

    /// Signs the record up to its end with the site's key, which is made when it is needed first.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn seal(&self, made_ms: i64) -> Result<Seal, StoreError> {
        let head = self.head()?;
        let seal = self.site_key()?.seal(head.seq, &head.hash, made_ms);
        self.writer.write(Work::Seal(seal.clone()))?;
        Ok(seal)
    }

    /// All seals, in the order of their places.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn seals(&self) -> Result<Vec<Seal>, StoreError> {
        self.read(log::seals)
    }

    /// The site's public key, lower case hex.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn public_key(&self) -> Result<String, StoreError> {
        Ok(self.site_key()?.public())
    }

    fn site_key(&self) -> Result<SiteKey, StoreError> {
        if self.get(KEYS, "site")?.is_none() {
            self.put(KEYS, "site", &hex(&random::<32>()?))?;
        }
        let text = self.get(KEYS, "site")?.unwrap_or_default();
        let secret = ft_record::unhex::<32>(&text)
            .ok_or_else(|| StoreError::new(Trouble::NotARecord, "the site's key is not one"))?;
        Ok(SiteKey::from_bytes(&secret))
    }

    /// Puts a value on a shelf, over the one that was there. A key has no NUL, which PostgreSQL cannot keep.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn put(&self, shelf: &str, key: &str, value: &str) -> Result<(), StoreError> {
        if has_nul(key) || has_nul(value) {
            return Err(StoreError::new(Trouble::NotWritable, "a key or a value has a NUL"));
        }
        let (shelf, key, value) = (shelf.to_owned(), key.to_owned(), value.to_owned());
        self.writer.write(Work::Put { shelf, key, value }).map(|_| ())
    }

    /// Takes a value off a shelf, if it is there.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn remove(&self, shelf: &str, key: &str) -> Result<(), StoreError> {
        if has_nul(key) {
            return Ok(());
        }
        self.writer.write(Work::Remove { shelf: shelf.to_owned(), key: key.to_owned() }).map(|_| ())
    }

    /// A value on a shelf.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn get(&self, shelf: &str, key: &str) -> Result<Option<String>, StoreError> {
        if has_nul(key) {
            return Ok(None);
        }
        self.read(|sql| log::get(sql, shelf, key))
    }

    /// All of a shelf, by key.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn list(&self, shelf: &str) -> Result<Vec<(String, String)>, StoreError> {
        self.read(|sql| log::list(sql, shelf))
    }

    fn read<T>(&self, ask: impl FnOnce(&mut dyn Sql) -> Result<T, StoreError>) -> Result<T, StoreError> {
        let mut open = self.reader.lock().unwrap_or_else(PoisonError::into_inner);
        let mut sql = match open.take() {
            Some(sql) => sql,
            None => self.place.connect(false)?,
        };
        let answer = ask(sql.as_mut());
        // A connection that failed is not trusted again.
        if answer.is_ok() {
            *open = Some(sql);
        }
        answer
    }
}

fn has_nul(text: &str) -> bool {
    text.contains('\0')
}

/// The shelf of the site's key.
const KEYS: &str = "keys";

fn random<const N: usize>() -> Result<[u8; N], StoreError> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|error| StoreError::new(Trouble::Other, error))?;
    Ok(bytes)
}

fn random_name() -> Result<String, StoreError> {
    Ok(hex(&random::<16>()?))
}
