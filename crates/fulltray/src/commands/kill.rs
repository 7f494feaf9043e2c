//! `fulltray kill`: what a step that was cut short or made too weak loses.

use clap::{Args, ValueEnum};
use ft_kill::{Law, Step, compare};

use super::{out, out_json};
use crate::exit::{Answer, Failure};

/// Arguments of `kill`; strength and time in the units that the coefficients were fitted in.
#[derive(Debug, Clone, Args)]
pub struct KillArgs {
    /// The law.
    #[arg(long, value_enum, default_value = "chick-watson")]
    pub law: LawWord,
    /// Coefficient k of Chick-Watson or Hom.
    #[arg(long, required_if_eq_any = [("law", "chick-watson"), ("law", "hom")])]
    pub k: Option<f64>,
    /// Exponent n of the strength.
    #[arg(long, default_value_t = 1.0)]
    pub n: f64,
    /// Exponent m of the time (Hom).
    #[arg(long, default_value_t = 1.0)]
    pub m: f64,
    /// First-order decay of the strength (Hom), 1/time.
    #[arg(long, default_value_t = 0.0)]
    pub decay: f64,
    /// Time to the first log (Weibull).
    #[arg(long, required_if_eq("law", "weibull"))]
    pub delta: Option<f64>,
    /// Shape p (Weibull).
    #[arg(long, default_value_t = 1.0)]
    pub p: f64,
    /// Strength and contact time as written, such as `50x30`.
    #[arg(long, value_name = "STRENGTHxTIME")]
    pub written: String,
    /// Strength and contact time as done, such as `50x20`.
    #[arg(long, value_name = "STRENGTHxTIME")]
    pub done: String,
    /// Answer in JSON.
    #[arg(long)]
    pub json: bool,
}

/// Laws by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LawWord {
    /// ln S = -k C^n t.
    ChickWatson,
    /// ln S = -k C^n t^m.
    Hom,
    /// log10 S = -(t/delta)^p.
    Weibull,
}

/// Compares the step as done with the step as written.
pub fn run(args: &KillArgs) -> Result<Answer, Failure> {
    let missing = |what: &str| {
        Failure::plain(
            "F0084",
            format!("the law needs `--{what}`"),
            "take it from the study that fitted the law",
        )
    };
    let law = match args.law {
        LawWord::ChickWatson => Law::ChickWatson { k: args.k.ok_or_else(|| missing("k"))?, n: args.n },
        LawWord::Hom => {
            Law::Hom { k: args.k.ok_or_else(|| missing("k"))?, n: args.n, m: args.m, decay: args.decay }
        }
        LawWord::Weibull => Law::Weibull { delta: args.delta.ok_or_else(|| missing("delta"))?, p: args.p },
    };
    let report = compare(law, step(&args.written)?, step(&args.done)?)
        .map_err(|why| Failure::plain("F0084", why, "see docs/growth.md on killing"))?;
    if args.json {
        out_json(&report)?;
    } else {
        out(&report.text())?;
    }
    Ok(if report.is_breach { Answer::No } else { Answer::Yes })
}

fn step(words: &str) -> Result<Step, Failure> {
    let read = || {
        let (strength, time) = words.split_once('x')?;
        Some(Step { strength: strength.trim().parse().ok()?, time: time.trim().parse().ok()? })
    };
    read().ok_or_else(|| {
        Failure::plain(
            "F0084",
            format!("`{words}` is not a strength and a time"),
            "write both with an x between, such as `50x30`",
        )
    })
}
