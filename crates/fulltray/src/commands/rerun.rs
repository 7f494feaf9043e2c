//! `fulltray rerun`: what is carried over from night to night.

use std::path::{Path, PathBuf};

use clap::Args;
use ft_growth::Advice;

use super::growth::{ColumnArgs, bad_log};
use super::{out, out_json};
use crate::exit::{Answer, Failure};

/// Arguments of `rerun`.
#[derive(Debug, Clone, Args)]
pub struct RerunArgs {
    /// The record of the chain (JSON; docs/rerun.md describes its form).
    pub record: PathBuf,
    /// How logs are written that the record names.
    #[command(flatten)]
    pub columns: ColumnArgs,
    /// How much colder a shelf to compare with, °C.
    #[arg(long, value_name = "CELSIUS", default_value_t = 2.0)]
    pub colder_by: f64,
    /// Answer in JSON.
    #[arg(long)]
    pub json: bool,
}

/// Runs the record and its variants.
pub fn run(args: &RerunArgs) -> Result<Answer, Failure> {
    let source = crate::input::text(&args.record.display().to_string())?;
    let folder = args.record.parent().unwrap_or(Path::new("."));
    let columns = args.columns.columns()?;
    let (days, mixing) = ft_rerun::record::read(&source.text, args.columns.rule()?, |log| {
        let (readings, left_out) =
            ft_bulk::read_log(&folder.join(log), &columns).map_err(|e| e.to_string())?;
        match left_out.first() {
            None => Ok(readings),
            Some(first) => Err(format!("{log}: line {}: {}", first.line, first.why)),
        }
    })
    .map_err(|why| bad_log(format!("{}: {why}", args.record.display())))?;
    let report = ft_rerun::report(&days, &ft_growth::shipped(), mixing, args.colder_by)
        .map_err(|why| bad_log(format!("{}: {why}", args.record.display())))?;
    if args.json {
        out_json(&report)?;
    } else {
        out(&report.text())?;
    }
    Ok(if report.advice == Advice::NothingToAdd { Answer::Yes } else { Answer::No })
}
