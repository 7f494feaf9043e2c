//! Lot labels: what it is, which lot, until when; with a QR code. On sheets of labels, or one to a page.

mod one;
#[cfg(test)]
mod tests;

use serde::{Deserialize, Serialize};

use crate::document::Document;
use crate::layout::{Flow, Pages};
use crate::sheet::{MM, Paper, Sheet, Turn};
use crate::{NoPaper, write};

/// Labels and the sheet that they are on.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Labels {
    /// Language, such as `es`.
    pub language: String,
    /// The sheet.
    #[serde(default)]
    pub sheet: LabelSheet,
    /// The labels.
    pub labels: Vec<Label>,
}

/// Labels on a sheet, in millimetres. As many as fit are on it, centred.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LabelSheet {
    /// Width and height of a label; 40 to 200 and 25 to 250.
    pub label_mm: [f32; 2],
    /// Between labels, across and down.
    pub gap_mm: [f32; 2],
    /// What the printer cannot reach at the edges of the sheet.
    pub margin_mm: f32,
    /// Labels of the first sheet that are used already.
    pub used: usize,
}

impl Default for LabelSheet {
    /// Source: none, our choice: two across, large enough for a gloved hand and for the code.
    fn default() -> Self {
        Self { label_mm: [90.0, 50.0], gap_mm: [4.0, 4.0], margin_mm: 8.0, used: 0 }
    }
}

/// A label.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Label {
    /// The product.
    pub product: String,
    /// Code of the lot.
    pub lot: String,
    /// When it was opened or made, as it is to be read.
    #[serde(default)]
    pub begun: String,
    /// Discard by, date and time, as it is to be read.
    pub discard_by: String,
    /// How it is to be kept, such as `below 5 °C`.
    #[serde(default)]
    pub keep: String,
    /// Allergens.
    #[serde(default)]
    pub allergens: Vec<String>,
    /// Anything else.
    #[serde(default)]
    pub note: String,
    /// What the QR code says; the code of the lot if left out.
    #[serde(default)]
    pub code: String,
    /// How many of this label; 1 if left out.
    #[serde(default = "one_copy")]
    pub copies: usize,
}

fn one_copy() -> usize {
    1
}

/// Labels that one file may hold.
const MOST: usize = 5000;

/// Labels on sheets.
///
/// # Errors
/// [`NoPaper`]: a measure out of range, a label too small for its words, a code too long.
pub fn sheets(labels: &Labels, paper: Paper) -> Result<Vec<u8>, NoPaper> {
    let LabelSheet { label_mm, gap_mm, margin_mm, used } = labels.sheet;
    measures(labels)?;
    let [wide, high] = label_mm;
    let (paper_wide, paper_high) = paper.size_mm();
    let fit =
        |paper: f32, label: f32, gap: f32| ((paper - 2.0 * margin_mm + gap) / (label + gap) + 1e-3) as usize;
    let columns = fit(paper_wide, wide, gap_mm[0]);
    let rows = fit(paper_high, high, gap_mm[1]);
    if columns == 0 || rows == 0 {
        return Err(NoPaper::Measure(format!("a label of {wide} × {high} mm does not fit on the sheet")));
    }
    if columns * rows <= used {
        return Err(NoPaper::Measure(format!(
            "{used} labels are used already, and a sheet has {}",
            columns * rows
        )));
    }
    let across = columns as f32 * (wide + gap_mm[0]) - gap_mm[0];
    let down = rows as f32 * (high + gap_mm[1]) - gap_mm[1];
    let (left, top) = ((paper_wide - across) / 2.0, (paper_high - down) / 2.0);
    let mut flow = Flow::new(Sheet::new(paper, Turn::Portrait));
    for (index, label) in copies(labels).enumerate() {
        let place = (used + index) % (columns * rows);
        if place == 0 && 0 < index {
            flow.next_page();
        }
        let (row, column) = (place / columns, place % columns);
        let at = (left + column as f32 * (wide + gap_mm[0]), top + row as f32 * (high + gap_mm[1]));
        one::draw(
            &mut flow,
            label,
            (at.0 * MM, at.1 * MM),
            (wide * MM, high * MM),
            (&labels.language, true),
        )?;
    }
    finish(&flow.bare(), labels)
}

/// One label to a page of its size, for a printer of labels.
///
/// # Errors
/// As [`sheets`].
pub fn single(labels: &Labels) -> Result<Vec<u8>, NoPaper> {
    measures(labels)?;
    let [wide, high] = labels.sheet.label_mm;
    let mut flow = Flow::new(Sheet::bare(wide, high));
    for (index, label) in copies(labels).enumerate() {
        if 0 < index {
            flow.next_page();
        }
        one::draw(&mut flow, label, (0.0, 0.0), (wide * MM, high * MM), (&labels.language, false))?;
    }
    finish(&flow.bare(), labels)
}

fn copies(labels: &Labels) -> impl Iterator<Item = &Label> {
    labels.labels.iter().flat_map(|label| std::iter::repeat_n(label, label.copies))
}

fn measures(labels: &Labels) -> Result<(), NoPaper> {
    let wrong = |what: String| Err(NoPaper::Measure(what));
    let LabelSheet { label_mm: [wide, high], gap_mm, margin_mm, .. } = labels.sheet;
    if !((40.0..=200.0).contains(&wide) && (25.0..=250.0).contains(&high)) {
        return wrong(format!("a label of {wide} × {high} mm is not from 40 × 25 to 200 × 250 mm"));
    }
    if !gap_mm.iter().chain([&margin_mm]).all(|mm| (0.0..=50.0).contains(mm)) {
        return wrong("gaps and margin have to be from 0 to 50 mm".to_owned());
    }
    let mut count = 0_usize;
    for label in &labels.labels {
        count = count.saturating_add(label.copies);
    }
    match count {
        0 => wrong("there are no labels".to_owned()),
        1..=MOST => Ok(()),
        _ => wrong(format!("{count} labels are more than the {MOST} that one file may hold")),
    }
}

fn finish(pages: &Pages, labels: &Labels) -> Result<Vec<u8>, NoPaper> {
    let title = crate::words::say(&labels.language, "Lot labels", "Etiquetas de lote").to_owned();
    let document = Document { title, language: labels.language.clone(), blocks: Vec::new() };
    write::write(pages, &document)
}
