//! One file for each command.

mod chart;
mod check;
mod coldchain;
mod completions;
mod core;
mod cycles;
mod datemark;
mod dose;
mod explain;
pub mod growth;
mod growth_bulk;
pub mod kill;
mod lots;
mod man;
mod new;
mod order;
mod plan;
mod practice;
mod print;
mod product;
mod record;
mod release;
mod repair;
pub mod rerun;
mod rules;
pub mod run;
mod sample;
pub mod serve;
mod tidy;
mod timecontrol;
mod verify;
mod wear;

use std::io::Write as _;

use ft_app::{Choice, Source};

use crate::args::{Chosen, Cli, Command};
use crate::exit::{Answer, Failure};
use crate::input;

/// Runs what was asked for.
///
/// # Errors
/// Bad input or use.
pub fn run(cli: Cli) -> Result<Answer, Failure> {
    match cli.command {
        None => serve::demo(cli.no_serve),
        Some(Command::Check(args)) => check::run(&args),
        Some(Command::Order(args)) => order::run(&args),
        Some(Command::Repair(args)) => repair::run(&args),
        Some(Command::Plan(args)) => plan::run(&args),
        Some(Command::Print(args)) => print::run(&args),
        Some(Command::Verify(args)) => verify::run(&args),
        Some(Command::Core(args)) => core::run(&args),
        Some(Command::Explain(args)) => explain::run(&args),
        Some(Command::New(args)) => new::run(&args),
        Some(Command::Tidy(args)) => tidy::run(&args),
        Some(Command::Chart(args)) => chart::run(&args),
        Some(Command::Sample(args)) => sample::run(&args),
        Some(Command::Wear(args)) => wear::run(&args),
        Some(Command::Growth(args)) => growth::run(&args),
        Some(Command::Kill(args)) => kill::run(&args),
        Some(Command::Rerun(args)) => rerun::run(&args),
        Some(Command::Rules(args)) => rules::run(&args),
        Some(Command::Dose(args)) => dose::run(&args),
        Some(Command::Coldchain(args)) => coldchain::run(&args),
        Some(Command::Datemark(args)) => datemark::run(&args),
        Some(Command::Timecontrol(args)) => timecontrol::run(&args),
        Some(Command::Product(args)) => product::run(&args),
        Some(Command::Serve(args)) => serve::run(&args),
        Some(Command::Run(args)) => run::run(&args),
        Some(Command::Record(args)) => record::run(&args),
        Some(Command::Release(args)) => release::run(&args),
        Some(Command::Lots(args)) => lots::run(&args),
        Some(Command::Practice(args)) => practice::run(&args),
        Some(Command::Completions(args)) => completions::run(&args),
        Some(Command::Man(args)) => man::run(&args),
    }
}

/// Writes to standard output; a reader that has gone away is no failure.
pub fn out(text: &str) -> Result<(), Failure> {
    let mut stdout = std::io::stdout().lock();
    stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()).map_err(|_| Failure::Closed)
}

/// Writes a value as one line of JSON.
pub fn out_json(value: &impl serde::Serialize) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value).expect("views are plain data");
    out(&format!("{text}\n"))
}

/// Writes a file that a person named.
pub fn write_file(path: &str, text: &str) -> Result<(), Failure> {
    std::fs::write(path, text).map_err(|error| {
        Failure::plain(
            "F0073",
            format!("{path} cannot be written: {error}"),
            "name a file in a folder that you may write to",
        )
    })
}

/// Shows a view as JSON or as text.
pub fn show(json: bool, view: &impl serde::Serialize, text: impl FnOnce() -> String) -> Result<(), Failure> {
    if json { out_json(view) } else { out(&text()) }
}

/// The text and the choice that arguments mean.
pub fn chosen(args: &Chosen) -> Result<(Source, Choice), Failure> {
    let source = input::text(&args.file)?;
    let fitted = match (args.plain, args.fitted.is_empty()) {
        (true, _) => Some(Vec::new()),
        (false, true) => None,
        (false, false) => Some(args.fitted.clone()),
    };
    let due = match (args.due, args.not_due) {
        (true, _) => Some(true),
        (false, true) => Some(false),
        (false, false) => None,
    };
    Ok((source, Choice { procedure: args.procedure.clone(), fitted, due, people: args.people }))
}

/// As [`chosen`], for a command that answers for one variant: where nothing else is said, the plain machine on a night
/// on which nothing is due by calendar.
pub fn chosen_one(args: &Chosen) -> Result<(Source, Choice), Failure> {
    let (source, mut choice) = chosen(args)?;
    choice.fitted.get_or_insert_with(Vec::new);
    choice.due.get_or_insert(false);
    Ok((source, choice))
}
