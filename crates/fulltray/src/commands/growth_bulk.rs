//! `fulltray growth --bulk`: a folder of logs, or a table of histories.

use std::io::{IsTerminal as _, Write as _};

use ft_bulk::{BadFolder, Outcome, Subject, run_folder};
use ft_growth::organisms::Organism;

use super::growth::{GrowthArgs, bad_log};
use super::{out, out_json};
use crate::exit::{Answer, Failure};

/// Answers every history, in order; the gravest answer is the exit code.
pub fn run(args: &GrowthArgs, organisms: &[Organism]) -> Result<Answer, Failure> {
    let subjects = Subject::all(organisms);
    let (columns, rule) = (args.columns.columns()?, args.columns.rule()?);
    if !args.json {
        out(&heading(&subjects))?;
    }
    let mut tally = Tally { answer: Answer::Yes, unread: 0, written: Ok(()), is_json: args.json };
    let is_table = args.log.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("parquet"));
    let ended = if is_table {
        ft_parquet::run_table(&args.log, &args.history, &columns, &subjects, rule, |outcome, done, of| {
            tally.take(Ok(outcome), done, of)
        })
    } else {
        run_folder(&args.log, &columns, &subjects, rule, |outcome, done, of| {
            tally.take(outcome, done as u64, of as u64)
        })
    };
    tally.written?;
    ended.map_err(bad_log)?;
    eprintln!("{} logs could not be read. {}", tally.unread, ft_growth::report::CAUTION);
    Ok(if tally.unread > 0 { tally.answer.max(Answer::Unfinished) } else { tally.answer })
}

/// What has come of the histories so far.
struct Tally {
    answer: Answer,
    unread: u64,
    written: Result<(), Failure>,
    is_json: bool,
}

impl Tally {
    fn take(&mut self, outcome: Result<Outcome, BadFolder>, done: u64, of: u64) -> Result<(), BadFolder> {
        progress(done, of);
        match outcome {
            Ok(outcome) => {
                if outcome.advice != ft_growth::Advice::NothingToAdd.words() {
                    self.answer = Answer::No;
                }
                for line in &outcome.left_out {
                    eprintln!("left out: {}: line {}: {}", outcome.name, line.line, line.why);
                }
                let unlisted = outcome.left_out_count - outcome.left_out.len() as u64;
                if unlisted > 0 {
                    eprintln!("left out: {}: {unlisted} more lines", outcome.name);
                }
                self.written = if self.is_json { out_json(&outcome) } else { out(&row(&outcome)) };
            }
            Err(why) => {
                self.unread += 1;
                eprintln!("not read: {why}");
            }
        }
        // What went wrong with writing is kept here; to the run it is only a reason to end.
        if self.written.is_ok() { Ok(()) } else { Err(BadFolder("nobody reads any more".into())) }
    }
}

/// A bar on a terminal, nothing in a pipe.
fn progress(done: u64, of: u64) {
    let mut stderr = std::io::stderr();
    if stderr.is_terminal() && (done.is_multiple_of(256) || done == of) {
        let full = (40 * done / of.max(1)) as usize;
        let _ = write!(stderr, "\r[{}{}] {done} of {of}", "#".repeat(full), ".".repeat(40 - full));
        if done == of {
            let _ = writeln!(stderr);
        }
    }
}

fn heading(subjects: &[Subject]) -> String {
    let columns: Vec<String> = subjects.iter().map(|subject| format!("{}_log10", subject.id)).collect();
    format!("name,readings,hours,warmest_c,{},gaps,gap_hours,left_out,advice\n", columns.join(","))
}

fn row(outcome: &Outcome) -> String {
    let increases: Vec<String> = outcome.increase_log10.iter().map(|value| format!("{value:.3}")).collect();
    format!(
        "{},{},{:.2},{},{},{},{:.2},{},{}\n",
        quoted(&outcome.name),
        outcome.readings,
        outcome.hours,
        outcome.warmest_c.map_or(String::new(), |value| format!("{value:.2}")),
        increases.join(","),
        outcome.gaps,
        outcome.gap_hours,
        outcome.left_out_count,
        outcome.advice
    )
}

fn quoted(name: &str) -> String {
    if name.contains([',', '"', '\n']) {
        format!("\"{}\"", name.replace('"', "\"\""))
    } else {
        name.to_owned()
    }
}
