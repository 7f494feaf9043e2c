//! Why this order: the picture of the order in strips, and a table of its reasons.

use crate::NoPaper;
use crate::document::{Block, Document, Figure, Table};
use crate::picture::Picture;
use crate::words::say;

/// A poster for the wall.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Poster {
    /// Whose procedure.
    pub title: String,
    /// Language, such as `es`.
    pub language: String,
    /// The order as one of our SVG pictures.
    pub picture: String,
    /// Units of the picture from its left edge to its first column, and from column to column.
    pub columns: (f32, f32),
    /// Share of pairs of steps that may be done in either order, in per cent.
    pub free_percent: f64,
    /// Which step before which, and why.
    pub reasons: Vec<Reason>,
}

/// One order and its reasons.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reason {
    /// What comes first.
    pub before: String,
    /// What comes later.
    pub after: String,
    /// Why, a sentence or more.
    pub why: String,
}

/// Columns in a strip: letters are then 7 points high on either paper.
const COLUMNS_IN_STRIP: f32 = 6.0;

/// The poster as a document, for paper that lies on its long side.
///
/// # Errors
/// [`NoPaper::Picture`] if the picture is not one of ours.
pub fn document(poster: &Poster) -> Result<Document, NoPaper> {
    let language = poster.language.as_str();
    let title = format!("{} – {}", poster.title, say(language, "why this order", "por qué en este orden"));
    let free = poster.free_percent;
    let told = if language == "es" {
        format!(
            "El {free:.0} % de los pares de pasos puede hacerse en cualquier orden. Lo demás tiene un motivo: está en \
             la tabla. Se lee de izquierda a derecha, tira tras tira; los lados se hacen igual y están una sola vez. Lo que \
             se lava pasa siempre por lavado, enjuague, desinfectante y secado, en este orden."
        )
    } else {
        format!(
            "Of all pairs of steps {free:.0} % may be done in either order. The rest has a reason: it is in the table. \
             Read from left to right, strip after strip; sides are done alike and stand there once. What is \
             washed always goes through wash, rinse, sanitiser and drying, in this order."
        )
    };
    let mut blocks = vec![Block::Heading(1, title.clone()), Block::Paragraph(told)];
    let whole = Picture::read(&poster.picture).map_err(NoPaper::Picture)?;
    let (first, column) = poster.columns;
    let wide = column * COLUMNS_IN_STRIP;
    // Behind the last column is a margin, which is no column.
    let columns = ((whole.width - first) / column).floor();
    let strips = (columns / COLUMNS_IN_STRIP).ceil().max(1.0) as usize;
    for strip in 0..strips {
        let from = first + wide * strip as f32;
        let alt = if language == "es" {
            format!("Tira {} de {strips} del orden; la tabla lo dice con palabras.", strip + 1)
        } else {
            format!("Strip {} of {strips} of the order; the table says it in words.", strip + 1)
        };
        blocks.push(Block::Figure(Figure { picture: whole.strip(from, from + wide), alt, scale_mm: None }));
    }
    blocks.push(Block::Heading(2, say(language, "Reasons", "Motivos").to_owned()));
    blocks.push(Block::Table(Table {
        summary: say(language, "Which step before which, and why", "Qué paso antes de cuál, y por qué")
            .to_owned(),
        head: ["First", "Then", "Why"]
            .iter()
            .zip(["Primero", "Después", "Por qué"])
            .map(|(english, spanish)| say(language, english, spanish).to_owned())
            .collect(),
        shares: vec![3.0, 3.0, 6.0],
        rows: poster
            .reasons
            .iter()
            .map(|reason| vec![reason.before.clone(), reason.after.clone(), reason.why.clone()])
            .collect(),
        marks: Vec::new(),
    }));
    Ok(Document { title, language: poster.language.clone(), blocks })
}
