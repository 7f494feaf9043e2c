//! `fulltray release`: may it serve?

use std::path::Path;

use ft_app::Source;
use ft_app::morning::{Made, expected};
use ft_compile::File;
use ft_lots::Limits;
use ft_machine::Kitchen;
use ft_record::Fact;
use ft_release::{Decision, Expected, Morning, Settings, may_it_serve, text};
use sha2::{Digest as _, Sha256};

use super::plan::demo;
use super::rules::book;
use super::show;
use crate::args::morning::ReleaseArgs;
use crate::exit::{Answer, Failure};
use crate::{input, record};

/// Answers for each machine of a kitchen; a no of one is a no.
pub fn run(args: &ReleaseArgs) -> Result<Answer, Failure> {
    let (zone, at_ms) = (record::zone(&args.record)?, record::at_ms(&args.record)?);
    let book = book(&args.rules)?;
    let limits = Limits::of(&book.stack(), zone);
    let (kitchen, read) = kitchen(args)?;
    let mut morning = Morning::new();
    let mut happened = Vec::new();
    record::each(args.record.store.as_deref(), |event| {
        morning.apply(event);
        if let (Some(who), Some(machine), Fact::Happened { event: name }) =
            (&event.person, &event.machine, &event.fact)
        {
            happened.push((who.clone(), machine.clone(), name.clone(), event.at_ms));
        }
    })?;
    let mut decisions = Vec::new();
    for installed in &kitchen.machines {
        let name = &installed.named.name;
        if args.machine.as_ref().is_some_and(|asked| asked != name) {
            continue;
        }
        let source = read(&installed.file)?;
        let expected = made(name, &source, &morning)?;
        let works = [&expected.closing, &expected.opening];
        morning.asks_for(name, works.iter().flat_map(|work| work.skills.values()).cloned().collect());
        for (who, machine, event, at_ms) in &happened {
            if machine == name
                && let Some(skill) = skill(&expected, event)
            {
                morning.used(who, skill, *at_ms);
            }
        }
        decisions.push(may_it_serve(&morning, &expected, &limits, &Settings::default(), at_ms));
    }
    if decisions.is_empty() {
        let known: Vec<&str> = kitchen.machines.iter().map(|machine| machine.named.name.as_str()).collect();
        return Err(Failure::plain(
            "F0071",
            "the kitchen has no such machine",
            format!("there are: {}", known.join(", ")),
        ));
    }
    show(args.rules.json, &decisions, || told(&decisions, &args.language))?;
    Ok(if decisions.iter().all(|decision| decision.may_serve) { Answer::Yes } else { Answer::No })
}

fn told(decisions: &[Decision], language: &str) -> String {
    decisions.iter().map(|decision| text(decision, language)).collect::<Vec<_>>().join("\n")
}

/// Reads a machine file that the kitchen names.
type Reader = Box<dyn Fn(&str) -> Result<Source, Failure>>;

/// The kitchen, and how its machine files are read.
fn kitchen(args: &ReleaseArgs) -> Result<(Kitchen, Reader), Failure> {
    let source = match &args.kitchen {
        Some(path) => input::text(path)?,
        None => demo("pier.kitchen.kdl").expect("the demo kitchen is inside the binary"),
    };
    let (file, problems) = ft_compile::read(&source.text);
    if ft_compile::has_errors(&problems) {
        return Err(Failure::Text(source, ft_app::Trouble::Problems(problems)));
    }
    let Some(kitchen) = file.kitchen else {
        return Err(Failure::plain(
            "F0071",
            format!("{} is not a kitchen file", source.name),
            "name the kitchen file, and the machine with `--machine`",
        ));
    };
    let folder =
        args.kitchen.as_ref().map(|path| Path::new(path).parent().unwrap_or(Path::new(".")).to_path_buf());
    let read = move |file: &str| match &folder {
        Some(folder) => input::text(&folder.join(file).to_string_lossy()),
        None => demo(file).ok_or_else(|| {
            Failure::plain("F0073", format!("{file} is not part of the demo"), "name a kitchen file")
        }),
    };
    Ok((kitchen, Box::new(read)))
}

/// What the machine should have gone through, with the options and loads of its last runs.
fn made(name: &str, source: &Source, morning: &Morning) -> Result<Expected, Failure> {
    let (file, problems): (File, _) = ft_compile::read(&source.text);
    if ft_compile::has_errors(&problems) {
        return Err(Failure::Text(source.clone(), ft_app::Trouble::Problems(problems)));
    }
    let sha256 = ft_record::hex(&Sha256::digest(source.text.as_bytes()));
    let of = |procedure: &str| {
        let run = morning.last_run(name, procedure);
        Made { file: &file, sha256: &sha256, installed: run.and_then(|run| morning.installed(run, name)) }
    };
    expected(name, of("closing"), of("opening"))
        .map_err(|problems| Failure::Text(source.clone(), ft_app::Trouble::Problems(problems)))
}

fn skill<'a>(expected: &'a Expected, event: &str) -> Option<&'a str> {
    [&expected.closing, &expected.opening].into_iter().find_map(|work| {
        let id = work.form.events.iter().position(|of| of.name == event)?;
        work.skills.get(&id).map(String::as_str)
    })
}
