//! Cuts a text into tokens, one after the other, looking at every byte a bounded number of times.
//!
//! Never fails: what it does not know becomes a token too. The meaning of a token (the number that a word
//! stands for, the escapes in a quoted text) is worked out by those who need it, in `value` and `quoted`.

use crate::chars::{is_foreign_quote, is_newline, is_space, is_word};

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Spaces and tabs.
    Space,
    /// One end of a line.
    Newline,
    /// `// …` without the end of its line.
    LineComment,
    /// `/* … */`, nested ones included.
    BlockComment { closed: bool },
    /// `/-`: what follows is left out.
    Slashdash,
    /// `\`: the line goes on after the end of this one.
    Continuation,
    /// `;`
    Semicolon,
    /// `{`
    Open,
    /// `}`
    Close,
    /// `(`
    ParenOpen,
    /// `)`
    ParenClose,
    /// `=`
    Equals,
    /// A run of word characters: a name, a text without quotes, or a number.
    Word,
    /// A word with a character in it that needs quotes.
    BadWord,
    /// A text between quotation marks that KDL does not know, such as `“Stop”`.
    Foreign,
    /// `#true` and its like.
    Keyword,
    /// A text in quotes.
    Quoted(Quotes),
    /// The text is over.
    End,
}

/// How a quoted text is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Quotes {
    /// Number of `#` before the opening quotes; with none, escapes have their meaning.
    pub hashes: usize,
    /// In three quotes, over several lines.
    pub multi: bool,
    /// The closing quotes are there.
    pub closed: bool,
}

/// A piece of the text: bytes `start..end`.
#[derive(Debug, Clone, Copy)]
pub struct Token {
    pub kind: Kind,
    pub start: usize,
    pub end: usize,
}

/// The place reached in a text. A copy of it is a look ahead.
#[derive(Clone, Copy)]
pub struct Lexer<'t> {
    text: &'t str,
    at: usize,
}

impl<'t> Lexer<'t> {
    /// Starts after the byte-order mark, if there is one.
    pub fn new(text: &'t str) -> Self {
        Self { text, at: if text.starts_with('\u{FEFF}') { 3 } else { 0 } }
    }

    /// Goes on from another place, which must be a character boundary.
    pub fn jump_to(&mut self, at: usize) {
        self.at = at;
    }

    /// The next token; at the end of the text [`Kind::End`], again and again.
    pub fn next(&mut self) -> Token {
        let start = self.at;
        let kind = self.cut();
        Token { kind, start, end: self.at }
    }

