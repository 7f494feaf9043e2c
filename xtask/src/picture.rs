//! Draws `docs/crates.svg`: each crate on the lowest level that lets all its arrows point down.
//!
//! An arrow that other arrows already imply is left out, for the eye; the table in ARCHITECTURE.md has them all.
//! Rows are put in an order with few crossings by the usual sweeps of averages (K. Sugiyama, S. Tagawa, M. Toda,
//! Methods for Visual Understanding of Hierarchical System Structures, 1981). The same workspace gives the same
//! bytes: names are sorted, and every place is a whole number.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;

use crate::Findings;
use crate::metadata::Workspace;

const FILE: &str = "docs/crates.svg";

/// Draws the picture into its file.
///
/// # Errors
/// When the file cannot be written.
pub fn write(root: &Path, workspace: &Workspace) -> Result<(), String> {
    std::fs::write(root.join(FILE), draw(&uses(workspace))).map_err(|error| format!("{FILE}: {error}"))
}

/// Says whether the file is what would be drawn now.
///
/// # Errors
/// When the file cannot be read.
pub fn check(root: &Path, workspace: &Workspace) -> Result<Findings, String> {
    let there = std::fs::read_to_string(root.join(FILE)).map_err(|error| format!("{FILE}: {error}"))?;
    let is_current = there == draw(&uses(workspace));
    let old = format!("{FILE} is out of date: `cargo run -p xtask -- picture` draws it anew");
    Ok(if is_current { Vec::new() } else { vec![old] })
}

/// For each crate the crates that it uses when it is built.
type Uses = BTreeMap<String, BTreeSet<String>>;

fn uses(workspace: &Workspace) -> Uses {
    workspace.members.iter().map(|(name, arrows)| (name.clone(), arrows.built.clone())).collect()
}

/// A place in a row: a crate, or a bend of an arrow that runs past this row.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Spot {
    Crate(String),
    Bend { from: String, to: String, level: usize },
}

/// Rows from the bottom up, and the short arrows between neighbouring rows, from above to below.
struct Rows {
    rows: Vec<Vec<Spot>>,
    arrows: Vec<(Spot, Spot)>,
}

fn draw(uses: &Uses) -> String {
    let levels = levels(uses);
    let mut rows = rows(&reduced(uses), &levels);
    untangle(&mut rows);
    svg(&rows)
}

/// The length of the longest way down from each crate; the workspace has no circles, or cargo would not build it.
fn levels(uses: &Uses) -> BTreeMap<&str, usize> {
    let mut levels: BTreeMap<&str, usize> = uses.keys().map(|name| (name.as_str(), 0)).collect();
    for _ in 0..uses.len() {
        for (name, below) in uses {
            let level = below.iter().map(|other| levels[other.as_str()] + 1).max().unwrap_or(0);
            levels.insert(name, level);
        }
    }
    levels
}

/// The arrows without those that a longer way already implies.
fn reduced(uses: &Uses) -> Uses {
    let is_implied = |below: &BTreeSet<String>, to: &str| {
        below.iter().any(|other| other != to && reaches(uses, other, to))
    };
    let kept = |below: &BTreeSet<String>| below.iter().filter(|to| !is_implied(below, to)).cloned().collect();
    uses.iter().map(|(name, below)| (name.clone(), kept(below))).collect()
}

fn reaches(uses: &Uses, from: &str, to: &str) -> bool {
    uses[from].iter().any(|next| next == to || reaches(uses, next, to))
}

fn rows(uses: &Uses, levels: &BTreeMap<&str, usize>) -> Rows {
    let height = levels.values().max().map_or(0, |top| top + 1);
    let mut rows = vec![Vec::new(); height];
    let mut arrows = Vec::new();
    for (name, below) in uses {
        rows[levels[name.as_str()]].push(Spot::Crate(name.clone()));
        for to in below {
            let mut above = Spot::Crate(name.clone());
            for level in (levels[to.as_str()] + 1..levels[name.as_str()]).rev() {
                let bend = Spot::Bend { from: name.clone(), to: to.clone(), level };
                rows[level].push(bend.clone());
                arrows.push((above, bend.clone()));
                above = bend;
            }
            arrows.push((above, Spot::Crate(to.clone())));
        }
    }
    Rows { rows, arrows }
}

