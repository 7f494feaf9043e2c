//! `fulltray wear`: lives, ages to change, what is due, what to order.

use std::collections::BTreeMap;

use ft_wear::record;
use ft_wear::replacement::Costs;
use ft_wear::view::{Request, Settings, WearView, picture, text, wear};
use jiff::civil::Date;

use super::{out, out_json, write_file};
use crate::args::WearArgs;
use crate::exit::{Answer, Failure};
use crate::input;

/// Answers from a table of replacements; the answer is no when a part is overdue.
pub fn run(args: &WearArgs) -> Result<Answer, Failure> {
    let today = today(args)?;
    let default = settings(args)?;
    let record = lives(args, today)?;
    let mut view = wear(&record, &Request { today, default, parts: BTreeMap::new() });
    if let Some(name) = &args.part {
        choose(&mut view, name, args.file.as_deref().unwrap_or("the record"))?;
    }
    if let Some(path) = &args.svg {
        let [part] = view.parts.as_slice() else {
            return Err(Failure::plain(
                "W0110",
                "there are several kinds of part, and one picture",
                "choose one with `--part NAME`",
            ));
        };
        write_file(path, &picture(part))?;
    }
    if args.json {
        out_json(&view)?;
    } else {
        out(&text(&view))?;
    }
    let overdue =
        view.parts.iter().flat_map(|part| &part.due).any(|due| due.days_left.is_some_and(|left| left < 0));
    Ok(if overdue { Answer::No } else { Answer::Yes })
}

/// Replacements of the table and of the record together.
fn lives(args: &WearArgs, today: Date) -> Result<record::Record, Failure> {
    let mut all = record::Record { replacements: Vec::new(), problems: Vec::new(), rows: 0 };
    if let Some(file) = &args.file {
        let source = input::text(file)?;
        all = record::read(&source.text, today);
        if let (0, Some(problem)) = (all.rows, all.problems.first()) {
            return Err(Failure::plain(
                problem.code,
                format!("{file}: {}", problem.message),
                problem.remedy.clone().unwrap_or_else(|| "check the table".to_owned()),
            ));
        }
    }
    if let Some(place) = &args.store {
        let mut told = ft_app::wear::Replacements::default();
        crate::record::each(Some(place.as_str()), |event| told.apply(event))?;
        let own = told.record(&jiff::tz::TimeZone::UTC);
        all.rows += own.rows;
        all.replacements.extend(own.replacements.into_iter().filter(|one| one.fitted <= today));
    }
    Ok(all)
}

fn choose(view: &mut WearView, name: &str, file: &str) -> Result<(), Failure> {
    let names: Vec<String> = view.parts.iter().map(|part| part.part.clone()).collect();
    view.parts.retain(|part| part.part == name);
    if view.parts.is_empty() {
        let known = if names.is_empty() { "none".to_owned() } else { names.join(", ") };
        return Err(Failure::plain(
            "W0111",
            format!("{file} has no part `{name}`"),
            format!("parts in it: {known}"),
        ));
    }
    Ok(())
}

fn today(args: &WearArgs) -> Result<Date, Failure> {
    match &args.today {
        None => Ok(jiff::ZonedDateTime::now().date()),
        Some(text) => text.parse().map_err(|_| {
            Failure::plain("W0103", format!("`{text}` is not a date"), "write it as 2026-05-31")
        }),
    }
}

fn settings(args: &WearArgs) -> Result<Settings, Failure> {
    let costs = args.planned_cost.zip(args.failure_cost).map(|(planned, failure)| Costs { planned, failure });
    let positive = |value: Option<f64>| value.is_none_or(|value| value.is_finite() && 0.0 < value);
    let sound = positive(args.planned_cost)
        && positive(args.failure_cost)
        && positive(args.longest)
        && positive(args.shape)
        && (0.0..1.0).contains(&args.service)
        && (0.0..=3650.0).contains(&args.lead)
        && (0.0..=3650.0).contains(&args.ahead);
    if !sound {
        return Err(Failure::plain(
            "W0112",
            "a cost, an interval or a share is out of range",
            "costs, shape and interval above 0; service from 0 to below 1; days from 0 to 3650",
        ));
    }
    Ok(Settings {
        costs,
        maker_longest_days: args.longest,
        assumed_shape: args.shape,
        lead_days: args.lead,
        service: args.service,
        have: args.have,
        ahead_days: args.ahead,
    })
}
