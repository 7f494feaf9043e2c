//! Runs the temperature histories of a Parquet table through bulk growth.
//!
//! The table has a row for each reading and three columns: the history's name (text or whole number), the time and
//! the temperature (whole or floating-point numbers). The rows of a history follow each other, in order of time.
//! Row groups are decoded side by side and their sums joined where a history runs on from one to the next, so that
//! memory is bounded by the size of a few row groups, however long the table is.
//!
//! It is a crate of its own because the format's library is as much to compile as the rest of bulk work together.

mod column;
mod group;

use std::collections::BTreeSet;
use std::fs::File;
use std::path::Path;

use ft_bulk::{Accumulator, BadFolder, Columns, Outcome, Subject};
use ft_growth::GapRule;
use parquet::file::reader::{FileReader as _, SerializedFileReader};
use rayon::prelude::*;

use group::{Places, Run};

/// Runs every history of a table, in the order of its rows.
///
/// `receive` gets the outcomes together with how many rows are done and how many there are. `name` is the heading of
/// the column with the history's name. Rows without a time or temperature are left out of their history, counted and
/// listed by the number of their row.
///
/// # Errors
/// The file cannot be read or is not Parquet, a column is missing or of a kind that holds no numbers, a history is
/// not in one piece, or whatever `receive` fails with, which ends the run.
pub fn run_table(
    file: &Path,
    name: &str,
    columns: &Columns,
    subjects: &[Subject],
    rule: GapRule,
    mut receive: impl FnMut(Outcome, u64, u64) -> Result<(), BadFolder>,
) -> Result<(), BadFolder> {
    let bad = |why: String| BadFolder(format!("{}: {why}", file.display()));
    let reader = open_table(file).map_err(bad)?;
    let places = Places::find(&reader, name, columns).map_err(bad)?;
    let groups = reader.num_row_groups();
    let rows = reader.metadata().file_metadata().num_rows() as u64;
    let mut finished = BTreeSet::new();
    let mut open: Option<Run> = None;
    let mut first_row = 1;
    // One reader for each thread, because a place in an open file is not shared between threads: enough to keep all
    // of them busy, and no more memory than their row groups take.
    let readers: Vec<SerializedFileReader<File>> = (0..rayon::current_num_threads().min(groups).max(1))
        .map(|_| open_table(file))
        .collect::<Result<_, _>>()
        .map_err(bad)?;
    for start in (0..groups).step_by(readers.len()) {
        let work: Vec<(&SerializedFileReader<File>, usize, u64)> = readers
            .iter()
            .zip(start..groups)
            .map(|(reader, index)| {
                let here = (reader, index, first_row);
                first_row += reader.metadata().row_group(index).num_rows() as u64;
                here
            })
            .collect();
        let decoded: Vec<Result<Vec<Run>, String>> = work
            .into_par_iter()
            .map(|(reader, index, first_row)| {
                group::decode(reader, index, first_row, &places, columns, || Accumulator::new(subjects, rule))
            })
            .collect();
        for runs in decoded {
            for run in runs.map_err(bad)? {
                open = Some(match open.take() {
                    Some(mut before) if before.name == run.name => {
                        before.sums.append(run.sums);
                        before
                    }
                    Some(before) => {
                        finish(before, &mut finished, first_row - 1, rows, &mut receive)
                            .map_err(|e| bad(e.0))?;
                        run
                    }
                    None => run,
                });
            }
        }
    }
    match open {
        Some(last) => finish(last, &mut finished, rows, rows, &mut receive).map_err(|e| bad(e.0)),
        None => Err(bad("no row in it".into())),
    }
}

fn open_table(file: &Path) -> Result<SerializedFileReader<File>, String> {
    let opened = File::open(file).map_err(|e| e.to_string())?;
    SerializedFileReader::new(opened).map_err(|e| e.to_string())
}

fn finish(
    run: Run,
    finished: &mut BTreeSet<String>,
    done: u64,
    rows: u64,
    receive: &mut impl FnMut(Outcome, u64, u64) -> Result<(), BadFolder>,
) -> Result<(), BadFolder> {
    if !finished.insert(run.name.clone()) {
        return Err(BadFolder(format!(
            "the history `{}` is not in one piece; sort the table by history and time",
            run.name
        )));
    }
    receive(run.sums.finish(run.name), done, rows)
}