/// Sorts each row by the average place of its neighbours, down and up, as long as crossings become fewer.
fn untangle(rows: &mut Rows) {
    let mut best = rows.rows.clone();
    let mut fewest = crossings(rows);
    for round in 0..24 {
        for step in 1..rows.rows.len() {
            if round % 2 == 0 {
                sort_row(rows, step, step - 1);
            } else {
                let upper = rows.rows.len() - step;
                sort_row(rows, upper - 1, upper);
            }
        }
        let count = crossings(rows);
        if count < fewest {
            fewest = count;
            best.clone_from(&rows.rows);
        }
    }
    rows.rows = best;
}

/// The short arrows between `upper` and the row under it, as places in both.
fn between(rows: &Rows, upper: usize) -> Vec<(usize, usize)> {
    let places = |row: &[Spot]| -> BTreeMap<Spot, usize> {
        row.iter().enumerate().map(|(place, spot)| (spot.clone(), place)).collect()
    };
    let (above, below) = (places(&rows.rows[upper]), places(&rows.rows[upper - 1]));
    let pairs = rows.arrows.iter().filter_map(|(from, to)| Some((*above.get(from)?, *below.get(to)?)));
    pairs.collect()
}

fn crossings(rows: &Rows) -> usize {
    (1..rows.rows.len())
        .map(|upper| {
            let pairs = between(rows, upper);
            let cross = |a: &(usize, usize), b: &(usize, usize)| a.0 < b.0 && b.1 < a.1;
            pairs.iter().map(|a| pairs.iter().filter(|b| cross(a, b)).count()).sum::<usize>()
        })
        .sum()
}

fn sort_row(rows: &mut Rows, row: usize, other: usize) {
    let upper = row.max(other);
    let mut near: Vec<Vec<usize>> = vec![Vec::new(); rows.rows[row].len()];
    for (above, below) in between(rows, upper) {
        let (mine, theirs) = if row == upper { (above, below) } else { (below, above) };
        near[mine].push(theirs);
    }
    // Averages in thousandths, so that they are whole numbers; who has no neighbour stays about where it is.
    let width = rows.rows[other].len() * 1000 / rows.rows[row].len().max(1);
    let average = |place: usize| match near[place].as_slice() {
        [] => place * width,
        near => near.iter().sum::<usize>() * 1000 / near.len(),
    };
    let mut sorted: Vec<(usize, Spot)> =
        rows.rows[row].iter().enumerate().map(|(place, spot)| (average(place), spot.clone())).collect();
    sorted.sort_by_key(|(average, _)| *average);
    rows.rows[row] = sorted.into_iter().map(|(_, spot)| spot).collect();
}

const BOX: (usize, usize) = (100, 26);
const BEND: usize = 8;
const GAP: usize = 10;
const RISE: usize = 100;
const MARGIN: usize = 20;

fn width_of(spot: &Spot) -> usize {
    match spot {
        Spot::Crate(_) => BOX.0,
        Spot::Bend { .. } => BEND,
    }
}

fn width_of_row(row: &[Spot]) -> usize {
    row.iter().map(|spot| width_of(spot) + GAP).sum()
}

fn svg(rows: &Rows) -> String {
    let wide = rows.rows.iter().map(|row| width_of_row(row)).max().unwrap_or(0);
    let (width, height) = (wide + 2 * MARGIN, rows.rows.len() * RISE + MARGIN);
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\">\n\
         <title>The crates of Fulltray and what each builds on</title>\n\
         <desc>Arrows point down, from a crate to one that it uses; those that others imply are left out.</desc>\n\
         <style>\n\
         rect {{ fill: #fff; stroke: #345; }} text {{ fill: #123; font: 12px sans-serif; text-anchor: middle; }}\n\
         path {{ fill: none; stroke: #678; }}\n\
         @media (prefers-color-scheme: dark) {{\n\
         rect {{ fill: #123; stroke: #9ab; }} text {{ fill: #eef; }} path {{ stroke: #89a; }} }}\n\
         </style>\n"
    );
    let places: Vec<BTreeMap<Spot, (usize, usize)>> = rows
        .rows
        .iter()
        .enumerate()
        .map(|(level, row)| places(row, wide, height - (level + 1) * RISE))
        .collect();
    for upper in 1..places.len() {
        for (from, to) in &rows.arrows {
            if let (Some(from_at), Some(to_at)) = (places[upper].get(from), places[upper - 1].get(to)) {
                arrow(&mut text, (from, *from_at), (to, *to_at));
            }
        }
    }
    for (spot, (x, y)) in places.iter().flatten() {
        if let Spot::Crate(name) = spot {
            let left = x - BOX.0 / 2;
            let _ = writeln!(
                text,
                "<rect x=\"{left}\" y=\"{y}\" width=\"{}\" height=\"{}\" rx=\"4\"/>",
                BOX.0, BOX.1
            );
            let _ = writeln!(text, "<text x=\"{x}\" y=\"{}\">{name}</text>", y + 17);
        }
    }
    text.push_str("</svg>\n");
    text
}

