//! The tray as a picture: a slot for each single part, so that a missing one shows.
//!
//! A pure function from plain data to SVG text; the same text goes into a page and onto paper. States differ in line,
//! in mark and in word, never in colour alone. A slot can be drawn by itself, so that a page puts a new one in the
//! place of the old one as parts arrive. The outlines show the kind of a part, and only roughly how large it is.

mod from_machine;
mod layout;
mod outline;
mod slot;
mod text;

pub use from_machine::tray;
pub use layout::{CELL_HEIGHT, CELL_WIDTH, COLUMNS, slot, svg};
pub use outline::Outline;

/// A tray with all its slots.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tray {
    /// Whose tray it is.
    pub title: String,
    /// Language of the words in the picture, such as `es`; English where there is none.
    pub language: String,
    /// Slots of parts that exist once, across the whole width.
    pub shared: Vec<Slot>,
    /// Slots of each side, side by side.
    pub sides: Vec<Lane>,
}

/// The slots of a side.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lane {
    /// What the side is called.
    pub title: String,
    /// Its slots in reading order.
    pub slots: Vec<Slot>,
}

/// The place of a single part.
#[derive(Debug, Clone, PartialEq)]
pub struct Slot {
    /// Counts from 1 over the whole tray; the element's id is `slot-` and this number.
    pub number: usize,
    /// The name that the machine file uses for the part.
    pub part: String,
    /// The name that people read.
    pub label: String,
    /// The file's code for the slot, such as `A3`; may be empty.
    pub code: String,
    /// The name that the machine file uses for the side, if the part has one.
    pub side: Option<String>,
    /// Which of how many equal ones, counted from 1.
    pub nth: (u32, u32),
    /// What it looks like.
    pub outline: Outline,
    /// How large it is drawn, as a share of the usual size; 0.6 to 1.
    pub scale: f64,
    /// What is in it.
    pub state: State,
}

/// What is in a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum State {
    /// Nothing yet.
    #[default]
    Empty,
    /// The part, clean.
    Filled,
    /// The part was looked for and is not there.
    Missing,
    /// A spare in place of the part.
    Spare,
    /// Nothing any more: the part is back in the machine.
    Fitted,
}

impl State {
    /// Every state.
    pub const ALL: [Self; 5] = [Self::Empty, Self::Filled, Self::Missing, Self::Spare, Self::Fitted];

    /// The word for programs: the value of `data-state`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Empty => "empty",
            Self::Filled => "filled",
            Self::Missing => "missing",
            Self::Spare => "spare",
            Self::Fitted => "fitted",
        }
    }

    /// The word for people, as it stands in the picture.
    pub fn word(self, language: &str) -> &'static str {
        match (self, language) {
            (Self::Empty, "es") => "vacío",
            (Self::Filled, "es") => "en su sitio",
            (Self::Missing, "es") => "FALTA",
            (Self::Spare, "es") => "repuesto",
            (Self::Fitted, "es") => "montado",
            (Self::Empty, _) => "empty",
            (Self::Filled, _) => "in place",
            (Self::Missing, _) => "MISSING",
            (Self::Spare, _) => "spare",
            (Self::Fitted, _) => "fitted",
        }
    }
}

impl Tray {
    /// All slots: shared ones, then side by side.
    pub fn slots(&self) -> impl Iterator<Item = &Slot> {
        self.shared.iter().chain(self.sides.iter().flat_map(|side| &side.slots))
    }

    /// The same, to change states.
    pub fn slots_mut(&mut self) -> impl Iterator<Item = &mut Slot> {
        self.shared.iter_mut().chain(self.sides.iter_mut().flat_map(|side| &mut side.slots))
    }

    /// The tray in pieces of at most `rows` rows of cells, in reading order, each with the numbers of the whole: what
    /// fits on a sheet of paper.
    pub fn pieces(&self, rows: usize) -> Vec<Tray> {
        let rows = rows.max(1);
        let part = |shared: &[Slot], sides: Vec<Lane>| Tray {
            title: self.title.clone(),
            language: self.language.clone(),
            shared: shared.to_vec(),
            sides,
        };
        let mut pieces: Vec<Tray> =
            self.shared.chunks(rows * COLUMNS).map(|slots| part(slots, Vec::new())).collect();
        let across = layout::columns_of_side(self.sides.len());
        let longest = self.sides.iter().map(|side| side.slots.len()).max().unwrap_or(0);
        // What is left of the last sheet takes the first rows of the sides, if it is worth it.
        let mut from = 0;
        let taken = pieces.last().map_or(0, |last| last.shared.len().div_ceil(COLUMNS) + 1);
        let mut room = if taken + 2 <= rows && 0 < taken { rows - taken } else { 0 };
        while from < longest {
            let fresh = room == 0;
            let slots = if fresh { rows } else { room } * across;
            let lane = |side: &Lane| Lane {
                title: side.title.clone(),
                slots: side.slots.iter().skip(from).take(slots).cloned().collect(),
            };
            let sides = self.sides.iter().map(lane).collect();
            match pieces.last_mut() {
                Some(last) if !fresh => last.sides = sides,
                Some(_) | None => pieces.push(part(&[], sides)),
            }
            from += slots;
            room = 0;
        }
        pieces
    }
}

#[cfg(test)]
mod tests;
