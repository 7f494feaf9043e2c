//! `fulltray coldchain`.

use std::io::{BufReader, Read};

use ft_coldchain::{
    ColdchainView, History, Mapping, Reading, WindowOutcome, WindowVerdict, import, judge_cooling,
};
use ft_units::{Temperature, Time, TimeUnit};

use super::rules::{book, quantity, wrong};
use super::{cycles, show};
use crate::args::hygiene::ColdchainArgs;
use crate::exit::{Answer, Failure};
use crate::input;

/// Reads a log in one pass; time above a limit or a window that was missed is a no.
pub fn run(args: &ColdchainArgs) -> Result<Answer, Failure> {
    let mapping = mapping(args)?;
    let limits = args.above.iter().map(|text| quantity(text)).collect::<Result<Vec<Temperature>, _>>()?;
    let gap: Time = quantity(&args.gap)?;
    let gap_s = gap.in_unit(TimeUnit::Second);
    let windows = windows(args)?;
    let ends = args.cycles.then(|| cycles::ends(args)).transpose()?;
    let mut history = History::new(gap_s, limits);
    // Only cooling and cycles look back, so only then is the log kept.
    let mut kept: Vec<Reading> = Vec::new();
    let take = |reading| {
        history.push(reading);
        if !windows.is_empty() || ends.is_some() {
            kept.push(reading);
        }
    };
    let import = import(open(&args.file)?, &mapping, take).map_err(|bad| wrong((bad.message, bad.remedy)))?;
    let cooling = judge_cooling(&kept, &windows, gap_s);
    let mut view = ColdchainView::new(&import, history.summary(), &cooling);
    view.listed.truncate(args.list);
    if let Some(file) = &args.remember {
        remember(file, &mapping)?;
    }
    let answer = answer(&history, &cooling);
    let Some(ends) = ends else {
        show(args.rules.json, &view, || view.text())?;
        return Ok(answer);
    };
    let (cycles, judged) = cycles::judge(args, &kept, &ends, gap_s)?;
    let both = cycles::LogAndCycles { log: view, cycles };
    show(args.rules.json, &both, || both.text())?;
    Ok(match (answer, judged) {
        (Answer::Yes, judged) => judged,
        (_, Answer::No) => Answer::No,
        (answer, _) => answer,
    })
}

fn answer(history: &History, cooling: &[WindowOutcome]) -> Answer {
    let above = history.summary().above.iter().any(|above| above.known_s > 0.0);
    let unknown = history.summary().above.iter().any(|above| above.unknown_s > 0.0);
    let any = |verdict| cooling.iter().any(|outcome| outcome.verdict == verdict);
    if above || any(WindowVerdict::Fail) {
        Answer::No
    } else if unknown || any(WindowVerdict::NotTold) || any(WindowVerdict::Open) {
        Answer::Unfinished
    } else {
        Answer::Yes
    }
}

/// The windows of every set for the food that is named.
fn windows(args: &ColdchainArgs) -> Result<Vec<ft_rules::Window>, Failure> {
    let Some(food) = &args.cooling else { return Ok(Vec::new()) };
    let known = ft_app::hygiene::circumstances(&[format!("food={food}")], None, &[]).map_err(wrong)?;
    let book = book(&args.rules)?;
    let windows = book.stack().cooling_windows(&known);
    if windows.is_empty() {
        return Err(Failure::plain(
            "R0010",
            format!("no set of the stack has a cooling window for {food} food"),
            "name a set with `--set`, such as us-food-code",
        ));
    }
    Ok(windows)
}

fn mapping(args: &ColdchainArgs) -> Result<Mapping, Failure> {
    if let Some(file) = &args.mapping {
        let source = input::text(file)?;
        return serde_json::from_str(&source.text).map_err(|error| {
            Failure::plain(
                "R0011",
                format!("{file} is not a column mapping: {error}"),
                "write one with `--remember FILE`",
            )
        });
    }
    Ok(Mapping {
        time: args.time.clone().unwrap_or_default(),
        date: args.date.clone(),
        temperature: args.temperature.clone().unwrap_or_default(),
        unit: args.unit.clone(),
        unit_column: None,
        zone: args.zone.clone(),
        format: args.format.clone(),
        delimiter: args.delimiter,
        decimal_comma: args.decimal_comma,
    })
}

fn remember(file: &str, mapping: &Mapping) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(mapping).expect("a mapping is plain data");
    std::fs::write(file, format!("{text}\n")).map_err(|error| {
        Failure::plain(
            "F0073",
            format!("{file} cannot be written: {error}"),
            "name a file in a folder that you may write to",
        )
    })
}

fn open(path: &str) -> Result<Box<dyn Read>, Failure> {
    if path == "-" {
        return Ok(Box::new(std::io::stdin()));
    }
    Ok(Box::new(BufReader::new(input::open(path)?)))
}
