//! `fulltray growth`: one log with its chart; many at once are in `growth_bulk`.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use ft_bulk::{Columns, LeftOut};
use ft_chart::{GrowthChart, GrowthLine, growth_svg};
use ft_growth::organisms::{Organism, Shown};
use ft_growth::{Advice, Deadline, GapRule, History, Question, discard_at};
use serde::{Deserialize, Serialize};

use super::{growth_bulk, out, out_json};
use crate::exit::{Answer, Failure};

/// Arguments of `growth`.
#[derive(Debug, Clone, Args)]
pub struct GrowthArgs {
    /// A temperature log (CSV), or with `--bulk` a folder of them or a Parquet table.
    pub log: PathBuf,
    /// Work through a folder of CSV logs or a Parquet table, one line of CSV for each history.
    #[arg(long, conflicts_with_all = ["svg", "counts", "discard_by"])]
    pub bulk: bool,
    /// Heading of the column of a Parquet table that names the history.
    #[arg(long, value_name = "HEADING", default_value = "history", requires = "bulk")]
    pub history: String,
    /// How the log is written.
    #[command(flatten)]
    pub columns: ColumnArgs,
    /// What the log counts from, for the sentences.
    #[arg(long, value_name = "TEXT", default_value = "the first reading")]
    pub since: String,
    /// A laboratory count, log10 per mL, such as `listeria=1.5`; may be given more than once.
    #[arg(long = "count", value_name = "ORGANISM=LOG10")]
    pub counts: Vec<String>,
    /// A date that holds, in hours since the first reading, such as `72`; may be given more than once.
    #[arg(long, value_name = "HOURS")]
    pub discard_by: Vec<f64>,
    /// Organisms from this file instead of those that come with the program.
    #[arg(long, value_name = "FILE")]
    pub organisms: Option<PathBuf>,
    /// Write a chart to this file.
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Answer in JSON.
    #[arg(long)]
    pub json: bool,
}

/// How a log is written, and what is assumed where readings are missing.
#[derive(Debug, Clone, Args)]
pub struct ColumnArgs {
    /// Columns that were remembered.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["time", "unit", "temperature", "fahrenheit"])]
    pub mapping: Option<String>,
    /// Remember the columns in this file.
    #[arg(long, value_name = "FILE")]
    pub remember: Option<String>,
    /// Heading of the column with the time.
    #[arg(long, value_name = "HEADING", default_value = "minute")]
    pub time: String,
    /// Unit of the time.
    #[arg(long, value_enum, default_value = "minutes")]
    pub unit: TimeWord,
    /// Heading of the column with the temperature.
    #[arg(long, value_name = "HEADING", default_value = "temp_c")]
    pub temperature: String,
    /// The temperature is in °F.
    #[arg(long)]
    pub fahrenheit: bool,
    /// Readings further apart than this have a gap between them, minutes.
    #[arg(long, value_name = "MINUTES", default_value_t = 15.0)]
    pub gap: f64,
    /// Warmest that the surroundings can have been in a gap, °C.
    #[arg(long, value_name = "CELSIUS", allow_hyphen_values = true)]
    pub ambient: Option<f64>,
}

/// Units of the time column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum TimeWord {
    /// Seconds since any fixed moment.
    Seconds,
    /// Minutes.
    Minutes,
    /// Hours.
    Hours,
}

impl ColumnArgs {
    /// The columns, from the file where they were remembered or as they are named; remembered if that is asked.
    ///
    /// # Errors
    /// A file that holds no columns, or that cannot be read or written.
    pub fn columns(&self) -> Result<Columns, Failure> {
        let named = match &self.mapping {
            Some(file) => remembered(file)?,
            None => NamedColumns {
                time: self.time.clone(),
                unit: self.unit,
                temperature: self.temperature.clone(),
                fahrenheit: self.fahrenheit,
            },
        };
        if let Some(file) = &self.remember {
            let text = serde_json::to_string_pretty(&named).expect("columns are plain data");
            super::write_file(file, &format!("{text}\n"))?;
        }
        Ok(named.into())
    }

    /// What is assumed where readings are missing.
    ///
    /// # Errors
    /// A gap that is not above zero.
    pub fn rule(&self) -> Result<GapRule, Failure> {
        if self.gap > 0.0 && self.gap.is_finite() {
            Ok(GapRule { longest_h: self.gap / 60.0, ambient: self.ambient })
        } else {
            Err(Failure::plain(
                "F0081",
                format!("a gap of {} minutes makes no sense", self.gap),
                "write how far readings may be apart, such as `--gap 15`",
            ))
        }
    }
}

/// Columns as they are remembered.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct NamedColumns {
    time: String,
    unit: TimeWord,
    temperature: String,
    fahrenheit: bool,
}

impl From<NamedColumns> for Columns {
    fn from(named: NamedColumns) -> Self {
        Self {
            time: named.time,
            hours_per_unit: match named.unit {
                TimeWord::Seconds => 1.0 / 3600.0,
                TimeWord::Minutes => 1.0 / 60.0,
                TimeWord::Hours => 1.0,
            },
            temperature: named.temperature,
            is_fahrenheit: named.fahrenheit,
        }
    }
}

fn remembered(file: &str) -> Result<NamedColumns, Failure> {
    let source = crate::input::text(file)?;
    serde_json::from_str(&source.text).map_err(|error| {
        Failure::plain(
            "R0011",
            format!("{file} is not a column mapping: {error}"),
            "write one with `--remember FILE`",
        )
    })
}

