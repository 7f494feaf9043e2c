//! Arguments of `print`.

use clap::{Args, Subcommand, ValueEnum};

use super::{Chosen, PlanArgs};

/// Arguments of `print`.
#[derive(Debug, Clone, Args)]
pub struct PrintArgs {
    /// Which document.
    #[command(subcommand)]
    pub what: PrintWhat,
}

/// Documents.
#[derive(Debug, Clone, Subcommand)]
pub enum PrintWhat {
    /// Station cards of tonight's plan: for each person and machine what to do, the caution before the action.
    Cards(CardsArgs),
    /// The tray of a machine at true scale: a slot for each single part.
    Tray(TrayArgs),
    /// Why this order: the order as a picture, and a table of its reasons.
    Poster(PosterArgs),
    /// Lot labels with date, discard time and QR code, from a JSON file.
    Labels(LabelsArgs),
    /// The inspection packet of a night, a week or a lot, from a JSON file.
    Packet(PacketArgs),
}

/// Where a document goes.
#[derive(Debug, Clone, Args)]
pub struct ToArgs {
    /// The PDF file to write; one that is there is replaced.
    #[arg(long, value_name = "FILE")]
    pub to: String,
    /// Size of the paper.
    #[arg(long, value_name = "SIZE", default_value = "a4")]
    pub paper: PaperSize,
}

/// Sizes of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PaperSize {
    /// 210 by 297 mm.
    A4,
    /// 8.5 by 11 inches.
    Letter,
}

/// Arguments of `print cards`.
#[derive(Debug, Clone, Args)]
pub struct CardsArgs {
    /// What is planned.
    #[command(flatten)]
    pub plan: PlanArgs,
    /// Where it goes.
    #[command(flatten)]
    pub to: ToArgs,
    /// Only the cards of this person.
    #[arg(long, value_name = "NAME")]
    pub person: Option<String>,
}

/// Arguments of `print tray`.
#[derive(Debug, Clone, Args)]
pub struct TrayArgs {
    /// A machine file; `-` is standard input.
    pub file: String,
    /// An option that is fitted; may be given more than once.
    #[arg(long = "with", value_name = "OPTION")]
    pub fitted: Vec<String>,
    /// The language of the document, such as `es`.
    #[arg(long, value_name = "CODE", default_value = "en")]
    pub language: String,
    /// Where it goes.
    #[command(flatten)]
    pub to: ToArgs,
}

/// Arguments of `print poster`.
#[derive(Debug, Clone, Args)]
pub struct PosterArgs {
    /// What is ordered.
    #[command(flatten)]
    pub chosen: Chosen,
    /// Where it goes.
    #[command(flatten)]
    pub to: ToArgs,
}

/// Arguments of `print labels`.
#[derive(Debug, Clone, Args)]
pub struct LabelsArgs {
    /// Labels as JSON, as docs/paper.md describes them; `-` is standard input. Its language is that of the labels.
    pub file: String,
    /// One label to a page of its size, for a printer of labels.
    #[arg(long)]
    pub single: bool,
    /// Where it goes.
    #[command(flatten)]
    pub to: ToArgs,
}

/// Arguments of `print packet`.
#[derive(Debug, Clone, Args)]
pub struct PacketArgs {
    /// A packet as JSON, as docs/paper.md describes it; `-` is standard input. Its language is that of the document.
    pub file: String,
    /// Where it goes.
    #[command(flatten)]
    pub to: ToArgs,
}
