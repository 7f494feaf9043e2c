//! The classes of characters that KDL 2 tells apart.
//!
//! Source: KDL 2.0 specification, tables "Whitespace", "Newline", "Disallowed Literal Code Points" and
//! the grammar rule `identifier-char`.

/// Ends a line. Carriage return followed by line feed counts as one end; the lexer sees to that.
pub fn is_newline(c: char) -> bool {
    matches!(c, '\n' | '\r' | '\u{85}' | '\u{B}' | '\u{C}' | '\u{2028}' | '\u{2029}')
}

/// A space that does not end a line.
pub fn is_space(c: char) -> bool {
    matches!(
        c,
        ' ' | '\t' | '\u{A0}' | '\u{1680}' | '\u{2000}'..='\u{200A}' | '\u{202F}' | '\u{205F}' | '\u{3000}'
    )
}

/// Control characters, marks that turn the writing direction, and the byte-order mark inside a text.
pub fn is_disallowed(c: char) -> bool {
    matches!(
        c,
        '\0'..='\u{8}'
            | '\u{E}'..='\u{1F}'
            | '\u{7F}'
            | '\u{200E}'..='\u{200F}'
            | '\u{202A}'..='\u{202E}'
            | '\u{2066}'..='\u{2069}'
            | '\u{FEFF}'
    )
}

/// May stand in a word without quotes.
///
/// Disallowed characters pass: they are reported once for the whole text, so that here they only stick
/// to their word instead of breaking it in two.
pub fn is_word(c: char) -> bool {
    !(is_space(c)
        || is_newline(c)
        || matches!(c, '\\' | '/' | '(' | ')' | '{' | '}' | ';' | '[' | ']' | '"' | '#' | '='))
}

/// Words that would be mistaken for a value, and are therefore no names.
pub fn is_reserved(word: &str) -> bool {
    matches!(word, "true" | "false" | "null" | "inf" | "-inf" | "nan")
}

/// Looks like the start of a number: a digit, or a sign or point before one.
pub fn looks_like_number(word: &str) -> bool {
    let unsigned = word.strip_prefix(['+', '-']).unwrap_or(word);
    let digits = unsigned.strip_prefix('.').unwrap_or(unsigned);
    digits.starts_with(|c: char| c.is_ascii_digit())
}

/// Can be written without quotes and still be read as this text.
pub fn is_plain_word(text: &str) -> bool {
    !text.is_empty()
        && text.chars().all(|c| is_word(c) && !is_disallowed(c))
        && !is_reserved(text)
        && !looks_like_number(text)
        && !text.starts_with(is_foreign_quote)
}

/// A quotation mark other than the straight double one, as word processors put them.
///
/// KDL would take it for a letter; a text that begins with one was meant to be quoted.
pub fn is_foreign_quote(c: char) -> bool {
    matches!(c, '“' | '”' | '„' | '‟' | '«' | '»' | '‘' | '’' | '‚' | '‛' | '\'')
}
