//! Tables: a row of headings, again on each page; rows that stay whole unless a page is too short for one.

use super::{ACCENT, Flow, INK, Look, NodeId, QUIET, Role, plain};
use crate::document::{Mark, Table};
use crate::picture::{Segment, Shape};

const CELL: Look = Look { size: 9.0, bold: false, colour: INK, leading: 12.0 };
const HEAD: Look = Look { size: 8.5, bold: true, colour: ACCENT, leading: 11.5 };
const HEAD_LINES: usize = 5;
const PAD: f32 = 4.0;
const MARK: f32 = 13.0;

pub(super) fn draw(flow: &mut Flow, table: &Table) {
    let whole: f32 = table.shares.iter().sum();
    let widths: Vec<f32> = table.shares.iter().map(|share| flow.sheet.inner() * share / whole).collect();
    let node = flow.node(Role::Table(table.summary.clone()), None);
    let mut heads: Vec<Vec<String>> = cells(flow, &table.head, &widths, HEAD, 0.0);
    // Headings come again on every page, so a wild one must not fill it.
    for lines in &mut heads {
        lines.truncate(HEAD_LINES);
    }
    let tallest = heads.iter().map(Vec::len).max().unwrap_or(0);
    flow.room(HEAD.leading * tallest as f32 + 3.0 * CELL.leading + 4.0 * PAD);
    head(flow, &heads, &widths, Some(node));
    let page = flow.sheet.bottom - flow.sheet.top - HEAD.leading * tallest as f32 - 6.0 * PAD;
    let most = ((page / CELL.leading) as usize).max(1);
    for (index, row) in table.rows.iter().enumerate() {
        let mark = table.marks.get(index);
        let lines = cells(flow, row, &widths, CELL, if table.marks.is_empty() { 0.0 } else { MARK });
        let longest = lines.iter().map(Vec::len).max().unwrap_or(0).max(1);
        // A row that is higher than a page goes on in a row below it.
        for from in (0..longest).step_by(most) {
            let count = (longest - from).min(most);
            let height = CELL.leading * count as f32 + PAD;
            if flow.sheet.bottom < flow.y + height {
                flow.next_page();
                head(flow, &heads, &widths, None);
            }
            let part: Vec<&[String]> = lines
                .iter()
                .map(|lines| &lines[from.min(lines.len())..(from + count).min(lines.len())])
                .collect();
            one_row(flow, node, &part, &widths, (mark.filter(|_| from == 0), !table.marks.is_empty()));
            flow.y += height;
            flow.hairline(flow.y - PAD / 2.0);
            flow.y += PAD / 2.0;
        }
    }
    flow.y += 8.0;
}

fn cells(flow: &Flow, texts: &[String], widths: &[f32], look: Look, indent: f32) -> Vec<Vec<String>> {
    let lines = |(index, (text, width)): (usize, (&String, &f32))| {
        let indent = if index == 0 { indent } else { 0.0 };
        flow.fonts.lines(text, look.size, look.bold, width - PAD - indent)
    };
    texts.iter().zip(widths).enumerate().map(lines).collect()
}

/// The headings; where they are repeated they are not read again.
fn head(flow: &mut Flow, heads: &[Vec<String>], widths: &[f32], table: Option<NodeId>) {
    let row = table.map(|table| flow.node(Role::Row, Some(table)));
    let mut x = flow.sheet.left;
    let top = flow.y;
    for (lines, width) in heads.iter().zip(widths) {
        let cell = row.map(|row| flow.node(Role::Head, Some(row)));
        for (index, line) in lines.iter().enumerate() {
            flow.text(cell, (x, top + HEAD.size + HEAD.leading * index as f32), HEAD, line);
        }
        x += width;
    }
    let tallest = heads.iter().map(Vec::len).max().unwrap_or(0);
    flow.y = top + HEAD.leading * tallest as f32 + PAD;
    let segments = vec![Segment::Move((flow.sheet.left, flow.y)), Segment::Line((flow.sheet.right, flow.y))];
    flow.put(None, Shape::Path { segments, fill: None, line: Some(plain(ACCENT, 1.0)) });
    flow.y += PAD / 2.0 + 1.0;
}

fn one_row(
    flow: &mut Flow,
    table: NodeId,
    lines: &[&[String]],
    widths: &[f32],
    (mark, has_marks): (Option<&Mark>, bool),
) {
    let row = flow.node(Role::Row, Some(table));
    let mut x = flow.sheet.left;
    if let Some(mark) = mark {
        sign(flow, *mark, (x + 1.0, flow.y + 2.0));
    }
    for (index, (lines, width)) in lines.iter().zip(widths).enumerate() {
        let cell = flow.node(Role::Cell, Some(row));
        let indent = if index == 0 && has_marks { MARK } else { 0.0 };
        for (line, text) in lines.iter().enumerate() {
            let base = flow.y + CELL.size * 0.95 + CELL.leading * line as f32;
            flow.text(Some(cell), (x + indent, base), CELL, text);
        }
        x += width;
    }
}

fn sign(flow: &mut Flow, mark: Mark, (x, y): (f32, f32)) {
    let at = |points: &[(f32, f32)]| -> Vec<Segment> {
        let place = |(index, (dx, dy)): (usize, &(f32, f32))| match index {
            0 => Segment::Move((x + dx, y + dy)),
            _ => Segment::Line((x + dx, y + dy)),
        };
        points.iter().enumerate().map(place).collect()
    };
    let (segments, line) = match mark {
        Mark::Good => (at(&[(0.0, 4.0), (2.6, 7.0), (8.0, 0.5)]), plain(ACCENT, 1.6)),
        Mark::Bad => {
            let mut cross = at(&[(0.5, 0.5), (7.5, 7.5)]);
            cross.extend(at(&[(7.5, 0.5), (0.5, 7.5)]));
            (cross, plain(INK, 2.0))
        }
        Mark::Open => (super::circle((x + 4.0, y + 4.0), 3.4), plain(QUIET, 1.2)),
    };
    flow.put(None, Shape::Path { segments, fill: None, line: Some(line) });
}
