//! Bytes to text.

use std::ops::Range;

use ft_diag::Problem;

/// Bytes that are no text: what can be shown of them, and the problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    /// The lines up to the first bad byte and the rest of its line, each bad byte shown as `\u{FFFD}`.
    pub shown: String,
    /// The problem; its place is one of `shown`.
    pub problem: Problem,
}

/// The text that bytes spell in UTF-8. A byte-order mark stays: [`crate::parse`] knows it.
///
/// # Errors
/// [`Unreadable`] for the first byte that is no UTF-8, with its line and its offset in the file.
pub fn decode(bytes: &[u8]) -> Result<&str, Box<Unreadable>> {
    std::str::from_utf8(bytes).map_err(|error| {
        let is_cut = error.error_len().is_none();
        Box::new(unreadable(bytes, error.valid_up_to(), is_cut))
    })
}

/// `is_cut` says that the bytes from `offset` on are the beginning of a letter.
fn unreadable(bytes: &[u8], offset: usize, is_cut: bool) -> Unreadable {
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        let problem = Problem::error("F0001", 0..0, "this file is UTF-16")
            .with_remedy("save it as UTF-8, which every editor offers under \"encoding\"");
        return Unreadable { shown: String::new(), problem };
    }
    let mut shown = String::from_utf8_lossy(&bytes[..offset]).into_owned();
    let rest = &bytes[offset..];
    let line_end = rest.iter().position(|byte| *byte == b'\n').unwrap_or(rest.len());
    let span: Range<usize> = shown.len()..shown.len() + char::REPLACEMENT_CHARACTER.len_utf8();
    shown.push_str(&String::from_utf8_lossy(&rest[..line_end]));
    if is_cut {
        let problem = Problem::error("F0001", span, "this file ends within a letter")
            .with_remedy("it may have been cut: copy it again, or delete the last character");
        return Unreadable { shown, problem };
    }
    let byte = bytes[offset];
    let message = format!("the byte 0x{byte:02X} at offset {offset} of this file is no UTF-8");
    // From 0xC0 up, Latin-1 and Windows-1252 agree with Unicode: the letters that are usually meant.
    let remedy = if byte >= 0xC0 {
        format!("save the file as UTF-8; this may have been `{}` in an older encoding", char::from(byte))
    } else {
        "save the file as UTF-8".to_owned()
    };
    Unreadable { shown, problem: Problem::error("F0001", span, message).with_remedy(remedy) }
}