/// The middle of each spot, and its upper edge; the row stands in the middle of the picture.
fn places(row: &[Spot], wide: usize, y: usize) -> BTreeMap<Spot, (usize, usize)> {
    let mut x = MARGIN + (wide - width_of_row(row)) / 2;
    let mut places = BTreeMap::new();
    for spot in row {
        let width = width_of(spot);
        places.insert(spot.clone(), (x + GAP / 2 + width / 2, y));
        x += width + GAP;
    }
    places
}

/// One short arrow, which leaves and arrives upright so that it runs on smoothly through a bend.
fn arrow(
    text: &mut String,
    (from, (x0, y0)): (&Spot, (usize, usize)),
    (to, (x1, y1)): (&Spot, (usize, usize)),
) {
    let start = y0 + if matches!(from, Spot::Crate(_)) { BOX.1 } else { 0 };
    let half = usize::midpoint(start, y1);
    let _ = write!(text, "<path d=\"M{x0} {start}C{x0} {half} {x1} {half} {x1} {y1}");
    if matches!(to, Spot::Crate(_)) {
        let _ = write!(text, "m-4 -6l4 6l4 -6");
    }
    text.push_str("\"/>\n");
}

#[cfg(test)]
mod tests {
    use super::*;

    fn uses_of(list: &[(&str, &[&str])]) -> Uses {
        let set = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
        list.iter().map(|(name, below)| ((*name).to_owned(), set(below))).collect()
    }

    #[test]
    fn every_arrow_points_down() {
        let uses = uses_of(&[("a", &["b", "d"]), ("b", &["c"]), ("c", &["d"]), ("d", &[]), ("e", &["d"])]);
        let levels = levels(&uses);
        for (name, below) in &uses {
            assert!(below.iter().all(|other| levels[other.as_str()] < levels[name.as_str()]));
        }
        assert_eq!(levels["e"], 1);
    }

    #[test]
    fn an_implied_arrow_is_left_out_and_nothing_else() {
        let uses = uses_of(&[("a", &["b", "c"]), ("b", &["c"]), ("c", &[])]);
        assert_eq!(reduced(&uses), uses_of(&[("a", &["b"]), ("b", &["c"]), ("c", &[])]));
    }

    #[test]
    fn sweeps_take_out_crossings_that_need_not_be() {
        let uses =
            uses_of(&[("a", &["z"]), ("b", &["y"]), ("c", &["x"]), ("x", &[]), ("y", &[]), ("z", &[])]);
        let mut rows = rows(&uses, &levels(&uses));
        assert_eq!(crossings(&rows), 3);
        untangle(&mut rows);
        assert_eq!(crossings(&rows), 0);
    }

    #[test]
    fn long_arrows_are_drawn_through_every_row() {
        // `a` uses `z`, four rows down, which no other way implies.
        let uses = uses_of(&[
            ("a", &["b", "z"]),
            ("b", &["c"]),
            ("c", &["d"]),
            ("d", &["e"]),
            ("e", &[]),
            ("z", &[]),
        ]);
        let picture = draw(&uses);
        assert_eq!(picture.matches("<rect").count(), 6);
        // Four steps for a to z, one each for the other four; five heads.
        assert_eq!((picture.matches("<path").count(), picture.matches("m-4 -6").count()), (8, 5));
        assert_eq!(picture, draw(&uses));
    }
}
