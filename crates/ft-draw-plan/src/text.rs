//! The timeline for the terminal: a picture, then each person's list.

use std::fmt::Write as _;

use ft_night::{Plan, Problem};

use crate::Clock;
use crate::lanes::{Bar, Lane, lanes};

/// The plan as lines of text, each with a line break; the picture is at most `columns` wide (at least 40 are used).
///
/// In the picture a bar begins with the number of its task in the list, where it fits; `█` and `▓` alternate so that
/// neighbours can be told apart without colour.
pub fn text(problem: &Problem, plan: &Plan, clock: Clock, language: &str, columns: usize) -> String {
    if plan.assignments.is_empty() {
        return String::new();
    }
    let lanes = lanes(problem, plan, language);
    let name_width = lanes.iter().map(|lane| lane.name.chars().count()).max().unwrap_or(0).min(18);
    let width = columns.max(40) - name_width - 1;
    let end_s = plan.score.ends_at_s.max(1);
    let mut out = ruler(clock, end_s, name_width, width);
    for lane in &lanes {
        let name: String = lane.name.chars().take(name_width).collect();
        let _ = writeln!(out, "{name:<name_width$} {}", row(lane, end_s, width).trim_end());
    }
    for lane in lanes.iter().take(problem.people.len()) {
        let _ = writeln!(out, "\n{}", lane.name);
        for bar in &lane.bars {
            let _ = writeln!(out, "  {}  {:>3}  {}", clock.hour(bar.start_s), bar.task + 1, bar.label);
        }
    }
    out
}

/// A mark for every so many minutes that leaves room for the hour.
fn ruler(clock: Clock, end_s: u32, name_width: usize, width: usize) -> String {
    let steps_min = [1, 2, 5, 10, 15, 30, 60, 120];
    let fits = |minutes: &&u32| column(**minutes * 60, end_s, width) >= 8;
    let step_s = steps_min.iter().find(fits).copied().unwrap_or(120) * 60;
    let mut line = vec![' '; width + 6];
    let mut at_s = 0;
    while at_s <= end_s {
        for (offset, letter) in clock.hour(at_s).chars().enumerate() {
            line[column(at_s, end_s, width) + offset] = letter;
        }
        at_s += step_s;
    }
    let line: String = line.into_iter().collect();
    format!("{:name_width$} {}\n", "", line.trim_end())
}

fn column(at_s: u32, end_s: u32, width: usize) -> usize {
    (u64::from(at_s) * width as u64 / u64::from(end_s)) as usize
}

fn row(lane: &Lane, end_s: u32, width: usize) -> String {
    let mut cells = vec![' '; width];
    for (index, bar) in lane.bars.iter().enumerate() {
        fill(&mut cells, bar, if index % 2 == 0 { '█' } else { '▓' }, end_s);
    }
    cells.into_iter().collect()
}

fn fill(cells: &mut [char], bar: &Bar, ink: char, end_s: u32) {
    let width = cells.len();
    let from = column(bar.start_s, end_s, width).min(width - 1);
    let to = column(bar.end_s, end_s, width).clamp(from + 1, width);
    let number = (bar.task + 1).to_string();
    cells[from..to].fill(ink);
    if number.len() < to - from {
        for (offset, digit) in number.chars().enumerate() {
            cells[from + offset] = digit;
        }
    }
}
