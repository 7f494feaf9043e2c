//! Words as they may stand in a picture.

/// Text as it may stand in an element or an attribute.
pub(crate) fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            // XML 1.0 has no control characters but three, not even escaped.
            letter if letter.is_control() => safe.push(' '),
            letter => safe.push(letter),
        }
    }
    safe
}

/// Broken at spaces into at most `lines` lines of at most `width` letters; what does not fit ends in an ellipsis.
pub(crate) fn wrap(text: &str, width: usize, lines: usize) -> Vec<String> {
    let mut wrapped: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match wrapped.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            Some(_) | None => wrapped.push(word.to_owned()),
        }
    }
    let is_cut = lines < wrapped.len();
    wrapped.truncate(lines);
    let last = wrapped.len().saturating_sub(1);
    for (index, line) in wrapped.iter_mut().enumerate() {
        if width < line.chars().count() || (is_cut && index == last) {
            *line = line.chars().take(width - 1).chain(['…']).collect();
        }
    }
    wrapped
}
