//! Where the slots are: shared ones across the width, sides beside each other below.

use std::fmt::Write as _;

use crate::text::escape;
use crate::{Slot, Tray, slot as one};

/// Width of a cell in units of the picture.
pub const CELL_WIDTH: f64 = 118.0;
/// Height of a cell.
pub const CELL_HEIGHT: f64 = 126.0;
/// Cells across. Source: none, our choice: six are 29 mm each on paper, and large enough for a gloved finger.
pub const COLUMNS: usize = 6;

const HEAD: f64 = 24.0;
const GAP: f64 = 8.0;

/// Cells across that a side has.
pub(crate) fn columns_of_side(sides: usize) -> usize {
    (COLUMNS / sides.max(1)).max(1)
}

/// A row of headings, or a slot, and where it is.
struct Layout<'a> {
    heads: Vec<(f64, f64, &'a str)>,
    slots: Vec<(f64, f64, &'a Slot)>,
    width: f64,
    height: f64,
}

impl<'a> Layout<'a> {
    fn new(tray: &'a Tray) -> Self {
        let across = columns_of_side(tray.sides.len());
        let cells = COLUMNS.max(across * tray.sides.len());
        let gaps = GAP * tray.sides.len().saturating_sub(1) as f64;
        let mut layout = Self {
            heads: Vec::new(),
            slots: Vec::new(),
            width: cells as f64 * CELL_WIDTH + gaps,
            height: 0.0,
        };
        if !tray.shared.is_empty() {
            layout.place(&tray.shared, (0.0, 0.0), COLUMNS);
            layout.height = tray.shared.len().div_ceil(COLUMNS) as f64 * CELL_HEIGHT + GAP;
        }
        let top = layout.height;
        for (index, side) in tray.sides.iter().enumerate() {
            let left = index as f64 * (across as f64 * CELL_WIDTH + GAP);
            layout.heads.push((left + 4.0, top + 16.0, &side.title));
            layout.place(&side.slots, (left, top + HEAD), across);
            let bottom = top + HEAD + side.slots.len().div_ceil(across) as f64 * CELL_HEIGHT;
            layout.height = layout.height.max(bottom);
        }
        layout.height = layout.height.max(1.0);
        layout
    }

    fn place(&mut self, slots: &'a [Slot], (left, top): (f64, f64), columns: usize) {
        for (index, slot) in slots.iter().enumerate() {
            let (row, column) = (index / columns, index % columns);
            self.slots.push((left + column as f64 * CELL_WIDTH, top + row as f64 * CELL_HEIGHT, slot));
        }
    }
}

/// The tray as an SVG document.
///
/// It is a group of pictures, one for each slot, with title, state, stable id `slot-<number>` and data attributes
/// `state`, `part`, `slot`, `side`, `nth` and `of`. It needs no style sheet and no script.
pub fn svg(tray: &Tray) -> String {
    let layout = Layout::new(tray);
    let (width, height) = (layout.width, layout.height);
    let mut out = String::new();
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"group\" lang=\"{}\" \
         font-family=\"system-ui, sans-serif\">",
        escape(&tray.language)
    );
    let _ = writeln!(out, "<title>{}</title>", escape(&tray.title));
    for (x, y, title) in &layout.heads {
        let _ = writeln!(
            out,
            "<text x=\"{x}\" y=\"{y}\" font-size=\"14\" font-weight=\"bold\" fill=\"#0b5563\">{}</text>",
            escape(title)
        );
    }
    for (x, y, slot) in &layout.slots {
        out.push_str(&one::draw(slot, (*x, *y), &tray.language));
    }
    out.push_str("</svg>\n");
    out
}

/// One slot of the tray by its number, as it is in [`svg`]: what a page puts in the place of the old one.
pub fn slot(tray: &Tray, number: usize) -> Option<String> {
    let layout = Layout::new(tray);
    let (x, y, slot) = layout.slots.iter().find(|(_, _, slot)| slot.number == number)?;
    Some(one::draw(slot, (*x, *y), &tray.language))
}
