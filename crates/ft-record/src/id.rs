//! Ids of events: `UUIDv7` of RFC 9562, made from a time and random bytes that are handed in.

use crate::chain::hex;

/// An id: 48 bits of milliseconds since 1970, then the version, the variant and 74 random bits.
///
/// Source: RFC 9562, section 5.7.
pub fn uuid7(unix_ms: u64, random: [u8; 10]) -> String {
    let mut bytes = [0; 16];
    bytes[..6].copy_from_slice(&unix_ms.to_be_bytes()[2..]);
    bytes[6..].copy_from_slice(&random);
    bytes[6] = bytes[6] & 0x0f | 0x70;
    bytes[8] = bytes[8] & 0x3f | 0x80;
    let digits = hex(&bytes);
    [&digits[..8], &digits[8..12], &digits[12..16], &digits[16..20], &digits[20..]].join("-")
}

/// Whether a text is a `UUIDv7` in lower case.
pub fn is_uuid7(text: &str) -> bool {
    let letters = text.as_bytes();
    letters.len() == 36
        && letters.iter().enumerate().all(|(at, letter)| match at {
            8 | 13 | 18 | 23 => *letter == b'-',
            14 => *letter == b'7',
            19 => matches!(letter, b'8' | b'9' | b'a' | b'b'),
            _ => matches!(letter, b'0'..=b'9' | b'a'..=b'f'),
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: RFC 9562, appendix A.6.
    #[test]
    fn the_example_of_the_standard() {
        let random = [0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f];
        let id = uuid7(0x017F_22E2_79B0, random);
        assert_eq!(id, "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
        assert!(is_uuid7(&id));
    }

    #[test]
    fn other_shapes_are_none() {
        for text in [
            "",
            "017F22E2-79B0-7CC3-98C4-DC0C0C07398F",
            "017f22e2-79b0-4cc3-98c4-dc0c0c07398f",
            "017f22e2-79b0-7cc3-18c4-dc0c0c07398f",
            "017f22e279b07cc398c4dc0c0c07398f",
            "017f22e2-79b0-7cc3-98c4-dc0c0c07398é",
        ] {
            assert!(!is_uuid7(text), "{text}");
        }
    }
}
