//! Small multiples: one small chart for each pair of two things that vary, all with the same axes, so that a panel
//! is read against its neighbours.

use ft_maths::{log10, pow};

use crate::Series;
use crate::svg;

/// What a grid of panels shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Panels<'a> {
    /// Title.
    pub title: &'a str,
    /// What runs to the right in each panel.
    pub x: &'a str,
    /// Where the axis to the right is marked, rising; it begins at 0 and ends a little after the last.
    pub x_ticks: &'a [f64],
    /// What runs up in each panel, logarithmic.
    pub y: &'a str,
    /// What the columns stand for, left to right.
    pub columns: &'a [String],
    /// What the rows stand for, top to bottom.
    pub rows: &'a [String],
    /// By row, by column: the measurements. Series of one name are drawn alike; values that are not above zero are
    /// left out.
    pub panels: &'a [Vec<Vec<Series<'a>>>],
}

const LEFT: f64 = 110.0;
const TOP: f64 = 74.0;
const WIDE: f64 = 150.0;
const HIGH: f64 = 62.0;
const GAP: f64 = 14.0;
const FAINT: &str = "stroke=\"currentColor\" stroke-opacity=\"0.15\"";

/// Draws the panels.
pub fn panels_svg(grid: &Panels) -> String {
    let size = |count: usize, each: f64| count.max(1) as f64 * (each + GAP) - GAP;
    let (right, bottom) = (LEFT + size(grid.columns.len(), WIDE), TOP + size(grid.rows.len(), HIGH));
    let description = format!("{} (logarithmic) against {}, panel by panel.", grid.y, grid.x);
    let mut out = svg::open(right as u32 + 20, bottom as u32 + 50, grid.title, &description);
    out += &svg::text(8.0, 18.0, "start", grid.title);
    out += &legend(grid);
    let y = decades(grid);
    for (column, name) in grid.columns.iter().enumerate() {
        let from = LEFT + column as f64 * (WIDE + GAP);
        out += &svg::text(from + WIDE / 2.0, TOP - 8.0, "middle", name);
        for &tick in grid.x_ticks {
            out += &svg::text(from + across(grid, tick), bottom + 15.0, "middle", &format!("{tick}"));
        }
    }
    out += &svg::text(f64::midpoint(LEFT, right), bottom + 36.0, "middle", grid.x);
    for (row, name) in grid.rows.iter().enumerate() {
        let from = TOP + row as f64 * (HIGH + GAP);
        out += &svg::text(8.0, from + HIGH / 2.0 + 4.0, "start", name);
        for decade in y.0..=y.1 {
            let at = from + HIGH - up(y, pow(10.0, f64::from(decade)));
            out += &svg::text(LEFT - 5.0, at + 4.0, "end", &crate::axis::label(pow(10.0, f64::from(decade))));
        }
        for column in 0..grid.columns.len() {
            let corner = (LEFT + column as f64 * (WIDE + GAP), from);
            let series = grid.panels.get(row).and_then(|row| row.get(column)).map_or(&[][..], Vec::as_slice);
            out += &panel(grid, corner, y, series);
        }
    }
    out += "</svg>\n";
    out
}

/// What is measured, and which line is which.
fn legend(grid: &Panels) -> String {
    let mut out = svg::text(8.0, 38.0, "start", grid.y);
    let mut at = LEFT + WIDE;
    for (index, name) in names(grid).into_iter().enumerate() {
        out += &svg::line((at, 34.0), (at + 30.0, 34.0), &stroke(index));
        out += &svg::text(at + 36.0, 38.0, "start", name);
        at += 60.0 + 7.0 * name.chars().count() as f64;
    }
    out
}

/// Names of series in the order of their coming.
fn names<'a>(grid: &Panels<'a>) -> Vec<&'a str> {
    let mut names = Vec::new();
    for series in grid.panels.iter().flatten().flatten() {
        if !names.contains(&series.name) {
            names.push(series.name);
        }
    }
    names
}

fn panel(grid: &Panels, (left, top): (f64, f64), y: (i32, i32), series: &[Series]) -> String {
    let mut out = String::new();
    for decade in y.0..=y.1 {
        let at = top + HIGH - up(y, pow(10.0, f64::from(decade)));
        out += &svg::line((left, at), (left + WIDE, at), FAINT);
    }
    for &tick in grid.x_ticks {
        let at = left + across(grid, tick);
        out += &svg::line((at, top), (at, top + HIGH), FAINT);
    }
    let names = names(grid);
    for one in series {
        let place = |point: &(f64, f64)| (left + across(grid, point.0), top + HIGH - up(y, point.1));
        let line: Vec<(f64, f64)> = one.points.iter().filter(|point| point.1 > 0.0).map(place).collect();
        let index = names.iter().position(|name| *name == one.name).unwrap_or(0);
        out += &svg::polyline(&line, &stroke(index));
    }
    out
}

fn stroke(index: usize) -> String {
    let dashes = if index == 0 { String::new() } else { format!(" stroke-dasharray=\"{} 3\"", 2 * index) };
    format!("stroke=\"currentColor\" stroke-width=\"1.5\"{dashes}")
}

fn across(grid: &Panels, value: f64) -> f64 {
    value / (grid.x_ticks.last().copied().unwrap_or(1.0) * 1.06) * WIDE
}

fn up(y: (i32, i32), value: f64) -> f64 {
    (log10(value) - f64::from(y.0)) / f64::from(y.1 - y.0) * HIGH
}

fn decades(grid: &Panels) -> (i32, i32) {
    let values = grid.panels.iter().flatten().flatten().flat_map(|series| &series.points);
    let logs = || values.clone().filter(|point| point.1 > 0.0).map(|point| log10(point.1));
    let low = logs().fold(f64::INFINITY, f64::min).floor();
    let high = logs().fold(f64::NEG_INFINITY, f64::max).ceil();
    if low.is_finite() && high > low { (low as i32, high as i32) } else { (0, 1) }
}

#[cfg(test)]
mod tests {
    use super::{Panels, panels_svg};
    use crate::Series;

    #[test]
    fn each_series_is_drawn_in_its_panel_and_named_once() {
        let line = |name: &'static str, y: f64| Series { name, points: vec![(10.0, y), (80.0, 10.0 * y)] };
        let panels = [vec![vec![line("loose", 0.1)], vec![line("loose", 1.0), line("line", 0.0)]]];
        let svg = panels_svg(&Panels {
            title: "t",
            x: "steps",
            x_ticks: &[10.0, 80.0],
            y: "ms",
            columns: &["1 side".into(), "2 sides".into()],
            rows: &["1 person".into()],
            panels: &panels,
        });
        assert_eq!(svg.matches(">loose</text>").count(), 1);
        assert_eq!(svg.matches("<polyline").count(), 3);
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
    }

    #[test]
    fn nothing_is_drawn_as_nothing() {
        let empty = Panels { title: "t", x: "x", x_ticks: &[], y: "y", columns: &[], rows: &[], panels: &[] };
        let svg = panels_svg(&empty);
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
    }
}