/// The answer to one log.
#[derive(Serialize)]
struct Answered {
    #[serde(flatten)]
    report: ft_growth::GrowthReport,
    /// Lines of the log that hold no reading.
    left_out: Vec<LeftOut>,
    /// The earliest of the dates that hold and of the prediction.
    discard: Option<Deadline>,
}

/// Answers one log, or a folder of them.
pub fn run(args: &GrowthArgs) -> Result<Answer, Failure> {
    let organisms = organisms(args.organisms.as_deref())?;
    if args.bulk { growth_bulk::run(args, &organisms) } else { single(args, &organisms) }
}

/// The organisms of a file, or those that come with the program.
fn organisms(file: Option<&Path>) -> Result<Vec<Organism>, Failure> {
    let Some(file) = file else { return Ok(ft_growth::shipped()) };
    let source = crate::input::text(&file.display().to_string())?;
    ft_growth::organisms::read(&source.text).map_err(|why| {
        Failure::plain(
            "F0082",
            format!("{}: {why}", file.display()),
            "docs/growth.md describes the form of the file",
        )
    })
}

/// What is wrong with a log.
pub fn bad_log(why: impl std::fmt::Display) -> Failure {
    Failure::plain(
        "F0080",
        why.to_string(),
        "a log is one reading in each line, sorted by time, with the columns that `--time` and `--temperature` name",
    )
}

fn single(args: &GrowthArgs, organisms: &[Organism]) -> Result<Answer, Failure> {
    crate::input::open(&args.log.display().to_string())?;
    let (readings, left_out) = ft_bulk::read_log(&args.log, &args.columns.columns()?).map_err(bad_log)?;
    let history = History::new(&readings, args.columns.rule()?)
        .map_err(|why| bad_log(format!("{}: {why}", args.log.display())))?;
    let question = Question { since: args.since.clone(), counts_log10: counts(&args.counts, organisms)? };
    let mut report = ft_growth::report(&history, organisms, &question);
    if let Some(first) = left_out.first() {
        let because =
            format!("{} lines of the log hold no reading, the first is line {}", left_out.len(), first.line);
        report.advice = report.advice.or(Advice::HoldForDecision(ft_growth::Reason { at_h: 0.0, because }));
    }
    let deadlines: Vec<Deadline> =
        args.discard_by.iter().map(|&at_h| Deadline { at_h, from: "date given".into() }).collect();
    let discard = discard_at(&deadlines, &report.advice);
    if let Some(file) = &args.svg {
        write(file, &chart(&history, organisms, &report))?;
    }
    let answer = if report.advice == Advice::NothingToAdd { Answer::Yes } else { Answer::No };
    if args.json {
        out_json(&Answered { report, left_out, discard })?;
    } else {
        out(&report.text())?;
        if let Some(discard) = discard {
            out(&format!("Discard by {:.1} h at the latest ({}).\n", discard.at_h, discard.from))?;
        }
        for line in left_out {
            eprintln!("left out: line {}: {}", line.line, line.why);
        }
    }
    Ok(answer)
}

fn counts(words: &[String], organisms: &[Organism]) -> Result<Vec<(String, f64)>, Failure> {
    let read = |word: &String| {
        let (id, value) = word.split_once('=')?;
        let value: f64 = value.parse().ok().filter(|value| (-3.0..=12.0).contains(value))?;
        organisms.iter().any(|organism| organism.id == id).then(|| (id.to_owned(), value))
    };
    words
        .iter()
        .map(|word| {
            read(word).ok_or_else(|| {
                let ids: Vec<&str> = organisms.iter().map(|organism| organism.id.as_str()).collect();
                Failure::plain(
                    "F0083",
                    format!("`{word}` is not a count"),
                    format!(
                        "write an organism and its log10 per mL, such as `listeria=1.5`; there are: {}",
                        ids.join(", ")
                    ),
                )
            })
        })
        .collect()
}

fn chart(history: &History, organisms: &[Organism], report: &ft_growth::GrowthReport) -> String {
    let mut temperature = Vec::new();
    for segment in history.segments() {
        temperature.push((segment.start, segment.from));
        temperature.push((segment.start + segment.hours, segment.to));
    }
    let gaps: Vec<(f64, f64)> = report.gaps.iter().map(|gap| (gap.at_h, gap.at_h + gap.hours)).collect();
    let shown = |organism: &&Organism| report.growth.iter().any(|line| line.id == organism.id);
    let lines: Vec<GrowthLine> = organisms
        .iter()
        .filter(shown)
        .filter_map(|organism| match &organism.shown {
            Shown::Growth { growth, .. } => Some(GrowthLine {
                name: &organism.name,
                points: ft_growth::dose::track(history, &growth.curve)
                    .into_iter()
                    .map(|(hours, grown)| (hours, grown / std::f64::consts::LN_10))
                    .collect(),
                band: growth.band_log10,
            }),
            Shown::TimeAbove { .. } => None,
        })
        .collect();
    growth_svg(&GrowthChart {
        title: &format!("Temperature and predicted growth since {}", report.since),
        since: &report.since,
        temperature: &temperature,
        limit: None,
        gaps: &gaps,
        lines: &lines,
        caution: "A low prediction gives no permission: it lengthens no date and cancels no breach.",
    })
}

fn write(file: &Path, text: &str) -> Result<(), Failure> {
    std::fs::write(file, text).map_err(|error| {
        Failure::plain(
            "F0073",
            format!("{} cannot be written: {error}", file.display()),
            "name a file in a folder that you may write to",
        )
    })
}
