//! `plan`: from a kitchen and its machines to tonight's checked, ordered plan.

mod cards;
mod conflict;
mod learnt;
mod solutions;
mod view;

use std::collections::BTreeMap;

use ft_compile::{File, Lowered, Variant};
use ft_diag::Problem as Remark;
use ft_machine::Kitchen;
use ft_night::{Plan, Problem};
use ft_plan::Budget;
use ft_prove::{Limits, Order, Verdict};

use crate::night::{self, MachineNight, Origins};
use crate::play;
use crate::source::{Source, Trouble};

pub use cards::{CardView, cards};
pub use conflict::{ConflictView, GiveUpView};
pub use learnt::{Learnt, learnt};
pub use solutions::Mixed;
pub use view::{Baseline, LoadView, MachineView, Row, TonightView, pick};

/// Why there is no plan.
#[derive(Debug)]
pub enum NoNight {
    /// A file has problems.
    Trouble(Source, Trouble),
    /// A machine's card is not safe: its name, and the stories told.
    Unsafe(String, Vec<String>),
    /// A machine could not be decided within the limits.
    TooLarge(String),
    /// The plan was found to break a rule: an error of the program, shown rather than a wrong plan.
    Broken(Vec<String>),
}

/// What is asked for tonight.
pub struct Asked<'a> {
    /// The kitchen file.
    pub kitchen: Source,
    /// The name of the procedure; every machine that has it takes part.
    pub procedure: &'a str,
    /// Schedules that may be built.
    pub budget: Budget<'a>,
    /// Language of titles and sentences.
    pub language: &'a str,
    /// Who is here tonight, by name; `None`: whom the kitchen file says. Names that it does not know are left out.
    pub here: Option<&'a [String]>,
    /// How long steps took whom, where the kitchen uses that for planning; else empty.
    pub timed: &'a [ft_odds::lengths::Run],
}

/// A machine, read, proved and ordered.
pub struct Ready {
    /// What the kitchen calls it.
    pub name: String,
    /// What people call it, by language.
    pub label: ft_machine::Words,
    /// Where it stands: a place of the kitchen.
    pub place: Option<usize>,
    /// The text that it was read from.
    pub source: Source,
    /// Its file.
    pub file: File,
    /// Which procedure.
    pub procedure: usize,
    /// The procedure with the card's own loads.
    pub lowered: Lowered,
    /// The order of that.
    pub order: Order,
    /// States that were looked at to prove it.
    pub states: u64,
    /// Options that are fitted, and whether what is due by calendar is due.
    pub variant: Variant,
}

/// Tonight's plan and everything that led to it.
pub struct Tonight {
    /// The kitchen.
    pub kitchen: Kitchen,
    /// The planning problem.
    pub problem: Problem,
    /// The plan, accepted by the referee.
    pub plan: Plan,
    /// Where tasks and items come from.
    pub origins: Origins,
    /// What is shown.
    pub view: TonightView,
    /// The machines that take part, by their number in `origins`.
    pub machines: Vec<Ready>,
    /// As many people as the cards were proved for.
    pub crew: u32,
    /// Warnings about the files, by file.
    pub remarks: Vec<(Source, Vec<Remark>)>,
}

