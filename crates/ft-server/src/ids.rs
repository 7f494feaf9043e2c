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

/// A `UUIDv7` (RFC 9562, 5.7): 48 bits of milliseconds since 1970, the rest chance.
pub fn uuid7(now_ms: i64) -> String {
    let mut bytes: [u8; 16] = random();
    bytes[..6].copy_from_slice(&now_ms.to_be_bytes()[2..]);
    bytes[6] = 0x70 | bytes[6] & 0x0f;
    bytes[8] = 0x80 | bytes[8] & 0x3f;
    let hex = ft_record::hex(&bytes);
    format!("{}-{}-{}-{}-{}", &hex[..8], &hex[8..12], &hex[12..16], &hex[16..20], &hex[20..])
}

/// Whether a text is a `UUIDv7` in lower case.
pub fn is_uuid7(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.len() == 36
        && bytes.iter().enumerate().all(|(at, byte)| match at {
            8 | 13 | 18 | 23 => *byte == b'-',
            14 => *byte == b'7',
            19 => b"89ab".contains(byte),
            _ => byte.is_ascii_digit() || (b'a'..=b'f').contains(byte),
        })
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
