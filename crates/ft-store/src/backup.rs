//! A backup is one SQLite file, whatever the record lies in: taken while it is written to, checked before it counts,
//! restored into either.

use std::fs::{self, File};
use std::path::{Path, PathBuf};

use ft_record::{Broken, Seal, Stored, Verifier};

use crate::error::{StoreError, Trouble};
use crate::place::Place;
use crate::sql::Sql;
use crate::sqlite::Sqlite;
use crate::{Head, Store, log, random_name};

/// Links that are held at a time.
const STRIDE: usize = 1000;

/// What a record looks like when it was followed from its first event to its last.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verified {
    /// The last place.
    pub events: u64,
    /// Seals that hold.
    pub seals: Vec<Seal>,
    /// The first link that does not hold.
    pub broken: Option<Broken>,
}

impl Store {
    /// Writes a backup to a file that is not there yet.
    ///
    /// # Errors
    /// [`StoreError`]; then no file of that name is left.
    pub fn backup(&self, file: &Path) -> Result<Head, StoreError> {
        if file.exists() {
            return Err(StoreError::new(Trouble::NotEmpty, file.display()));
        }
        let part = beside(file);
        let written = self.write_backup(&part).and_then(|head| {
            let synced =
                File::open(&part).and_then(|open| open.sync_all()).and_then(|()| fs::rename(&part, file));
            synced.map_err(|error| from_io(&error)).map(|()| head)
        });
        if written.is_err() {
            // It may never have been made.
            let _ = fs::remove_file(&part);
        }
        written
    }

    fn write_backup(&self, part: &Path) -> Result<Head, StoreError> {
        if let Some(file) = self.place.file() {
            Sqlite::open(file, false)?.copy_to(part)?;
        } else {
            let mut from = self.place.connect(false)?;
            // One moment for all tables.
            from.batch("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")?;
            let mut into = Sqlite::open(part, true)?;
            let epoch = log::head(from.as_mut())?.epoch;
            log::prepare(&mut into, &epoch)?;
            copy(from.as_mut(), &mut into)?;
            from.batch("COMMIT")?;
            into.batch("PRAGMA journal_mode = DELETE")?;
        }
        log::head(&mut Sqlite::open(part, false)?)
    }

    /// Fills an empty place from a backup. The log gets another epoch, so that devices ask anew.
    ///
    /// # Errors
    /// [`Trouble::NotEmpty`] where there is a record already; [`Trouble::NotARecord`] for a backup whose chain is
    /// broken; nothing was restored then.
    pub fn restore(place: &str, backup: &Path) -> Result<Self, StoreError> {
        let mut from = Sqlite::open(backup, false)?;
        if !log::is_prepared(&mut from)? {
            return Err(StoreError::new(Trouble::NotARecord, backup.display()));
        }
        let place = Place::parse(place)?;
        if place.file().is_some_and(Path::exists) {
            return Err(StoreError::new(Trouble::NotEmpty, ""));
        }
        match place.file() {
            // Beside, so that what could not be restored whole is not there at all.
            Some(file) => {
                let part = beside(file);
                let filled = fill(&mut from, &Place::File(part.clone()));
                let moved = filled.and_then(|()| fs::rename(&part, file).map_err(|error| from_io(&error)));
                if moved.is_err() {
                    let _ = fs::remove_file(&part);
                }
                moved?;
            }
            None => fill(&mut from, &place)?,
        }
        Self::at(place, false)
    }

    /// Follows the whole chain and checks every seal. With `key`, seals of another key do not hold.
    ///
    /// # Errors
    /// [`StoreError`] where it cannot be read at all.
    pub fn verify(&self, key: Option<&str>) -> Result<Verified, StoreError> {
        let mut follow = ft_record::Follow::new(self.seals()?, key);
        loop {
            let links = self.links(follow.head().0, STRIDE)?;
            if links.is_empty() {
                break;
            }
            for link in &links {
                if let Err(broken) = follow.take(link) {
                    return Ok(Verified {
                        events: follow.head().0,
                        seals: follow.held(),
                        broken: Some(broken),
                    });
                }
            }
        }
        let (events, broken) = (follow.head().0, follow.end().err());
        Ok(Verified { events, seals: follow.held(), broken })
    }
}

fn fill(from: &mut Sqlite, place: &Place) -> Result<(), StoreError> {
    let mut into = place.connect(true)?;
    log::prepare(into.as_mut(), &random_name()?)?;
    if log::head(into.as_mut())?.seq > 0 {
        return Err(StoreError::new(Trouble::NotEmpty, ""));
    }
    copy(from, into.as_mut())
}

/// Copies events, seals and shelf in one transaction, verifying the chain on the way.
fn copy(from: &mut dyn Sql, into: &mut dyn Sql) -> Result<(), StoreError> {
    log::transaction(into, |into| {
        let mut verifier = Verifier::default();
        loop {
            let links = log::links(from, verifier.head().0, STRIDE)?;
            if links.is_empty() {
                break;
            }
            let stored: Result<Vec<Stored>, Broken> = links.iter().map(|link| verifier.take(link)).collect();
            let stored = stored.map_err(|broken| StoreError::new(Trouble::NotARecord, broken))?;
            log::insert_links(into, &stored)?;
        }
        for seal in log::seals(from)? {
            log::put_seal(into, &seal)?;
        }
        log::insert_shelf(into, &log::whole_shelf(from)?)
    })
}

fn beside(file: &Path) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(".part");
    PathBuf::from(name)
}

fn from_io(error: &std::io::Error) -> StoreError {
    let trouble = match error.kind() {
        std::io::ErrorKind::StorageFull => Trouble::Full,
        std::io::ErrorKind::ReadOnlyFilesystem | std::io::ErrorKind::PermissionDenied => Trouble::ReadOnly,
        std::io::ErrorKind::NotFound => Trouble::NoSuch,
        _ => Trouble::Other,
    };
    StoreError::new(trouble, error)
}
