//! `fulltray check`.

use ft_app::check::{CheckView, check};
use ft_prove::Limits;

use super::{chosen, out, out_json};
use crate::args::CheckArgs;
use crate::exit::{Answer, Failure};

/// Checks every variant that was asked for; the worst verdict is the answer.
pub fn run(args: &CheckArgs) -> Result<Answer, Failure> {
    let (source, choice) = chosen(&args.chosen)?;
    let forms =
        ft_app::prepare(&source, &choice).map_err(|trouble| Failure::Text(source.clone(), trouble))?;
    let limits = Limits { states: args.states, ..Limits::default() };
    // Variants do not depend on each other, and each is a proof of its own.
    let views: Vec<CheckView> = std::thread::scope(|scope| {
        let threads: Vec<_> = forms
            .prepared
            .iter()
            .map(|prepared| scope.spawn(|| check(prepared, &limits, &args.chosen.language)))
            .collect();
        threads.into_iter().map(|thread| thread.join().expect("a proof does not panic")).collect()
    });
    if let Some(path) = &args.certificate {
        write_certificate(path, &views)?;
    }
    if args.chosen.json {
        match views.as_slice() {
            [one] => out_json(one)?,
            several => out_json(&several)?,
        }
    } else {
        let lines = ft_diag::Lines::new(&source.text);
        let warnings = ft_diag::render(&forms.warnings, &source.name, &lines, ft_diag::Colour::Never);
        eprint!("{warnings}");
        for view in &views {
            out(&told(view, &source.name))?;
        }
    }
    Ok(views.iter().map(answer).max().unwrap_or(Answer::Yes))
}

fn answer(view: &CheckView) -> Answer {
    match view.verdict {
        "proved" => Answer::Yes,
        "flaw" => Answer::No,
        _ => Answer::Unfinished,
    }
}

fn write_certificate(path: &str, views: &[CheckView]) -> Result<(), Failure> {
    let [view] = views else {
        return Err(Failure::plain(
            "F0074",
            "a certificate is for one variant, and several were checked",
            "choose one with `--plain` or `--with OPTION`, and with `--due` or `--not-due` where steps come by calendar",
        ));
    };
    let Some(certificate) = &view.certificate else { return Ok(()) };
    std::fs::write(path, ft_form::certificate::print(certificate)).map_err(|error| {
        Failure::plain(
            "F0073",
            format!("{path} cannot be written: {error}"),
            "name a file in a folder that you may write to",
        )
    })
}

fn told(view: &CheckView, file: &str) -> String {
    let title = if view.title.is_empty() { file.to_owned() } else { format!("{file}: {}", view.title) };
    let mut text = format!("{title}\n");
    match view.verdict {
        "proved" => text.push_str(&format!(
            "  Proved: in every order in which the crew can carry it out, no hazard, no dead end, and the goal is reached.\n  \
             {} events over {} variables; {} states had to be looked at one by one.\n",
            view.size.0, view.size.1, view.states
        )),
        "flaw" => text.push_str(&format!("  Not safe: {} can go wrong.\n", things(view.flaws.len()))),
        _ => text.push_str(&format!(
            "  Too large: nothing is claimed about {}. {} states were looked at; `--states` allows more.\n",
            view.undecided.join(", "),
            view.states
        )),
    }
    for flaw in &view.flaws {
        text.push_str(&format!("\n  {}\n", flaw.kind));
        for line in &flaw.told {
            text.push_str(&format!("    {line}\n"));
        }
    }
    text
}

fn things(count: usize) -> String {
    if count == 1 { "one thing".to_owned() } else { format!("{count} things") }
}
