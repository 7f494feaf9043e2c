//! What a document is made of, before there are pages.

use crate::picture::Picture;

/// A document: its title, its language, and blocks in reading order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    /// Title: in the properties of the file and at the foot of each page.
    pub title: String,
    /// Language of its text, such as `es`.
    pub language: String,
    /// Its blocks. The first should be a heading of level 1.
    pub blocks: Vec<Block>,
}

/// A block.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading; level 1 to 3, none skipped.
    Heading(u8, String),
    /// A paragraph.
    Paragraph(String),
    /// A paragraph to be seen first: large and bold.
    Lead(String),
    /// A paragraph in small print.
    Note(String),
    /// A list.
    List(Vec<String>),
    /// Things to do, in order, each kept on one page.
    Steps(Vec<Step>),
    /// A table.
    Table(Table),
    /// A picture.
    Figure(Figure),
    /// A bar 50 mm long, to hold a ruler to; the words beside it.
    Ruler(String),
    /// What follows begins on a new page.
    PageBreak,
}

/// Something to do.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Step {
    /// When, such as `21:40`.
    pub at: String,
    /// What to beware of; stands before what to do.
    pub cautions: Vec<String>,
    /// What.
    pub title: String,
    /// How, in a few sentences.
    pub says: String,
    /// Where, how long, with whom.
    pub about: String,
    /// A box to tick, or none where hands do nothing.
    pub has_box: bool,
}

/// A table with a row of headings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// What it shows, for those who hear it.
    pub summary: String,
    /// Headings.
    pub head: Vec<String>,
    /// Widths as shares; as many as headings.
    pub shares: Vec<f32>,
    /// Rows; as many cells as headings.
    pub rows: Vec<Vec<String>>,
    /// A mark before the first cell of each row; empty for none.
    pub marks: Vec<Mark>,
}

/// A mark at the begin of a row. The word for it stands in the row as well.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// As it should be.
    Good,
    /// Not as it should be.
    Bad,
    /// Not known.
    Open,
}

/// A picture with its words.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The picture.
    pub picture: Picture,
    /// What it shows, for those who do not see it.
    pub alt: String,
    /// Millimetres for a unit of the picture; `None`: as wide as the page allows.
    pub scale_mm: Option<f32>,
}
