//! The little of SVG that the pictures need.

/// Text as it may stand in an element or an attribute.
pub(crate) fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            // XML 1.0 has no control characters but these three, not even escaped.
            letter if letter.is_control() && !matches!(letter, '\n' | '\r' | '\t') => safe.push(' '),
            letter => safe.push(letter),
        }
    }
    safe
}

/// A text broken at spaces into lines of at most `width` letters, at most `lines` of them; what does not fit
/// ends in an ellipsis.
pub(crate) fn wrap(text: &str, width: usize, lines: usize) -> Vec<String> {
    let mut wrapped: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match wrapped.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            Some(_) | None => wrapped.push(word.to_string()),
        }
    }
    let fits = wrapped.len() <= lines && wrapped.iter().all(|line| line.chars().count() <= width);
    wrapped.truncate(lines);
    for line in &mut wrapped {
        if line.chars().count() > width {
            *line = line.chars().take(width - 1).collect::<String>() + "…";
        }
    }
    if let Some(last) = wrapped.last_mut().filter(|last| !fits && !last.ends_with('…')) {
        *last = last.chars().take(width - 1).collect::<String>() + "…";
    }
    wrapped
}
