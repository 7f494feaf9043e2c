//! `fulltray rules`.

use ft_app::hygiene::{RuleBook, Wrong, circumstances, why};
use ft_rules::AnswerView;
use ft_units::Unit;
use jiff::civil::Date;

use super::{out, show};
use crate::args::hygiene::{RuleArgs, RulesArgs, RulesCommand, WhyArgs};
use crate::exit::{Answer, Failure};
use crate::input;

/// Lists the sets, or asks them.
pub fn run(args: &RulesArgs) -> Result<Answer, Failure> {
    match &args.command {
        None => {
            let view = book(&args.rules)?.view();
            show(args.rules.json, &view, || view.text())?;
            Ok(Answer::Yes)
        }
        Some(RulesCommand::Why(question)) => ask(question, &args.rules),
        Some(RulesCommand::Subjects) => subjects(),
        Some(RulesCommand::Check { file }) => check(file),
    }
}

fn ask(question: &WhyArgs, rules: &RuleArgs) -> Result<Answer, Failure> {
    let book = book(rules)?;
    let room = question.room.as_deref().map(quantity).transpose()?;
    let known = circumstances(&question.when, room, &question.products).map_err(wrong)?;
    let view = why(&book, &question.subject, question.value.as_deref(), &known).map_err(wrong)?;
    show(rules.json, &view, || view.text())?;
    Ok(verdict(&view, question.value.is_some()))
}

/// The exit of a verdict; a question without a figure only tells the limits, which is no failure.
pub fn verdict(view: &AnswerView, asked: bool) -> Answer {
    match view.verdict {
        "fail" => Answer::No,
        "not told" if asked => Answer::Unfinished,
        _ => Answer::Yes,
    }
}

fn subjects() -> Result<Answer, Failure> {
    use std::fmt::Write as _;
    let mut text = String::from("Figures\n");
    for subject in ft_rules::SUBJECTS {
        let _ = writeln!(text, "  {:<28} {} {}", subject.name, subject.bound.says(), subject.says);
    }
    text.push_str("Practices\n");
    for (name, says) in ft_rules::PRACTICES {
        let _ = writeln!(text, "  {name:<28} {says}");
    }
    text.push_str("Circumstances\n");
    for (key, words) in ft_rules::KEYS {
        let _ = writeln!(text, "  {key:<28} {}", words.join(", "));
    }
    out(&text)?;
    Ok(Answer::Yes)
}

fn check(file: &str) -> Result<Answer, Failure> {
    let source = input::text(file)?;
    let read = ft_rules::read(&source.text);
    match read.set {
        Some(set) if read.problems.is_empty() => {
            out(&format!("{file}: `{}`, {}, {} rules, no problems\n", set.name, set.place, set.rules.len()))?;
            Ok(Answer::Yes)
        }
        _ => Err(Failure::Text(source, ft_app::Trouble::Problems(read.problems))),
    }
}

/// The sets that the arguments mean, on the day that they mean.
pub fn book(args: &RuleArgs) -> Result<RuleBook, Failure> {
    let own = args.files.iter().map(|file| input::text(file)).collect::<Result<Vec<_>, _>>()?;
    let site = args.site.as_deref().map(input::text).transpose()?;
    let opened = RuleBook::open(&args.sets, &own, site.as_ref(), day(args)?);
    opened.map_err(|(source, trouble)| Failure::Text(source, trouble))
}

/// The day that the arguments mean: today, UTC, where none is named.
pub fn day(args: &RuleArgs) -> Result<Date, Failure> {
    match &args.on {
        Some(text) => date(text),
        None => Ok(jiff::tz::TimeZone::UTC.to_datetime(jiff::Timestamp::now()).date()),
    }
}

/// A day of the command line.
pub fn date(text: &str) -> Result<Date, Failure> {
    text.parse().map_err(|_| {
        Failure::plain(
            "R0005",
            format!("`{text}` is not a date"),
            "write year, month and day, such as 2026-06-01",
        )
    })
}

/// A quantity of the command line.
pub fn quantity<U: Unit>(text: &str) -> Result<ft_units::Quantity<U>, Failure> {
    ft_units::parse(text).map_err(|bad| wrong((bad.message, bad.remedy)))
}

/// What is wrong with a question.
pub fn wrong((message, remedy): Wrong) -> Failure {
    Failure::plain("R0010", message, remedy)
}
