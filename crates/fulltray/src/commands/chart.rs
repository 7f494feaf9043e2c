//! `fulltray chart`: the check of the limit, then drift.

use ft_readings::chart_view::{Request, chart, picture, text};
use ft_readings::measurement::Limits;
use ft_readings::table;

use super::{out, out_json, write_file};
use crate::args::ChartArgs;
use crate::exit::{Answer, Failure};
use crate::input;

/// Charts a column of a table; the answer is no when a reading is outside the limits of the rule.
pub fn run(args: &ChartArgs) -> Result<Answer, Failure> {
    let request = request(args)?;
    let source = input::text(&args.file)?;
    let column = table::column(&source.text, &args.column);
    if let (true, Some(problem)) = (column.readings.is_empty(), column.problems.first()) {
        return Err(Failure::plain(
            problem.code,
            format!("{}: {}", args.file, problem.message),
            problem.remedy.clone().unwrap_or_else(|| "check the table".to_owned()),
        ));
    }
    let view = chart(&column, &request).map_err(|why| {
        Failure::plain(
            "R0104",
            format!("{}: {why}", args.file),
            "give more readings, or more rows with `--baseline`",
        )
    })?;
    if let Some(path) = &args.svg {
        let rule = args.high.or(args.low).map(|limit| (limit, args.whose.clone()));
        write_file(path, &picture(&view, rule))?;
    }
    if args.json {
        out_json(&view)?;
    } else {
        out(&text(&view))?;
    }
    Ok(if view.outside.is_empty() { Answer::Yes } else { Answer::No })
}

fn request(args: &ChartArgs) -> Result<Request, Failure> {
    let wrong = |what: &str, remedy: &str| Err(Failure::plain("R0105", what.to_owned(), remedy.to_owned()));
    if !(0.0 < args.weight && args.weight <= 1.0) {
        return wrong("the weight is not above 0 and up to 1", "give `--weight 0.2`");
    }
    if !(0.0 < args.width && 0.0 <= args.slack && 0.0 < args.decision) {
        return wrong(
            "a width, slack or decision interval is not above 0",
            "leave them out for the usual ones",
        );
    }
    if !(0.0 <= args.uncertainty && args.uncertainty.is_finite()) {
        return wrong("the uncertainty is below 0", "give how far off a reading may be, such as 0.5");
    }
    if let (Some(low), Some(high)) = (args.low, args.high)
        && high < low
    {
        return wrong("`--high` is below `--low`", "give the least allowed value as `--low`");
    }
    let has_limit = args.low.is_some() || args.high.is_some();
    let limits = has_limit.then(|| (Limits { low: args.low, high: args.high }, args.whose.clone()));
    Ok(Request {
        title: args.title.clone(),
        unit: args.unit.clone(),
        baseline: args.baseline,
        target: args.target,
        weight: args.weight,
        width: args.width,
        slack: args.slack,
        decision: args.decision,
        limits,
        uncertainty: args.uncertainty,
    })
}
