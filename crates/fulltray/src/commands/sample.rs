//! `fulltray sample`: lots, last results, swabs and heads.

use ft_readings::plan::Plan;
use ft_readings::rolling::Rolling;
use ft_readings::{sample_view, table};

use super::{out, out_json};
use crate::args::{SampleArgs, SampleKind};
use crate::exit::{Answer, Failure};
use crate::input;

/// Judges what was given; the answer is no unless it passes.
pub fn run(args: &SampleArgs) -> Result<Answer, Failure> {
    match &args.kind {
        SampleKind::Plan { n, c, m, big_m, counts } => {
            let plan = Plan::new(*n, *c, *m, *big_m).map_err(|why| {
                Failure::plain(
                    "R0106",
                    format!("the plan makes no sense: {why}"),
                    "give it as `-n 5 -c 2 -m 10 -M 100`",
                )
            })?;
            let counts: Vec<&str> = counts.iter().map(String::as_str).collect();
            let view = sample_view::plan(&plan, &counts);
            shown(args.json, &view, &sample_view::plan_text(&view))?;
            Ok(answer(matches!(view.verdict, "satisfactory" | "acceptable")))
        }
        SampleKind::Last { k, n, limit, results } => {
            let rule = Rolling::new(*k, *n).ok_or_else(|| {
                Failure::plain(
                    "R0107",
                    format!("{k} of the last {n} makes no sense"),
                    "give k from 1 to n, and n up to 16",
                )
            })?;
            let view = sample_view::rolling(rule, results, *limit);
            shown(args.json, &view, &sample_view::rolling_text(&view))?;
            Ok(answer(view.verdict != "fails"))
        }
        SampleKind::Swab { file, column, reading, again } => {
            let clean = table::column(&input::text(file)?.text, column);
            let view = sample_view::swab(&clean, *reading, *again).map_err(|why| {
                Failure::plain(
                    "R0104",
                    format!("{file}: {why}"),
                    "give 20 or more swabs of surfaces accepted as clean",
                )
            })?;
            shown(args.json, &view, &sample_view::swab_text(&view))?;
            Ok(answer(view.verdict == "pass"))
        }
        SampleKind::Heads { barrels, rounds } => {
            let passed: Vec<bool> = rounds.iter().map(|round| round == "pass").collect();
            let view = sample_view::heads(*barrels, &passed);
            shown(args.json, &view, &sample_view::heads_text(&view))?;
            Ok(Answer::Yes)
        }
    }
}

fn answer(passes: bool) -> Answer {
    if passes { Answer::Yes } else { Answer::No }
}

fn shown(json: bool, view: &impl serde::Serialize, text: &str) -> Result<(), Failure> {
    if json { out_json(view) } else { out(text) }
}
