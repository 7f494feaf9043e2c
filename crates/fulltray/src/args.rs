//! The command line. Help, completions and the man page all come from here.

mod figures;
pub mod hygiene;
pub mod morning;
mod print;
pub mod record;

use clap::{Args, Parser, Subcommand};

use crate::commands::growth::GrowthArgs;
use crate::commands::kill::KillArgs;
use crate::commands::rerun::RerunArgs;

pub use figures::{ChartArgs, SampleArgs, SampleKind, WearArgs};
pub use print::{
    CardsArgs, LabelsArgs, PacketArgs, PaperSize, PosterArgs, PrintArgs, PrintWhat, ToArgs, TrayArgs,
};

/// Closes a food machine for the night and opens it in the morning: proved, planned, followed to the last part.
///
/// Without a command it plans tonight for the demo kitchen and, in a terminal, serves it on this computer. Local code, the equipment's own instructions and
/// licensed practice come first; the program advises people and never drives a machine.
#[derive(Debug, Parser)]
#[command(name = "fulltray", version, propagate_version = true, disable_help_subcommand = true)]
pub struct Cli {
    /// Without a command: print the plan and end, instead of serving it.
    #[arg(long)]
    pub no_serve: bool,
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// Commands: plain verbs on files.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Prove that a procedure cannot go wrong, or tell the shortest story in which it does.
    Check(CheckArgs),
    /// Show which steps truly depend on each other, and why.
    Order(OrderArgs),
    /// Show the fewest orders that would make a card safe.
    Repair(RepairArgs),
    /// Plan tonight for a kitchen's crew.
    Plan(PlanArgs),
    /// Make a document for the wall or the folder, as PDF: cards, tray map, poster, labels, inspection packet.
    Print(PrintArgs),
    /// Check the certificate of a proof, without the prover.
    Verify(VerifyArgs),
    /// Print the core form of a procedure.
    Core(CoreArgs),
    /// Explain a code such as F0030, or a built-in hazard such as H8; without one, list them all.
    Explain(ExplainArgs),
    /// Print or write a commented machine file to start from.
    New(NewArgs),
    /// Format a machine, kitchen or rule file without losing a comment.
    Tidy(TidyArgs),
    /// Show drift in readings before a limit is met: single readings, moving average, cumulative sum.
    Chart(ChartArgs),
    /// Judge samples by a plan, the last results by a rule, a swab by its baseline.
    Sample(SampleArgs),
    /// Tell from replacements how long parts last, what is due and what to order.
    Wear(WearArgs),
    /// Say what a temperature log means for growth: nothing to add, hold, or discard earlier.
    Growth(GrowthArgs),
    /// Explain how much of a kill a short or weak step loses.
    Kill(KillArgs),
    /// Follow kept product from night to night: shares, ages, dates and growth.
    Rerun(RerunArgs),
    /// List the rule sets, tell which rule decides, check a rule file.
    Rules(hygiene::RulesArgs),
    /// Tell how much of a product makes a solution, and whether the rules in force allow it.
    Dose(hygiene::DoseArgs),
    /// Read a temperature log: time above limits, cooling, gaps, and every row that was left out.
    Coldchain(hygiene::ColdchainArgs),
    /// Tell until when food may be kept: day one, combined lots, days in the freezer.
    Datemark(hygiene::DatemarkArgs),
    /// Tell by when food that left temperature control has to be served or discarded.
    Timecontrol(hygiene::TimecontrolArgs),
    /// Reckon overrun, freezing point and syrup.
    Product(hygiene::ProductArgs),
    /// Serve a kitchen: the night, its tablets and its record, until it is ended with Ctrl-C.
    Serve(crate::commands::serve::ServeArgs),
    /// Carry the night out at this keyboard, step by step, without a tablet.
    Run(crate::commands::run::RunArgs),
    /// Verify, export, back up, restore or show the record of what happened.
    Record(record::RecordArgs),
    /// May it serve? Yes or no, every reason, and what would turn a no into a yes.
    Release(morning::ReleaseArgs),
    /// Tell what is held and has to go, what was in a glass, and where a lot went.
    Lots(morning::LotsArgs),
    /// Practise a procedure: choose what to do next and hear what would have happened.
    Practice(morning::PracticeArgs),
    /// Print a script that completes commands and options in a shell.
    Completions(CompletionsArgs),
    /// Print the manual page, for `man -l -`.
    Man(ManArgs),
}

/// A machine file or core form file, and what of it is meant.
#[derive(Debug, Clone, Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is a flag of the command line")]
pub struct Chosen {
    /// A machine file or a core form file; `-` is standard input.
    pub file: String,
    /// The procedure (the first one in the file if left out).
    #[arg(long, value_name = "NAME")]
    pub procedure: Option<String>,
    /// An option that is fitted; may be given more than once. Without it every combination is meant.
    #[arg(long = "with", value_name = "OPTION")]
    pub fitted: Vec<String>,
    /// No option is fitted.
    #[arg(long, conflicts_with = "fitted")]
    pub plain: bool,
    /// A night on which what comes by calendar, such as a weekly step, is due.
    #[arg(long)]
    pub due: bool,
    /// A night on which nothing that comes by calendar is due.
    #[arg(long, conflicts_with = "due")]
    pub not_due: bool,
    /// How many people carry it out.
    #[arg(long, value_name = "N", default_value_t = 2, value_parser = clap::value_parser!(u32).range(1..=6))]
    pub people: u32,
    /// Answer in JSON.
    #[arg(long)]
    pub json: bool,
    /// The language of the answer, such as `es`.
    #[arg(long, value_name = "CODE", default_value = "en")]
    pub language: String,
}

