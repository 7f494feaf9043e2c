//! Names that nobody else has, from the system's chance.

use sha2::{Digest, Sha256};

/// Bytes that nobody can guess.
///
/// # Panics
/// If the system has no chance to give: nothing is safe then.
pub fn random<const N: usize>() -> [u8; N] {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).expect("the system gives random bytes");
    bytes
}

/// A `UUIDv7` of now.
pub fn uuid7(now_ms: i64) -> String {
    ft_record::uuid7(now_ms.unsigned_abs(), random())
}

/// A token of 256 bits, in hex.
pub fn token() -> String {
    ft_record::hex(&random::<32>())
}

/// What is kept of a token: whoever reads the store cannot use it.
pub fn fingerprint(token: &str) -> String {
    ft_record::hex(&<[u8; 32]>::from(Sha256::digest(token.as_bytes())))
}

/// A code that is typed once: eight letters and digits that look like no other, in two groups.
pub fn one_time_code() -> String {
    const LETTERS: &[u8; 32] = b"ABCDEFGHJKLMNPQRSTUVWXYZ23456789";
    let code: String = random::<8>().iter().map(|byte| char::from(LETTERS[usize::from(byte & 31)])).collect();
    format!("{}-{}", &code[..4], &code[4..])
}

/// Now, milliseconds since 1970.
pub fn now_ms() -> i64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    since.map_or(0, |since| i64::try_from(since.as_millis()).unwrap_or(i64::MAX))
}
