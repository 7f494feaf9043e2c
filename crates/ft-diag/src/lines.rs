//! Turns a byte of a text into a line and a column.

/// A place as an editor shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Counted from 1.
    pub line: usize,
    /// Counted from 1, in characters.
    pub column: usize,
}

/// Where the lines of a text begin. Made once for a text; looking up a place is then a binary search.
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

impl<'t> Lines<'t> {
    /// Looks at the whole text once.
    pub fn new(text: &'t str) -> Self {
        let ends = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1);
        Self { text, starts: std::iter::once(0).chain(ends).collect() }
    }

    /// The place of a byte. A byte past the end counts as the end, one inside a character as its start.
    pub fn place(&self, byte: usize) -> Place {
        let byte = floor(self.text, byte);
        let line = self.starts.partition_point(|start| *start <= byte);
        let start = self.starts[line - 1];
        Place { line, column: self.text[start..byte].chars().count() + 1 }
    }

    /// The text of a line (counted from 1) without its end, and the byte at which it begins.
    pub(crate) fn line(&self, number: usize) -> (&'t str, usize) {
        let start = self.starts[number - 1];
        let end = self.starts.get(number).copied().unwrap_or(self.text.len());
        (self.text[start..end].trim_end_matches(['\r', '\n']), start)
    }

    /// The text that this is about.
    pub(crate) fn text(&self) -> &'t str {
        self.text
    }
}

/// The character boundary at or before a byte.
pub(crate) fn floor(text: &str, byte: usize) -> usize {
    let mut byte = byte.min(text.len());
    while !text.is_char_boundary(byte) {
        byte -= 1;
    }
    byte
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Columns count characters, not bytes; the end of the text is a place too.
    #[test]
    fn counts_characters() {
        let lines = Lines::new("añb\r\nx");
        assert_eq!(lines.place(3), Place { line: 1, column: 3 });
        assert_eq!(lines.place(6), Place { line: 2, column: 1 });
        assert_eq!(lines.place(99), Place { line: 2, column: 2 });
        assert_eq!(lines.line(1).0, "añb");
        assert_eq!(Lines::new("").place(0), Place { line: 1, column: 1 });
    }
}
