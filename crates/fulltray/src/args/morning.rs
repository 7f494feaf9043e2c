//! Arguments of the commands that read the record: release, lots, practice.

use clap::{Args, Subcommand};

use super::hygiene::RuleArgs;

/// Where the record is.
#[derive(Debug, Clone, Args)]
pub struct RecordArgs {
    /// The record: a path, `sqlite:PATH` or `postgres://…`; or a file of events, one JSON object on each line
    /// (`*.jsonl`).
    #[arg(long, value_name = "PLACE", global = true)]
    pub store: Option<String>,
    /// The moment of the question, such as 2026-06-01T07:30Z (now if left out).
    #[arg(long, value_name = "TIME", global = true)]
    pub at: Option<String>,
    /// The kitchen's time zone, such as Europe/Madrid (UTC if left out).
    #[arg(long, value_name = "ZONE", default_value = "UTC", global = true)]
    pub zone: String,
}

/// Arguments of `release`.
#[derive(Debug, Clone, Args)]
pub struct ReleaseArgs {
    /// The kitchen file; the demo kitchen if left out.
    pub kitchen: Option<String>,
    /// Only this machine, by the name that the kitchen gives it.
    #[arg(long, value_name = "NAME")]
    pub machine: Option<String>,
    /// The language of the answer, such as `es`.
    #[arg(long, value_name = "CODE", default_value = "en")]
    pub language: String,
    /// The record.
    #[command(flatten)]
    pub record: RecordArgs,
    /// The rules for dates.
    #[command(flatten)]
    pub rules: RuleArgs,
}

/// Arguments of `lots`.
#[derive(Debug, Clone, Args)]
pub struct LotsArgs {
    /// What is asked; without it everything that is held is listed.
    #[command(subcommand)]
    pub command: Option<LotsCommand>,
    /// The record.
    #[command(flatten)]
    pub record: RecordArgs,
    /// The rules for dates.
    #[command(flatten)]
    pub rules: RuleArgs,
}

/// Questions about lots.
#[derive(Debug, Clone, Subcommand)]
pub enum LotsCommand {
    /// Tell which lots were in a glass out of a vessel at the moment of the question, with their shares.
    Glass {
        /// The vessel as `machine/vessel`, or a lot.
        place: String,
    },
    /// Tell where a lot went: places, hours, machines, nights, litres. What a recall asks for.
    Trace {
        /// The lot.
        lot: String,
    },
    /// Tell what has to go today or should have gone.
    Due,
}

/// Arguments of `practice`.
#[derive(Debug, Clone, Args)]
pub struct PracticeArgs {
    /// A machine file or a core form file.
    pub file: String,
    /// The procedure (the first one in the file if left out).
    #[arg(long, value_name = "NAME")]
    pub procedure: Option<String>,
    /// What the kitchen calls the machine, for the record (its name in the file if left out).
    #[arg(long, value_name = "NAME")]
    pub machine: Option<String>,
    /// An option that is fitted; may be given more than once.
    #[arg(long = "with", value_name = "OPTION")]
    pub fitted: Vec<String>,
    /// Who practises.
    #[arg(long, value_name = "NAME", default_value = "trainee")]
    pub who: String,
    /// The seed of what is offered.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,
    /// Write the result into this record.
    #[arg(long, value_name = "PLACE")]
    pub store: Option<String>,
    /// The language of the answer, such as `es`.
    #[arg(long, value_name = "CODE", default_value = "en")]
    pub language: String,
    /// Answer in JSON, and say nothing else.
    #[arg(long)]
    pub json: bool,
}