    fn rest(&self) -> &'t str {
        &self.text[self.at..]
    }

    fn cut(&mut self) -> Kind {
        let rest = self.rest();
        let Some(first) = rest.chars().next() else { return Kind::End };
        match first {
            ';' => self.take(1, Kind::Semicolon),
            '{' => self.take(1, Kind::Open),
            '}' => self.take(1, Kind::Close),
            '(' => self.take(1, Kind::ParenOpen),
            ')' => self.take(1, Kind::ParenClose),
            '=' => self.take(1, Kind::Equals),
            '\\' => self.take(1, Kind::Continuation),
            '"' => self.quoted(0),
            '#' => self.hash(),
            '/' if rest.starts_with("//") => {
                self.skip_while(|c| !is_newline(c));
                Kind::LineComment
            }
            '/' if rest.starts_with("/*") => self.block_comment(),
            '/' if rest.starts_with("/-") => self.take(2, Kind::Slashdash),
            '\r' if rest.starts_with("\r\n") => self.take(2, Kind::Newline),
            c if is_newline(c) => self.take(c.len_utf8(), Kind::Newline),
            c if is_space(c) => {
                self.skip_while(is_space);
                Kind::Space
            }
            c if is_foreign_quote(c) => self.foreign(c),
            _ => self.word(),
        }
    }

    fn take(&mut self, bytes: usize, kind: Kind) -> Kind {
        self.at += bytes;
        kind
    }

    fn skip_while(&mut self, mut wanted: impl FnMut(char) -> bool) {
        let rest = self.rest();
        self.at += rest.find(|c| !wanted(c)).unwrap_or(rest.len());
    }

    /// A word, or what was meant as one: `mg/L` and `[a]` stay in one piece, so that they make one problem.
    fn word(&mut self) -> Kind {
        let mut kind = Kind::Word;
        loop {
            self.skip_while(is_word);
            let rest = self.rest();
            let bad = match rest.chars().next() {
                Some('[' | ']') => true,
                Some('/') => !rest[1..].starts_with(['/', '*', '-']),
                Some('\\') => rest[1..].starts_with(|c| is_word(c) || c == '\\'),
                Some('#') => !rest.trim_start_matches('#').starts_with('"'),
                _ => false,
            };
            if !bad {
                return kind;
            }
            kind = Kind::BadWord;
            if rest.starts_with('#') {
                self.skip_while(|c| c == '#');
            } else {
                self.at += 1;
            }
        }
    }

    /// From a foreign quotation mark to one that can close it on the same line, or else the one word.
    fn foreign(&mut self, open: char) -> Kind {
        let is_double = |c| matches!(c, '“' | '”' | '„' | '‟' | '«' | '»' | '"');
        let closes = |c| is_double(c) == is_double(open) && (c == '"' || is_foreign_quote(c));
        let inner = &self.rest()[open.len_utf8()..];
        match inner.char_indices().find(|(_, c)| closes(*c) || is_newline(*c)) {
            Some((at, close)) if closes(close) => self.at += open.len_utf8() + at + close.len_utf8(),
            _ => self.skip_while(is_word),
        }
        Kind::Foreign
    }

    /// `#true`, or the hashes before a raw text.
    fn hash(&mut self) -> Kind {
        let before = self.at;
        self.skip_while(|c| c == '#');
        if self.rest().starts_with('"') {
            return self.quoted(self.at - before);
        }
        self.skip_while(is_word);
        Kind::Keyword
    }

    fn block_comment(&mut self) -> Kind {
        let bytes = self.text.as_bytes();
        let mut depth = 0_usize;
        while self.at + 1 < bytes.len() {
            match &bytes[self.at..self.at + 2] {
                b"/*" => {
                    depth += 1;
                    self.at += 2;
                }
                b"*/" => {
                    depth -= 1;
                    self.at += 2;
                    if depth == 0 {
                        return Kind::BlockComment { closed: true };
                    }
                }
                _ => self.at += 1,
            }
        }
        self.at = bytes.len();
        Kind::BlockComment { closed: false }
    }

    /// A quoted text, from its opening quotes on.
    fn quoted(&mut self, hashes: usize) -> Kind {
        let multi = self.rest().starts_with("\"\"\"");
        let opened = self.at;
        self.at += if multi { 3 } else { 1 };
        let bytes = self.text.as_bytes();
        while let Some(&byte) = bytes.get(self.at) {
            match byte {
                b'"' if self.closes(hashes, multi) => {
                    self.at += if multi { 3 } else { 1 } + hashes;
                    return Kind::Quoted(Quotes { hashes, multi, closed: true });
                }
                b'\\' if hashes == 0 => self.escape(),
                _ if !multi && self.rest().starts_with(is_newline) => break,
                _ => self.at += self.rest().chars().next().map_or(1, char::len_utf8),
            }
        }
        if !multi {
            self.give_back_brace(opened);
        }
        Kind::Quoted(Quotes { hashes, multi, closed: false })
    }

    fn closes(&self, hashes: usize, multi: bool) -> bool {
        let rest = self.rest().as_bytes();
        let quotes = if multi { 3 } else { 1 };
        rest.len() >= quotes + hashes
            && rest[..quotes].iter().all(|&b| b == b'"')
            && rest[quotes..quotes + hashes].iter().all(|&b| b == b'#')
    }

    /// A backslash and what it takes with it: one character, or all spaces and line ends that follow.
    fn escape(&mut self) {
        self.at += 1;
        match self.rest().chars().next() {
            Some(c) if is_space(c) || is_newline(c) => self.skip_while(|c| is_space(c) || is_newline(c)),
            Some(c) => self.at += c.len_utf8(),
            None => {}
        }
    }

    /// A text whose closing quote is missing still leaves the `{` at the end of its line to its node:
    /// otherwise one missing quote would unbalance the whole file.
    fn give_back_brace(&mut self, opened: usize) {
        let text = &self.text[opened..self.at];
        if let Some(head) = text.trim_end_matches(is_space).strip_suffix('{') {
            self.at = opened + head.trim_end_matches(is_space).len().max(1);
        }
    }
}
