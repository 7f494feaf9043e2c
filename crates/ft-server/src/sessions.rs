//! Who is signed in on which browser. Tokens are kept hashed, on the store's shelf, so that a restart signs nobody out.

use std::collections::{BTreeMap, BTreeSet};

use ft_store::{Store, StoreError};
use serde::{Deserialize, Serialize};

use crate::ids;

/// The shelf of sessions.
const SESSIONS: &str = "session";
/// The shelf of who has signed in on which browser.
const BROWSERS: &str = "browser";
/// A session ends after so long, however busy. Source: none, our choice: longer than any shift.
const WHOLE_MS: i64 = 12 * 3600 * 1000;

/// A session.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Session {
    who: String,
    began_ms: i64,
    last_ms: i64,
}

/// All sessions.
#[derive(Debug)]
pub struct Sessions {
    idle_ms: i64,
    open: BTreeMap<String, Session>,
    browsers: BTreeMap<String, BTreeSet<String>>,
}

impl Sessions {
    /// Reads what is on the shelf.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn read(store: &Store, idle_min: u32, now_ms: i64) -> Result<Self, StoreError> {
        let idle_ms = 60_000 * i64::from(idle_min);
        let mut open = BTreeMap::new();
        for (key, text) in store.list(SESSIONS)? {
            match serde_json::from_str::<Session>(&text) {
                Ok(session) if now_ms - session.began_ms < WHOLE_MS => {
                    open.insert(key, Session { last_ms: now_ms, ..session });
                }
                Ok(_) | Err(_) => store.remove(SESSIONS, &key)?,
            }
        }
        let mut browsers = BTreeMap::new();
        for (key, text) in store.list(BROWSERS)? {
            browsers.insert(key, serde_json::from_str(&text).unwrap_or_default());
        }
        Ok(Self { idle_ms, open, browsers })
    }

    /// Signs somebody in on a browser; gives the session's token, which is kept nowhere else.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn begin(
        &mut self,
        store: &Store,
        who: &str,
        browser: &str,
        now_ms: i64,
    ) -> Result<String, StoreError> {
        let token = ids::token();
        let key = ids::fingerprint(&token);
        let session = Session { who: who.to_owned(), began_ms: now_ms, last_ms: now_ms };
        store.put(SESSIONS, &key, &serde_json::to_string(&session).expect("a session is JSON"))?;
        self.open.insert(key, session);
        let names = self.browsers.entry(ids::fingerprint(browser)).or_default();
        if names.insert(who.to_owned()) {
            let text = serde_json::to_string(names).expect("names are JSON");
            store.put(BROWSERS, &ids::fingerprint(browser), &text)?;
        }
        Ok(token)
    }

    /// Who is signed in with a token; a touch keeps the session open.
    pub fn who(&mut self, token: &str, now_ms: i64) -> Option<String> {
        let session = self.open.get_mut(&ids::fingerprint(token))?;
        let is_over = now_ms - session.began_ms > WHOLE_MS || now_ms - session.last_ms > self.idle_ms;
        if is_over {
            return None;
        }
        session.last_ms = now_ms;
        Some(session.who.clone())
    }

    /// Whether somebody has ever signed in on a browser: only then may it bring events of theirs.
    pub fn has_been(&self, browser: &str, who: &str) -> bool {
        self.browsers.get(&ids::fingerprint(browser)).is_some_and(|names| names.contains(who))
    }

    /// Signs out.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn end(&mut self, store: &Store, token: &str) -> Result<(), StoreError> {
        let key = ids::fingerprint(token);
        self.open.remove(&key);
        store.remove(SESSIONS, &key)
    }

    /// Signs somebody out everywhere: their PIN or their roles were changed.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn end_all(&mut self, store: &Store, who: &str) -> Result<(), StoreError> {
        let theirs: Vec<String> =
            self.open.iter().filter(|(_, session)| session.who == who).map(|(key, _)| key.clone()).collect();
        for key in theirs {
            self.open.remove(&key);
            store.remove(SESSIONS, &key)?;
        }
        Ok(())
    }

    /// How many are open.
    pub fn count(&self) -> usize {
        self.open.len()
    }
}
