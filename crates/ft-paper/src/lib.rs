//! Documents for the wall and the folder, as tagged PDF.
//!
//! Pure functions from plain data to the bytes of a file: no clock, no disk, no fonts of the machine. Every document is
//! made as a [`Document`] of blocks, laid out on pages, and written with its structure (headings, paragraphs, lists,
//! tables with header cells, figures with their words), its language and its title; the writer holds it against
//! PDF/UA-1 and refuses what does not pass. Pictures are the SVG of the drawing crates, taken over shape by shape with
//! their text as text.
//!
//! Not here: what the documents say. Plans, records and machines become the plain structs of [`cards`], [`tray_map`],
//! [`poster`], [`packet`] and [`labels`] elsewhere.

pub mod cards;
mod document;
mod font;
pub mod labels;
mod layout;
pub mod packet;
mod picture;
pub mod poster;
mod qr;
mod sheet;
pub mod tray_map;
mod words;
mod write;

pub use document::{Block, Document, Figure, Mark, Step, Table};
pub use picture::{BadPicture, Picture};
pub use sheet::{Paper, Turn};

use std::fmt;

/// Why there is no document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoPaper {
    /// A picture that is not one of ours.
    Picture(BadPicture),
    /// The writer refused it: an error of this crate, told rather than a file that only looks right.
    Refused(String),
    /// A text is too long for a QR code (about 1,200 letters at its correction level).
    TooLongForQr(String),
    /// A measure that no sheet can have; what is wrong.
    Measure(String),
}

impl fmt::Display for NoPaper {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Picture(bad) => write!(out, "a picture cannot be taken over: {bad}"),
            Self::Refused(why) => write!(out, "the document does not pass PDF/UA-1: {why}"),
            Self::TooLongForQr(text) => {
                let begin: String = text.chars().take(30).collect();
                write!(out, "`{begin}…` is too long for a QR code")
            }
            Self::Measure(what) => out.write_str(what),
        }
    }
}

impl std::error::Error for NoPaper {}

/// The document as a PDF file.
///
/// # Errors
/// [`NoPaper`]; nothing half-made is given.
pub fn pdf(document: &Document, paper: Paper, turn: Turn) -> Result<Vec<u8>, NoPaper> {
    let sheet = sheet::Sheet::new(paper, turn);
    write::write(&layout::lay_out(document, sheet), document)
}
