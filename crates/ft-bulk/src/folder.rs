//! A folder of CSV logs, one history in each file.

use std::fmt;
use std::path::{Path, PathBuf};

use ft_growth::{GapRule, Reading};
use rayon::prelude::*;

use crate::outcome::{LeftOut, Outcome, Subject};
use crate::stream::Accumulator;

/// Which columns of a log hold what.
#[derive(Debug, Clone, PartialEq)]
pub struct Columns {
    /// Heading of the time.
    pub time: String,
    /// Hours in one unit of the time: 1/60 for minutes.
    pub hours_per_unit: f64,
    /// Heading of the temperature.
    pub temperature: String,
    /// Whether the temperature is in °F rather than °C.
    pub is_fahrenheit: bool,
}

impl Columns {
    /// `minute` and `temp_c`.
    pub fn usual() -> Self {
        Self {
            time: "minute".into(),
            hours_per_unit: 1.0 / 60.0,
            temperature: "temp_c".into(),
            is_fahrenheit: false,
        }
    }
}

/// A folder or file that cannot be read, with its name and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadFolder(pub String);

impl fmt::Display for BadFolder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for BadFolder {}

/// Files that are worked on between two calls of the receiver; bounds memory, whatever the folder holds.
const BATCH: usize = 1024;

/// Runs every `.csv` file of a folder, in the order of their names, as many at once as there are cores; or one file.
///
/// `receive` gets the outcomes in that order together with how many files are done and how many there are. A
/// missing column or unreadable file is an outcome of its own: the error names the file, and the rest goes on.
///
/// # Errors
/// The folder cannot be read or holds no `.csv` file, or whatever `receive` fails with, which ends the run.
pub fn run_folder(
    folder: &Path,
    columns: &Columns,
    subjects: &[Subject],
    rule: GapRule,
    mut receive: impl FnMut(Result<Outcome, BadFolder>, usize, usize) -> Result<(), BadFolder>,
) -> Result<(), BadFolder> {
    let files = csv_files(folder)?;
    let mut done = 0;
    for batch in files.chunks(BATCH) {
        let outcomes: Vec<_> = batch.par_iter().map(|file| run_file(file, columns, subjects, rule)).collect();
        for outcome in outcomes {
            done += 1;
            receive(outcome, done, files.len())?;
        }
    }
    Ok(())
}

fn csv_files(folder: &Path) -> Result<Vec<PathBuf>, BadFolder> {
    if folder.is_file() {
        return Ok(vec![folder.to_owned()]);
    }
    let bad = |e: std::io::Error| BadFolder(format!("{}: {e}", folder.display()));
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(bad)? {
        let path = entry.map_err(bad)?.path();
        if path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("csv")) {
            files.push(path);
        }
    }
    if files.is_empty() {
        return Err(BadFolder(format!("{}: no file that ends in .csv", folder.display())));
    }
    files.sort();
    Ok(files)
}

/// Runs one log; a line at a time, so that a log of any length fits.
///
/// # Errors
/// The file cannot be read, or has no column of one of the two headings (the headings it has are named).
pub fn run_file(
    file: &Path,
    columns: &Columns,
    subjects: &[Subject],
    rule: GapRule,
) -> Result<Outcome, BadFolder> {
    let mut sums = Accumulator::new(subjects, rule);
    each_row(file, columns, |line, row| {
        match row {
            Ok(reading) => sums.push(line, reading.hours, reading.celsius),
            Err(why) => sums.leave_out(line, why),
        }
        Ok(())
    })?;
    let name = file.file_stem().map_or_else(|| "?".into(), |stem| stem.to_string_lossy().into_owned());
    Ok(sums.finish(name))
}

/// Lines that [`read_log`] takes: 5-minute readings of 47 years, 80 MB. Source: none, our choice.
pub const LONGEST_LOG: u64 = 5_000_000;

/// All readings of one log, in the order of its lines, and the lines that hold none.
///
/// # Errors
/// As [`run_file`]; also more than [`LONGEST_LOG`] lines, which do not belong in memory.
pub fn read_log(file: &Path, columns: &Columns) -> Result<(Vec<Reading>, Vec<LeftOut>), BadFolder> {
    let (mut readings, mut left_out) = (Vec::new(), Vec::new());
    each_row(file, columns, |line, row| {
        match row {
            Ok(reading) => readings.push(reading),
            Err(why) => left_out.push(LeftOut { line, why }),
        }
        if line <= LONGEST_LOG { Ok(()) } else { Err(TOO_LONG.to_owned()) }
    })?;
    Ok((readings, left_out))
}

const TOO_LONG: &str =
    "more than 5 million lines; use `--bulk`, which reads a line at a time, or cut the log into shorter ones";

/// Hands on each row of a log with its line: a reading, or why it is none. What `take` fails with ends it.
fn each_row(
    file: &Path,
    columns: &Columns,
    mut take: impl FnMut(u64, Result<Reading, String>) -> Result<(), String>,
) -> Result<(), BadFolder> {
    let bad = |e: &dyn fmt::Display| BadFolder(format!("{}: {e}", file.display()));
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_path(file).map_err(|e| bad(&e))?;
    let headings = reader.byte_headers().map_err(|e| bad(&e))?.clone();
    let time = column(&headings, &columns.time).map_err(|why| bad(&why))?;
    let temperature = column(&headings, &columns.temperature).map_err(|why| bad(&why))?;
    let mut record = csv::ByteRecord::new();
    while reader.read_byte_record(&mut record).map_err(|e| bad(&e))? {
        let line = record.position().map_or(0, csv::Position::line);
        let row = match (number(&record, time), number(&record, temperature)) {
            (Some(time), Some(value)) => {
                let celsius = if columns.is_fahrenheit { (value - 32.0) / 1.8 } else { value };
                Ok(Reading { hours: time * columns.hours_per_unit, celsius })
            }
            (None, _) => Err(format!("no number under `{}`", columns.time)),
            (_, None) => Err(format!("no number under `{}`", columns.temperature)),
        };
        take(line, row).map_err(|why| bad(&why))?;
    }
    Ok(())
}

fn column(headings: &csv::ByteRecord, wanted: &str) -> Result<usize, String> {
    // Spreadsheets put a byte order mark before the first heading.
    let plain =
        |heading: &[u8]| String::from_utf8_lossy(heading).trim_start_matches('\u{feff}').trim().to_owned();
    headings.iter().position(|heading| plain(heading) == wanted).ok_or_else(|| {
        let there: Vec<String> = headings.iter().map(plain).collect();
        format!("no column `{wanted}`; there are: {}", there.join(", "))
    })
}

fn number(record: &csv::ByteRecord, column: usize) -> Option<f64> {
    std::str::from_utf8(record.get(column)?).ok()?.trim().parse().ok()
}
