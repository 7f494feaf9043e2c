//! `fulltray plan`, and what the program does without a command.

mod show;

use std::path::Path;
use std::time::{Duration, Instant};

use ft_app::Source;
use ft_app::tonight::{Asked, NoNight, Tonight, tonight};
use ft_plan::Budget;

use super::{out, out_json, write_file};
use crate::args::PlanArgs;
use crate::exit::{Answer, Failure, told};
use crate::input;

/// The demo kitchen, inside the binary.
const DEMO: &[(&str, &str)] = &[
    ("pier.kitchen.kdl", include_str!("../../../../demo/pier.kitchen.kdl")),
    ("shake.machine.kdl", include_str!("../../../../demo/shake.machine.kdl")),
    ("twist.machine.kdl", include_str!("../../../../demo/twist.machine.kdl")),
    ("slicer.machine.kdl", include_str!("../../../../demo/slicer.machine.kdl")),
    ("juice.machine.kdl", include_str!("../../../../demo/juice.machine.kdl")),
];

/// Plans tonight for a kitchen file, or for the demo kitchen.
pub fn run(args: &PlanArgs) -> Result<Answer, Failure> {
    match night(args)? {
        Ok(night) => show(args, &night),
        Err(answer) => Ok(answer),
    }
}

/// The night that is planned; where there is none, why has been said.
pub(super) fn night(args: &PlanArgs) -> Result<Result<Tonight, Answer>, Failure> {
    let began = Instant::now();
    let limit = Duration::from_secs_f64(args.seconds);
    let is_over = || began.elapsed() >= limit;
    let budget = Budget { work_units: args.work, seed: args.seed, stop: Some(&is_over) };
    let kitchen = match &args.kitchen {
        Some(path) => input::text(path)?,
        None => demo("pier.kitchen.kdl").expect("the demo kitchen is inside the binary"),
    };
    let folder =
        args.kitchen.as_ref().map(|path| Path::new(path).parent().unwrap_or(Path::new(".")).to_path_buf());
    let read = |file: &str| match &folder {
        Some(folder) => {
            input::text(&folder.join(file).to_string_lossy()).map_err(|failure| failure.sentence())
        }
        None => demo(file).ok_or_else(|| "it is not part of the demo".to_owned()),
    };
    let asked = Asked {
        kitchen,
        procedure: &args.procedure,
        budget,
        language: &args.language,
        here: None,
        timed: &[],
    };
    match tonight(&asked, &read) {
        Ok(night) => Ok(Ok(night)),
        Err(NoNight::Trouble(source, trouble)) => Err(Failure::Text(source, trouble)),
        Err(NoNight::Unsafe(machine, story)) => {
            out(&format!("{machine}: its card is not safe, so nothing is planned.\n\n"))?;
            story.iter().try_for_each(|line| out(&format!("  {line}\n")))?;
            out("\n`fulltray repair` shows which order would make it safe.\n")?;
            Ok(Err(Answer::No))
        }
        Err(NoNight::TooLarge(machine)) => {
            out(&format!("{machine}: it could not be proved within the limits, so nothing is planned.\n"))?;
            Ok(Err(Answer::Unfinished))
        }
        Err(NoNight::Broken(rules)) => Err(Failure::plain(
            "F0075",
            format!("the plan broke a rule and is not shown: {}", rules.join("; ")),
            "this is an error of the program: please report it with the kitchen file",
        )),
    }
}

fn show(args: &PlanArgs, night: &Tonight) -> Result<Answer, Failure> {
    for (source, remarks) in night.remarks.iter().filter(|(_, remarks)| !remarks.is_empty()) {
        eprint!("{}", told(source, &ft_app::Trouble::Problems(remarks.clone())));
    }
    draw(args, night)?;
    if args.json {
        out_json(&night.view)?;
    } else {
        out(&show::text(&night.view, args))?;
    }
    Ok(match night.view.word {
        "best" | "feasible" => Answer::Yes,
        "impossible" => Answer::No,
        _ => Answer::Unfinished,
    })
}

/// Units of the picture's width: a page across.
const WIDTH: u32 = 1600;

/// Writes the files that were asked for; where there is no plan there is nothing to draw.
fn draw(args: &PlanArgs, night: &Tonight) -> Result<(), Failure> {
    if !night.plan.is_plan() {
        return Ok(());
    }
    let clock = ft_draw_plan::Clock { begins_at_s: night.view.begins_min * 60 };
    if let Some(path) = &args.svg {
        write_file(path, &ft_draw_plan::svg(&night.problem, &night.plan, clock, &args.language, WIDTH))?;
    }
    if let Some(path) = &args.ics {
        let now = jiff::Timestamp::now();
        let today = jiff::tz::TimeZone::system().to_datetime(now).date();
        let number = |part: i16| u32::try_from(part).unwrap_or(0);
        let date = (number(today.year()), number(today.month().into()), number(today.day().into()));
        let stamp = now.strftime("%Y%m%dT%H%M%SZ").to_string();
        write_file(
            path,
            &ft_draw_plan::calendar(&night.problem, &night.plan, clock, date, &stamp, &args.language, None),
        )?;
    }
    Ok(())
}

/// A file of the demo kitchen.
pub fn demo(file: &str) -> Option<Source> {
    let found = DEMO.iter().find(|(name, _)| *name == file)?;
    Some(Source { name: format!("demo/{file}"), text: found.1.to_owned() })
}
