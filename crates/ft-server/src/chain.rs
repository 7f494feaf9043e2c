//! Whether the record's chain is whole, for a page: a long record is followed beside the page that asks, not in it.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use ft_store::Store;

use crate::ids::now_ms;
use crate::problem::Problem;

/// A record of no more events than this is followed at once: that takes some hundredths of a second.
const SHORT: u64 = 5_000;

/// How the chain was found when it was followed last.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Followed {
    /// As far as this event of the record.
    pub seq: u64,
    /// When that was done, milliseconds since 1970.
    pub at_ms: i64,
    /// Where and how it is broken; `None`: it is whole.
    pub broken: Option<String>,
}

/// What was found last, and whether somebody is following it now.
#[derive(Debug, Clone, Default)]
pub struct Chain(Arc<Mutex<(Option<Followed>, bool)>>);

impl Chain {
    /// How the chain was found last. Where the record has gone on since, it is followed anew, beside the caller if it is
    /// long; `None`: it is followed for the first time just now.
    ///
    /// # Errors
    /// [`Problem`] of the store.
    pub fn followed(&self, store: &Store) -> Result<Option<Followed>, Problem> {
        let head = store.head()?.seq;
        if head <= SHORT {
            return Ok(Some(follow(store)));
        }
        let mut held = self.lock();
        let (last, is_following) = &mut *held;
        if last.as_ref().is_none_or(|last| last.seq < head) && !*is_following {
            *is_following = true;
            let (here, store) = (self.clone(), store.clone());
            std::thread::spawn(move || {
                let found = follow(&store);
                *here.lock() = (Some(found), false);
            });
        }
        Ok(last.clone())
    }

    fn lock(&self) -> MutexGuard<'_, (Option<Followed>, bool)> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn follow(store: &Store) -> Followed {
    let at_ms = now_ms();
    match store.verify(None) {
        Ok(verified) => {
            Followed { seq: verified.events, at_ms, broken: verified.broken.map(|broken| broken.to_string()) }
        }
        Err(error) => Followed { seq: 0, at_ms, broken: Some(error.to_string()) },
    }
}
