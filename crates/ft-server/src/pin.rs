//! PINs: kept as Argon2id hashes on the store's shelf, tried slowly, locked after repeated misses.
//!
//! A PIN has few digits, so the hash alone does not keep it; the limits on trying do. It is never logged and never in
//! the record.

use argon2::password_hash::phc::PasswordHash;
use argon2::{Algorithm, Argon2, Params, PasswordHasher, PasswordVerifier, Version};
use ft_store::{Store, StoreError};
use serde::{Deserialize, Serialize};

use crate::ids;

/// The shelf of hashes.
const HASHES: &str = "pin";
/// The shelf of misses.
const MISSES: &str = "pin-misses";
/// Misses before each further try has to wait. Source: common practice, no source.
const FREE: u32 = 3;
/// Misses until the name is locked. Source: NIST SP 800-63B, 5.2.2 allows 100 in a row; ours is stricter since a PIN
/// is short.
const LOCKED: u32 = 10;
/// How long a lead is locked; there may be nobody who could reset it. Others stay locked until a lead resets the PIN.
const LEAD_LOCK_MS: i64 = 15 * 60 * 1000;

/// What a try came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tried {
    /// It is right.
    Right,
    /// Name or PIN is wrong.
    Wrong,
    /// Too many misses: wait so many milliseconds.
    Wait(i64),
    /// Locked until a lead resets it.
    Locked,
}

#[derive(Debug, Clone, Copy, Default, Serialize, Deserialize)]
struct Misses {
    count: u32,
    last_ms: i64,
}

/// Memory, rounds and lanes. Source: OWASP Password Storage Cheat Sheet, Argon2id: 19 MiB, 2, 1 (from memory).
fn argon() -> Argon2<'static> {
    let params = Params::new(19 * 1024, 2, 1, None).expect("these are within the limits of Argon2");
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
}

/// A PIN with fresh salt, in the text form that says how it was made.
fn hashed(pin: &str) -> String {
    let hash = argon().hash_password_with_salt(pin.as_bytes(), &ids::random::<16>());
    hash.expect("a PIN within its limits has a hash").to_string()
}

/// Whether a PIN may be one: 4 to 12 digits, not all alike, not counting up or down.
pub fn is_fit(pin: &str) -> bool {
    let digits = pin.as_bytes();
    let steps = |by: i16| digits.windows(2).all(|pair| i16::from(pair[1]) - i16::from(pair[0]) == by);
    (4..=12).contains(&digits.len())
        && digits.iter().all(u8::is_ascii_digit)
        && !steps(0)
        && !steps(1)
        && !steps(-1)
}

/// Sets somebody's PIN and forgets their misses. Takes a while by design: not on a thread that serves.
///
/// # Errors
/// [`StoreError`].
pub fn set(store: &Store, who: &str, pin: &str) -> Result<(), StoreError> {
    let hash = hashed(pin);
    store.put(HASHES, who, &hash)?;
    store.remove(MISSES, who)
}

/// Takes somebody's PIN away.
///
/// # Errors
/// [`StoreError`].
pub fn remove(store: &Store, who: &str) -> Result<(), StoreError> {
    store.remove(HASHES, who)?;
    store.remove(MISSES, who)
}

/// Whether somebody has a PIN.
///
/// # Errors
/// [`StoreError`].
pub fn exists(store: &Store, who: &str) -> Result<bool, StoreError> {
    Ok(store.get(HASHES, who)?.is_some())
}

/// Tries a PIN. A name that nobody has takes as long as one that somebody has. The miss is counted before the PIN is
/// looked at, so that tries beside each other count as well. Slow by design, as [`set`].
///
/// # Errors
/// [`StoreError`].
pub fn try_one(store: &Store, who: &str, pin: &str, is_lead: bool, now_ms: i64) -> Result<Tried, StoreError> {
    let Some(kept) = store.get(HASHES, who)? else {
        let _ = hashed(pin);
        return Ok(Tried::Wrong);
    };
    let read = store.get(MISSES, who)?;
    let misses: Misses = read.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default();
    if let Some(not_now) = not_now(misses, is_lead, now_ms) {
        return Ok(not_now);
    }
    let more = Misses { count: misses.count.saturating_add(1), last_ms: now_ms };
    store.put(MISSES, who, &serde_json::to_string(&more).expect("numbers are JSON"))?;
    let Ok(hash) = PasswordHash::new(&kept) else { return Ok(Tried::Wrong) };
    if argon().verify_password(pin.as_bytes(), &hash).is_err() {
        return Ok(Tried::Wrong);
    }
    store.remove(MISSES, who)?;
    Ok(Tried::Right)
}

/// What stands against a try now.
fn not_now(misses: Misses, is_lead: bool, now_ms: i64) -> Option<Tried> {
    let since = now_ms - misses.last_ms;
    match misses.count {
        count if count >= LOCKED && is_lead => {
            (since < LEAD_LOCK_MS).then(|| Tried::Wait(LEAD_LOCK_MS - since))
        }
        count if count >= LOCKED => Some(Tried::Locked),
        count if count >= FREE => {
            let wait = 1000 << (count - FREE);
            (since < wait).then_some(Tried::Wait(wait - since))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{FREE, LEAD_LOCK_MS, LOCKED, Misses, Tried, is_fit, not_now};

    #[test]
    fn a_pin_that_is_guessed_first_is_none() {
        for bad in ["1111", "1234", "9876", "12a4", "123", "1234567890123", ""] {
            assert!(!is_fit(bad), "{bad}");
        }
        assert!(is_fit("2580") && is_fit("112358"));
    }

    #[test]
    fn each_miss_waits_longer_and_the_last_one_locks() {
        let after = |count, since| not_now(Misses { count, last_ms: 0 }, false, since);
        assert_eq!(after(FREE - 1, 0), None);
        assert_eq!(after(FREE, 0), Some(Tried::Wait(1000)));
        assert_eq!(after(FREE, 1000), None);
        assert_eq!(after(FREE + 3, 0), Some(Tried::Wait(8000)));
        assert_eq!(after(LOCKED, i64::MAX / 2), Some(Tried::Locked));
        let lead = |since| not_now(Misses { count: LOCKED, last_ms: 0 }, true, since);
        assert_eq!(lead(LEAD_LOCK_MS - 1), Some(Tried::Wait(1)));
        assert_eq!(lead(LEAD_LOCK_MS), None);
    }
}
