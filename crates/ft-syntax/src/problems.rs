//! Words of the reader's text in our sentences.

/// `text` for a sentence: one line of at most 40 characters.
pub fn shorten(text: &str) -> String {
    let mut short: String = text.chars().take(40).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}
