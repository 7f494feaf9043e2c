//! Letters: which glyph, how wide.

use krilla::text::{Font, GlyphId, KrillaGlyph};
use ttf_parser::Face as Reader;

/// One face, as the writer wants it and as it is measured.
pub(crate) struct Face {
    pub font: Font,
    reader: Reader<'static>,
    em: f32,
}

/// Regular and bold.
pub(crate) struct Fonts {
    regular: Face,
    bold: Face,
}

impl Fonts {
    /// The faces inside the binary.
    pub fn new() -> Self {
        let face = |bytes: &'static [u8]| {
            let reader = Reader::parse(bytes, 0).expect("a font that came with its crate");
            let font = Font::new(bytes.into(), 0).expect("the same");
            Face { font, em: f32::from(reader.units_per_em()), reader }
        };
        Self { regular: face(dejavu::sans_condensed::regular()), bold: face(dejavu::sans_condensed::bold()) }
    }

    pub fn face(&self, bold: bool) -> &Face {
        if bold { &self.bold } else { &self.regular }
    }

    /// Width of a text in points.
    pub fn width(&self, text: &str, size: f32, bold: bool) -> f32 {
        let face = self.face(bold);
        size * text.chars().map(|letter| face.advance(face.glyph(letter))).sum::<f32>()
    }

    /// A text in lines of at most `width` points; broken at spaces, and inside a word that is wider than a line. A
    /// line that goes on ends in a space, so that a reader of the file finds the border of the words.
    pub fn lines(&self, text: &str, size: f32, bold: bool, width: f32) -> Vec<String> {
        let mut lines = Vec::new();
        for paragraph in text.split('\n') {
            let mut line = String::new();
            let mut used = 0.0;
            for word in paragraph.split(' ').filter(|word| !word.is_empty()) {
                let wide = self.width(word, size, bold);
                let space = if line.is_empty() { 0.0 } else { self.width(" ", size, bold) };
                if width < used + space + wide && !line.is_empty() {
                    line.push(' ');
                    lines.push(std::mem::take(&mut line));
                    used = 0.0;
                } else if !line.is_empty() {
                    line.push(' ');
                    used += space;
                }
                for letter in word.chars() {
                    let step = self.width(letter.encode_utf8(&mut [0; 4]), size, bold);
                    if width < used + step && !line.is_empty() && width < wide {
                        lines.push(std::mem::take(&mut line));
                        used = 0.0;
                    }
                    line.push(letter);
                    used += step;
                }
            }
            lines.push(line);
        }
        lines
    }
}

impl Face {
    /// The glyph of a letter; a letter that the face lacks is shown as a question mark.
    fn glyph(&self, letter: char) -> u16 {
        let letter = if letter.is_control() { ' ' } else { letter };
        let of = |letter| self.reader.glyph_index(letter).map(|id| id.0).filter(|id| *id != 0);
        of(letter).or_else(|| of('?')).unwrap_or(0)
    }

    /// In parts of the font's size.
    fn advance(&self, glyph: u16) -> f32 {
        f32::from(self.reader.glyph_hor_advance(ttf_parser::GlyphId(glyph)).unwrap_or(0)) / self.em
    }

    /// The text as it can be written (what has no letter is a question mark), and its glyphs.
    pub fn glyphs(&self, text: &str) -> (String, Vec<KrillaGlyph>) {
        let mut written = String::with_capacity(text.len());
        let mut glyphs = Vec::with_capacity(text.len());
        for letter in text.chars() {
            let letter = if letter.is_control() { ' ' } else { letter };
            let letter = if self.reader.glyph_index(letter).is_some() { letter } else { '?' };
            let begin = written.len();
            written.push(letter);
            let glyph = self.glyph(letter);
            glyphs.push(KrillaGlyph::new(
                GlyphId::new(u32::from(glyph)),
                self.advance(glyph),
                0.0,
                0.0,
                0.0,
                begin..written.len(),
                None,
            ));
        }
        (written, glyphs)
    }
}