/// Plans tonight. `read` gives the text of a machine file named in the kitchen file.
///
/// # Errors
/// [`NoNight`]: nothing is planned on a card that was not proved.
pub fn tonight(asked: &Asked<'_>, read: &dyn Fn(&str) -> Result<Source, String>) -> Result<Tonight, NoNight> {
    let (kitchen, kitchen_remarks) = kitchen(&asked.kitchen, asked.here)?;
    let mut remarks = vec![(asked.kitchen.clone(), kitchen_remarks)];
    let mut ready = Vec::new();
    for index in 0..kitchen.machines.len() {
        if let Some(machine) = machine(&kitchen, index, asked, read, &mut remarks)? {
            ready.push(machine);
        }
    }
    if ready.is_empty() {
        return Err(NoNight::Trouble(
            asked.kitchen.clone(),
            Trouble::Choice(
                format!("no machine of this kitchen has a procedure `{}`", asked.procedure),
                format!(
                    "write `procedure \"{}\" {{ … }}` in a machine file, or name another with `--procedure`",
                    asked.procedure
                ),
            ),
        ));
    }
    let machines: Vec<MachineNight<'_>> = ready
        .iter()
        .map(|machine| MachineNight {
            name: machine.name.clone(),
            label: machine.label.clone(),
            place: machine.place,
            file: &machine.file,
            procedure: machine.procedure,
            lowered: &machine.lowered,
            order: &machine.order,
        })
        .collect();
    let (mut problem, origins) = night::problem(&kitchen, &machines);
    learnt(&ready.iter().collect::<Vec<_>>(), asked.timed).apply(&mut problem, &origins);
    let faults = problem.faults();
    if !faults.is_empty() {
        return Err(NoNight::Broken(faults));
    }
    let plan = ft_plan::plan(&problem, &asked.budget);
    accept(&problem, &plan)?;
    if plan.is_plan() {
        let faults = |(index, (machine, ready)): (usize, (&MachineNight<'_>, &Ready))| {
            play::faults(index, machine, (&ready.variant, crew(&kitchen)), (&problem, &origins), &plan)
        };
        let broken: Vec<String> = machines.iter().zip(&ready).enumerate().flat_map(faults).collect();
        if !broken.is_empty() {
            return Err(NoNight::Broken(broken));
        }
    }
    let mixed = solutions::mixed(&machines, asked.language);
    let proved: Vec<view::Proved> = ready
        .iter()
        .map(|machine| view::Proved {
            name: view::pick(&machine.label, asked.language).unwrap_or(&machine.name).to_owned(),
            events: machine.lowered.form.events.len(),
            states: machine.states,
            orders: machine.order.edges.len(),
        })
        .collect();
    let view = view::view(&kitchen, &problem, &plan, &proved, mixed, asked);
    drop(machines);
    let crew = crew(&kitchen);
    Ok(Tonight { kitchen, problem, plan, origins, view, machines: ready, crew, remarks })
}

/// As many people as a card is proved for.
fn crew(kitchen: &Kitchen) -> u32 {
    kitchen.people.iter().filter(|person| person.here).count().clamp(1, 6) as u32
}

/// A plan that the referee has not accepted is not shown.
fn accept(problem: &Problem, plan: &Plan) -> Result<(), NoNight> {
    let broken = ft_referee::problems(problem, plan);
    if broken.is_empty() {
        Ok(())
    } else {
        Err(NoNight::Broken(broken.iter().map(ToString::to_string).collect()))
    }
}

fn kitchen(source: &Source, here: Option<&[String]>) -> Result<(Kitchen, Vec<Remark>), NoNight> {
    let (mut file, problems) = ft_compile::read(&source.text);
    if let (Some(here), Some(kitchen)) = (here, file.kitchen.as_mut()) {
        for person in &mut kitchen.people {
            person.here = here.contains(&person.named.name);
        }
    }
    if ft_compile::has_errors(&problems) {
        return Err(NoNight::Trouble(source.clone(), Trouble::Problems(problems)));
    }
    match file.kitchen {
        Some(kitchen) if kitchen.people.iter().all(|person| !person.here) => Err(NoNight::Trouble(
            source.clone(),
            Trouble::Choice(
                "nobody is here tonight, so there is nobody to plan for".into(),
                "take `away` from somebody, or add who is here, such as `person \"Kim\" from=\"21:30\"`"
                    .into(),
            ),
        )),
        Some(kitchen) => Ok((kitchen, problems)),
        None => Err(NoNight::Trouble(
            source.clone(),
            Trouble::Choice(
                "this is not a kitchen file".into(),
                "a kitchen file has `kitchen \"name\" { … }`; see demo/pier.kitchen.kdl".into(),
            ),
        )),
    }
}

fn machine(
    kitchen: &Kitchen,
    index: usize,
    asked: &Asked<'_>,
    read: &dyn Fn(&str) -> Result<Source, String>,
    remarks: &mut Vec<(Source, Vec<Remark>)>,
) -> Result<Option<Ready>, NoNight> {
    let installed = &kitchen.machines[index];
    let wrong = |wrong: String, remedy: String| {
        NoNight::Trouble(asked.kitchen.clone(), Trouble::Choice(wrong, remedy))
    };
    let source = read(&installed.file).map_err(|error| {
        wrong(
            format!("the machine `{}`: {error}", installed.named.name),
            "name a machine file beside the kitchen file".into(),
        )
    })?;
    let (file, problems) = ft_compile::read(&source.text);
    if ft_compile::has_errors(&problems) {
        return Err(NoNight::Trouble(source, Trouble::Problems(problems)));
    }
    let Some(procedure) =
        file.procedures.iter().position(|procedure| procedure.named.name == asked.procedure)
    else {
        return Ok(None);
    };
    let variant = variant(kitchen, index, &file, procedure).map_err(|(what, remedy)| wrong(what, remedy))?;
    let people = crew(kitchen);
    let lowered = ft_compile::compile(&file, procedure, &variant, people)
        .map_err(|problems| NoNight::Trouble(source.clone(), Trouble::Problems(problems)))?;
    remarks.push((source.clone(), problems));
    let limits = Limits::default();
    let states = match ft_prove::check(&lowered.form, &limits) {
        Verdict::Proved(proof) => proof.states,
        Verdict::TooLarge(_) => return Err(NoNight::TooLarge(installed.named.name.clone())),
        verdict @ Verdict::Flaw(_) => {
            let told = verdict
                .flaws()
                .iter()
                .take(1)
                .flat_map(|flaw| crate::check::flaw_view(&lowered.form, flaw, asked.language).told);
            return Err(NoNight::Unsafe(installed.named.name.clone(), told.collect()));
        }
    };
    let order = ft_prove::order(&lowered.form, &limits)
        .map_err(|_| NoNight::TooLarge(installed.named.name.clone()))?;
    let label = named_words(&installed.named, &kitchen.languages);
    Ok(Some(Ready {
        name: installed.named.name.clone(),
        label,
        place: installed.place,
        source,
        file,
        procedure,
        lowered,
        order,
        states,
        variant,
    }))
}

fn named_words(named: &ft_machine::Named, languages: &[String]) -> ft_machine::Words {
    languages
        .iter()
        .map(|language| (language.clone(), ft_compile::lower::text(named, language).to_owned()))
        .collect::<BTreeMap<_, _>>()
}

/// The options that are fitted, and whether this is the day for what is due by calendar.
fn variant(
    kitchen: &Kitchen,
    index: usize,
    file: &File,
    procedure: usize,
) -> Result<Variant, (String, String)> {
    let installed = &kitchen.machines[index];
    let options = file.machine.as_ref().map_or(&[][..], |machine| machine.options.as_slice());
    let mut variant = Variant::default();
    for fitted in &installed.fitted {
        let Some(found) = options.iter().position(|option| option.name == *fitted) else {
            let known: Vec<String> = options.iter().map(|option| format!("`{}`", option.name)).collect();
            return Err((
                format!("the machine `{}` has no option `{fitted}`", installed.named.name),
                if known.is_empty() {
                    "leave `fitted` out".into()
                } else {
                    format!("it has: {}", known.join(", "))
                },
            ));
        };
        variant.options.insert(found);
    }
    let day = kitchen.hours.and_then(|hours| hours.day);
    variant.due = file.procedures[procedure].steps.iter().any(|step| match step.every {
        Some(ft_machine::Every::Week(due)) => Some(due) == day,
        None => false,
    });
    Ok(variant)
}

#[cfg(test)]
mod tests;
