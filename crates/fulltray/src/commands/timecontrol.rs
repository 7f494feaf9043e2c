//! `fulltray timecontrol`.

use std::fmt::Write as _;

use ft_app::hygiene::why;
use ft_coldchain::{CAUTION, TimeControl, read_zone, time_control};
use ft_rules::{Amount, AnswerView, Circumstances, FindingView, Stack, subject_named};
use ft_units::{Temperature, Time};
use jiff::ZonedDateTime;
use jiff::civil::DateTime;
use jiff::tz::{AmbiguousOffset, TimeZone};
use serde::Serialize;

use super::rules::{book, day, quantity, wrong};
use super::show;
use crate::args::hygiene::{RuleArgs, TimecontrolArgs};
use crate::exit::{Answer, Failure};

/// Food out of temperature control, as shown.
#[derive(Serialize)]
struct TimecontrolView {
    /// When it left control.
    start: String,
    /// Serve or discard by this moment; nothing where time may not be the control.
    discard_at: Option<String>,
    /// What the rules say of its temperature at the start.
    temperature: AnswerView,
    /// The rule that says for how long.
    decides: Option<FindingView>,
    /// What other sets say of that.
    others: Vec<FindingView>,
    /// What to keep in mind.
    cautions: Vec<String>,
}

/// Tells by when food has to be served or discarded; food that was too warm at the start is a no.
pub fn run(args: &TimecontrolArgs) -> Result<Answer, Failure> {
    let at: Temperature = quantity(&args.at)?;
    let (start, rules, is_twice) = start(args)?;
    let book = book(&rules)?;
    let unknown = Circumstances::unknown();
    let temperature = why(&book, "time-control-start", Some(&args.at), &unknown).map_err(wrong)?;
    let allowed = why(&book, "time-control", None, &unknown).map_err(wrong)?;
    let limits = limits(&book.stack());
    let discard_at = limits.and_then(|(most, time)| match time_control(start.timestamp(), at, most, time) {
        TimeControl::NotAllowed => None,
        TimeControl::Until(until) => Some(until.to_zoned_datetime(start.time_zone().clone()).to_string()),
    });
    let mut cautions = temperature.cautions.clone();
    cautions.extend(allowed.cautions);
    if is_twice {
        cautions.push("The clock showed the start twice; the earlier was taken.".to_owned());
    }
    cautions.push("It is marked with that time, and what is left then is discarded.".to_owned());
    cautions.push(CAUTION.to_owned());
    let cautions: Vec<String> = cautions
        .iter()
        .enumerate()
        .filter(|(i, c)| !cautions[..*i].contains(c))
        .map(|(_, c)| c.clone())
        .collect();
    let view = TimecontrolView {
        start: start.to_string(),
        discard_at,
        temperature: AnswerView { cautions: Vec::new(), ..temperature },
        decides: allowed.winner,
        others: allowed.others,
        cautions,
    };
    show(rules.json, &view, || view.text(limits.is_some()))?;
    Ok(match (limits, &view.discard_at) {
        (None, _) => Answer::Unfinished,
        (Some(_), None) => Answer::No,
        (Some(_), Some(_)) => Answer::Yes,
    })
}

/// The strictest temperature at the start and the strictest time; nothing where no text gives both.
fn limits(stack: &Stack<'_>) -> Option<(Temperature, Time)> {
    let limit = |name| stack.ask(subject_named(name)?, None, &Circumstances::unknown()).winner()?.limit();
    match (limit("time-control-start")?, limit("time-control")?) {
        (Amount::Temperature(most), Amount::Time(time)) => Some((most, time)),
        _ => None,
    }
}

/// The start, the rules of its day, and whether the clock showed it twice; the earlier is then meant.
fn start(args: &TimecontrolArgs) -> Result<(ZonedDateTime, RuleArgs, bool), Failure> {
    let zone = read_zone(&args.zone).map_err(|bad| wrong((bad.message, bad.remedy)))?;
    let mut rules = args.rules.clone();
    // A moment with its date would also be read as a time, without it.
    let is_dated = args.start.contains('-');
    let civil: DateTime = if is_dated {
        args.start.parse().map_err(|_| bad_start(&args.start, "is not a time"))?
    } else {
        let time = args.start.parse().map_err(|_| bad_start(&args.start, "is not a time"))?;
        day(&rules)?.to_datetime(time)
    };
    rules.on.get_or_insert_with(|| civil.date().to_string());
    let (start, is_twice) = moment(civil, &zone).ok_or_else(|| {
        bad_start(&args.start, &format!("is a time that the clocks of {} jumped over", args.zone))
    })?;
    Ok((start, rules, is_twice))
}

fn moment(civil: DateTime, zone: &TimeZone) -> Option<(ZonedDateTime, bool)> {
    let ambiguous = zone.to_ambiguous_zoned_datetime(civil);
    let is_twice = match ambiguous.offset() {
        AmbiguousOffset::Gap { .. } => return None,
        AmbiguousOffset::Fold { .. } => true,
        AmbiguousOffset::Unambiguous { .. } => false,
    };
    Some((ambiguous.earlier().ok()?, is_twice))
}

fn bad_start(start: &str, what: &str) -> Failure {
    wrong((format!("`{start}` {what}"), "write `12:00`, or with its date `2026-06-01T12:00`".to_owned()))
}

impl TimecontrolView {
    fn text(&self, limited: bool) -> String {
        let mut text = match (&self.discard_at, limited) {
            (Some(at), _) => format!("Serve or discard by {at}\n"),
            (None, true) => "Not allowed: it was too warm when it left control\n".to_owned(),
            (None, false) => "No text of the stack gives both a time and a temperature\n".to_owned(),
        };
        let _ = writeln!(text, "  left     {}", self.start);
        for (index, finding) in self.decides.iter().chain(&self.others).enumerate() {
            let mark = if index == 0 { "decides" } else { "also" };
            let FindingView { set, reference, needs, sure, .. } = finding;
            let _ = writeln!(text, "  {mark:<8} {set} {reference}: {needs} ({sure})");
            if let Some(note) = &finding.note {
                let _ = writeln!(text, "           {note}");
            }
        }
        text.push_str(&self.temperature.text());
        for caution in &self.cautions {
            let _ = writeln!(text, "{caution}");
        }
        text
    }
}
