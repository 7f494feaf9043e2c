//! Turns a byte of a text into a line and a column.

/// A place as an editor shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Counted from 1.
    pub line: usize,
    /// Counted from 1, in characters.
    pub column: usize,
}

/// Where the lines of a text begin. Made once for a text; a place is then looked up in a few steps, however
/// long its line is.
pub struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
    /// Characters that begin before each multiple of [`BLOCK`] bytes.
    characters: Vec<usize>,
}

const BLOCK: usize = 1024;

impl<'t> Lines<'t> {
    /// Looks at the whole text once.
    pub fn new(text: &'t str) -> Self {
        let ends = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1);
        let blocks = text.as_bytes().chunks(BLOCK).scan(0, |before, block| {
            *before += characters_in(block);
            Some(*before)
        });
        Self {
            text,
            starts: std::iter::once(0).chain(ends).collect(),
            characters: std::iter::once(0).chain(blocks).collect(),
        }
    }

    /// The place of a byte. A byte past the end counts as the end, one inside a character as its start.
    pub fn place(&self, byte: usize) -> Place {
        let byte = floor(self.text, byte);
        let line = self.starts.partition_point(|start| *start <= byte);
        let start = self.starts[line - 1];
        Place { line, column: self.characters_before(byte) - self.characters_before(start) + 1 }
    }

    fn characters_before(&self, byte: usize) -> usize {
        let block = byte / BLOCK;
        self.characters[block] + characters_in(&self.text.as_bytes()[block * BLOCK..byte])
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

/// Characters that begin in a piece of UTF-8: every byte but those that continue one.
fn characters_in(bytes: &[u8]) -> usize {
    bytes.iter().filter(|byte| **byte & 0b1100_0000 != 0b1000_0000).count()
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

    /// Columns of long lines are counted in blocks: the same as counted one by one.
    #[test]
    fn counts_long_lines() {
        let text = format!("a\n{}\n{}", "é洗x".repeat(1000), "y".repeat(BLOCK * 2));
        let lines = Lines::new(&text);
        let (mut line, mut column) = (1, 1);
        for (at, c) in text.char_indices() {
            assert_eq!(lines.place(at), Place { line, column });
            (line, column) = if c == '\n' { (line + 1, 1) } else { (line, column + 1) };
        }
        assert_eq!(lines.place(text.len()), Place { line, column });
    }
}