/// Arguments of `check`.
#[derive(Debug, Clone, Args)]
pub struct CheckArgs {
    /// What is checked.
    #[command(flatten)]
    pub chosen: Chosen,
    /// Write the certificate of a proof to this file.
    #[arg(long, value_name = "FILE")]
    pub certificate: Option<String>,
    /// Look at no more than this many states.
    #[arg(long, value_name = "N", default_value_t = 20_000_000)]
    pub states: u64,
}

/// Arguments of `order`.
#[derive(Debug, Clone, Args)]
pub struct OrderArgs {
    /// What is ordered.
    #[command(flatten)]
    pub chosen: Chosen,
    /// Only what must come before this step, and why.
    #[arg(long, value_name = "STEP")]
    pub why: Option<String>,
    /// Why this step may not be done at the very beginning.
    #[arg(long, value_name = "STEP", conflicts_with = "why")]
    pub why_not: Option<String>,
    /// Draw the order into this file, as SVG.
    #[arg(long, value_name = "FILE")]
    pub svg: Option<String>,
}

/// Arguments of `repair`.
#[derive(Debug, Clone, Args)]
pub struct RepairArgs {
    /// What is repaired.
    #[command(flatten)]
    pub chosen: Chosen,
    /// Write the repair into the machine file, as `after … because …`.
    #[arg(long)]
    pub write: bool,
}

/// Arguments of `plan`.
#[derive(Debug, Clone, Args)]
pub struct PlanArgs {
    /// A kitchen file; the demo kitchen if left out.
    pub kitchen: Option<String>,
    /// The procedure that every machine is planned for.
    #[arg(long, value_name = "NAME", default_value = "closing")]
    pub procedure: String,
    /// How long to look for a better plan, at most.
    #[arg(long, value_name = "S", default_value_t = 2.0, value_parser = seconds)]
    pub seconds: f64,
    /// How many schedules to build, at most: the same number and seed give the same plan on every machine that is fast enough.
    #[arg(long, value_name = "N", default_value_t = 20_000)]
    pub work: u64,
    /// The seed of all that is left to chance.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,
    /// Draw the plan into this file, as SVG.
    #[arg(long, value_name = "FILE")]
    pub svg: Option<String>,
    /// Write the plan to this file as iCalendar, for today's date.
    #[arg(long, value_name = "FILE")]
    pub ics: Option<String>,
    /// Answer in JSON.
    #[arg(long)]
    pub json: bool,
    /// The language of the answer, such as `es`.
    #[arg(long, value_name = "CODE", default_value = "en")]
    pub language: String,
}

impl Default for PlanArgs {
    /// What the program does without a command.
    fn default() -> Self {
        Self {
            kitchen: None,
            procedure: "closing".into(),
            seconds: 2.0,
            work: 20_000,
            seed: 1,
            svg: None,
            ics: None,
            json: false,
            language: "en".into(),
        }
    }
}

fn seconds(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(seconds) if (0.0..=3600.0).contains(&seconds) => Ok(seconds),
        _ => Err("write seconds from 0 to 3600".into()),
    }
}

/// Arguments of `verify`.
#[derive(Debug, Clone, Args)]
pub struct VerifyArgs {
    /// What the certificate is about.
    #[command(flatten)]
    pub chosen: Chosen,
    /// The certificate, as `check --certificate` writes it.
    pub certificate: String,
}

/// Arguments of `tidy`.
#[derive(Debug, Clone, Args)]
pub struct TidyArgs {
    /// A machine, kitchen or rule file; `-` is standard input. It is printed formatted, and stays as it is.
    pub file: String,
    /// Write it formatted instead of printing it.
    #[arg(long, conflicts_with = "check")]
    pub write: bool,
    /// Only say whether it is formatted; exit code 1 if it is not.
    #[arg(long)]
    pub check: bool,
}

/// Arguments of `completions`.
#[derive(Debug, Clone, Args)]
pub struct CompletionsArgs {
    /// The shell.
    pub shell: clap_complete::Shell,
}

/// Arguments of `man`.
#[derive(Debug, Clone, Args)]
pub struct ManArgs {
    /// The command whose page is printed (the program's own if left out).
    pub command: Option<String>,
}

/// Arguments of `core`.
#[derive(Debug, Clone, Args)]
pub struct CoreArgs {
    /// What is printed.
    #[command(flatten)]
    pub chosen: Chosen,
    /// Print Promela for the SPIN model checker instead of JSON.
    #[arg(long)]
    pub promela: bool,
}

/// Arguments of `explain`.
#[derive(Debug, Clone, Args)]
pub struct ExplainArgs {
    /// The code of a problem or the number of a hazard.
    pub code: Option<String>,
    /// Answer in JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `new`.
#[derive(Debug, Clone, Args)]
pub struct NewArgs {
    /// Write it to this file, which must not be there yet.
    #[arg(long, value_name = "FILE")]
    pub to: Option<String>,
}

/// Reads the command line; shows help or what is wrong with it, and ends there.
pub fn read() -> Cli {
    Cli::parse()
}
