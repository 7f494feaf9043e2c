//! `fulltray datemark`.

use ft_coldchain::{DateMark, Frozen, KeepView};
use ft_rules::{Amount, Circumstances, subject_named};
use ft_units::TimeUnit;

use super::rules::{book, date};
use super::show;
use crate::args::hygiene::DatemarkArgs;
use crate::exit::{Answer, Failure};

/// Tells until when lots may be kept; a lot to be discarded now is a no.
pub fn run(args: &DatemarkArgs) -> Result<Answer, Failure> {
    let maker_until = args.maker.as_deref().map(date).transpose()?;
    let frozen = args.frozen.iter().map(|text| stay(text)).collect::<Result<Vec<Frozen>, _>>()?;
    let mut lots = Vec::new();
    for text in &args.lots {
        let day_one = if text == "none" { None } else { Some(date(text)?) };
        lots.push(DateMark { day_one, maker_until, frozen: frozen.clone() });
    }
    let book = book(&args.rules)?;
    let stack = book.stack();
    let subject = subject_named("date-mark").expect("the subject is one of the list");
    let unknown = Circumstances::unknown();
    let answer = stack.ask(subject, None, &unknown);
    let Some((finding, days)) = answer.winner().and_then(|finding| {
        let Some(Amount::Time(limit)) = finding.limit() else { return None };
        // A part of a day is not a day.
        Some((finding, limit.in_unit(TimeUnit::Day).floor() as u32))
    }) else {
        super::out("No text of the stack says for how many days; that is no permission.\n")?;
        return Ok(Answer::Unfinished);
    };
    let decides = format!("{} {}", finding.set.name, finding.rule.reference);
    let view = KeepView::new(&lots, days, decides, stack.all_permit("skip-frozen-days", subject, &unknown));
    show(args.rules.json, &view, || view.text())?;
    Ok(if view.last_day.is_some() { Answer::Yes } else { Answer::No })
}

fn stay(text: &str) -> Result<Frozen, Failure> {
    let (from, until) = text.split_once("..").ok_or_else(|| {
        Failure::plain(
            "R0005",
            format!("`{text}` is not a stay in the freezer"),
            "write `2026-06-02..2026-06-12`",
        )
    })?;
    Ok(Frozen { from: date(from)?, until: date(until)? })
}
