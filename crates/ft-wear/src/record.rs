//! Replacements from a table: `part,place,fitted,removed,end`.
//!
//! `fitted` and `removed` are dates such as 2026-05-31; `removed` is empty while the part is still in. `end` is
//! `failed` or `planned` when it came out, empty otherwise. Further columns are left alone. A row that cannot be
//! used is left out and listed, never guessed at.

use std::collections::BTreeMap;
use std::ops::Range;

use ft_diag::Problem;
use jiff::civil::Date;

use crate::due::{Fitted, days_between};
use crate::{End, Life};

/// One part from being fitted to coming out.
#[derive(Debug, Clone, PartialEq)]
pub struct Replacement {
    /// The kind of part.
    pub part: String,
    /// The machine, and the place in it.
    pub place: String,
    /// The day on which it was fitted.
    pub fitted: Date,
    /// The day on which it came out, and whether because it failed; `None` while it is still in.
    pub removed: Option<(Date, End)>,
}

/// A table that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// Rows that can be used, in their order.
    pub replacements: Vec<Replacement>,
    /// What is wrong with the others, and with the table.
    pub problems: Vec<Problem>,
    /// Number of rows below the heading.
    pub rows: usize,
}

const COLUMNS: [&str; 5] = ["part", "place", "fitted", "removed", "end"];

/// Reads a table; `today` is needed because no part can be fitted or removed later.
pub fn read(text: &str, today: Date) -> Record {
    let mut record = Record { replacements: Vec::new(), problems: Vec::new(), rows: 0 };
    let mut reader =
        csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let columns = match reader.headers().map(columns) {
        Ok(Ok(columns)) => columns,
        Ok(Err(problem)) => {
            record.problems.push(*problem);
            return record;
        }
        Err(error) => {
            record.problems.push(Problem::error("W0101", 0..0, format!("the table cannot be read: {error}")));
            return record;
        }
    };
    for result in reader.records() {
        record.rows += 1;
        match result {
            Ok(row) => match replacement(&row, &columns, today, span(text, &row)) {
                Ok(replacement) => record.replacements.push(replacement),
                Err(problem) => record.problems.push(*problem),
            },
            Err(error) => {
                record.problems.push(Problem::error("W0101", 0..0, format!("row {}: {error}", record.rows)));
            }
        }
    }
    record
}

/// Where each of the columns is.
fn columns(heading: &csv::StringRecord) -> Result<[usize; 5], Box<Problem>> {
    let mut found = [0; 5];
    for (slot, name) in found.iter_mut().zip(COLUMNS) {
        let Some(index) = heading.iter().position(|cell| cell.eq_ignore_ascii_case(name)) else {
            let cells: Vec<_> = heading.iter().collect();
            let message = format!("no column `{name}` among `{}`", cells.join("`, `"));
            let remedy = format!("head the table `{}`, in any order", COLUMNS.join(","));
            return Err(Box::new(Problem::error("W0102", 0..0, message).with_remedy(remedy)));
        };
        *slot = index;
    }
    Ok(found)
}

/// The bytes of a row, without its line end.
fn span(text: &str, row: &csv::StringRecord) -> Range<usize> {
    let start = row.position().map_or(0, |position| position.byte() as usize).min(text.len());
    let start = start + text[start..].len() - text[start..].trim_start_matches(['\r', '\n']).len();
    let length = text[start..].find(['\r', '\n']).unwrap_or(text.len() - start);
    start..start + length
}

fn replacement(
    row: &csv::StringRecord,
    columns: &[usize; 5],
    today: Date,
    span: Range<usize>,
) -> Result<Replacement, Box<Problem>> {
    let [part, place, fitted, removed, end] = columns.map(|index| row.get(index).unwrap_or_default());
    let problem = |code, message: String, remedy: &str| {
        Box::new(Problem::error(code, span.clone(), message).with_remedy(remedy))
    };
    let date = |column: &str, cell: &str| {
        cell.parse::<Date>().map_err(|_| {
            problem("W0103", format!("`{column}` is `{cell}`, which is not a date"), "write it as 2026-05-31")
        })
    };
    if part.is_empty() {
        return Err(problem(
            "W0104",
            "the part has no name".into(),
            "name the kind of part, the same in each row",
        ));
    }
    let fitted = date("fitted", fitted)?;
    let removed = if removed.is_empty() { None } else { Some(date("removed", removed)?) };
    let last = removed.unwrap_or(today);
    let latest = last.max(fitted);
    if today < latest {
        let message = format!("the date {latest} is later than today, {today}");
        return Err(problem(
            "W0106",
            message,
            "put the date right; leave `removed` empty while the part is still in",
        ));
    }
    if last < fitted {
        let message = format!("it leaves on {last}, before it was fitted on {fitted}");
        return Err(problem("W0105", message, "put the two dates right"));
    }
    let removed = match (removed, end) {
        (None, "") => None,
        (Some(date), "failed") => Some((date, End::Failed)),
        (Some(date), "planned") => Some((date, End::Unfailed)),
        (None, _) => {
            let message = format!("`end` is `{end}`, but there is no date in `removed`");
            return Err(problem(
                "W0107",
                message,
                "give the date, or leave both empty while the part is still in",
            ));
        }
        (Some(_), _) => {
            let message = format!("`end` is `{end}`");
            return Err(problem("W0108", message, "write `failed` or `planned` for a part that came out"));
        }
    };
    Ok(Replacement { part: part.to_owned(), place: place.to_owned(), fitted, removed })
}

/// What is known of one kind of part.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Kind {
    /// Ages in days when last seen; a part that came out on the day it was fitted counts half a day.
    pub lives: Vec<Life>,
    /// Parts that are in a machine now.
    pub fitted: Vec<Fitted>,
}

/// The replacements by kind of part, in the order of names.
///
/// A part that was fitted today is listed as fitted and says nothing about life yet.
pub fn by_kind(replacements: &[Replacement], today: Date) -> BTreeMap<String, Kind> {
    let mut kinds: BTreeMap<String, Kind> = BTreeMap::new();
    for one in replacements {
        let kind = kinds.entry(one.part.clone()).or_default();
        let (last, end) = one.removed.unwrap_or((today, End::Unfailed));
        let days = days_between(one.fitted, last) as f64;
        if one.removed.is_none() {
            let fitted = Fitted { part: one.part.clone(), place: one.place.clone(), since: one.fitted };
            kind.fitted.push(fitted);
        }
        if one.removed.is_some() || days > 0.0 {
            kind.lives.push(Life { age: days.max(0.5), end, count: 1 });
        }
    }
    kinds
}
