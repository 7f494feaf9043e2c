//! What a machine should have gone through before it serves, out of its machine file and the runs on record.

use ft_compile::lower::{Group, Key, Stage, TaskFrom};
use ft_compile::{File, Lowered, Variant};
use ft_diag::Problem;
use ft_form::Words;
use ft_machine::{
    Liquid, Lubricant, Machine, PartId, SideId, SolutionKind, Statement, Step, Subject, Target,
};
use ft_record::{Installed, PartRef};
use ft_release::{Circuit, Contact, Expected, Measure, Part, Vessel, Work};
use ft_units::TimeUnit;

use crate::{Choice, Source, Trouble};

/// Hands are never what keeps an event of the record from having happened: as many people as a form may have.
const PEOPLE: u32 = 6;

/// One person practises, with a second pair of hands where a step asks for it.
const PRACTISED_BY: u32 = 2;

/// A run's machine as it was read: the file, the hash of its text, and what was fitted and loaded.
#[derive(Debug, Clone, Copy)]
pub struct Made<'a> {
    /// The machine file.
    pub file: &'a File,
    /// SHA-256 of its text, lower case hex.
    pub sha256: &'a str,
    /// As the run says; `None` where there was no run.
    pub installed: Option<&'a Installed>,
}

/// What a machine should have gone through. `machine` is what the kitchen calls it; the closing and the opening may
/// have been made with different files.
///
/// # Errors
/// Problems of a file, or a sentence for a procedure or option that it does not have.
pub fn expected(machine: &str, closing: Made<'_>, opening: Made<'_>) -> Result<Expected, Vec<Problem>> {
    let (closed, closing_lowered) = work(closing, "closing")?;
    let (opened, opening_lowered) = work(opening, "opening")?;
    let model = model(opening.file)?;
    let variant = variant(model, opening.installed)?;
    let mut expected = Expected {
        machine: machine.to_owned(),
        closing: closed,
        opening: opened,
        parts: Vec::new(),
        circuits: Vec::new(),
        vessels: vessels(machine, opening.file, model, &variant),
    };
    let var = |lowered: &Lowered, key: Key| lowered.keys.iter().position(|other| *other == key);
    for (id, part) in model.parts.iter().enumerate() {
        if part.named.only_with.is_some_and(|option| !variant.options.contains(&option)) {
            continue;
        }
        for side in sides(model, part.named.per_side) {
            let key = Key::Part(id, side);
            expected.parts.push(Part {
                part: part_ref(model, id, side),
                label: with_side(model, &part.named.name, &part.named.label, side),
                closing: var(&closing_lowered, key),
                opening: var(&opening_lowered, key),
                lubricated: matches!(part.lubricant, Some(Lubricant::Kind(_))),
                lasts_days: part.lasts.map(|time| time.in_unit(TimeUnit::Day)),
            });
        }
    }
    for key in &opening_lowered.keys {
        let Key::Inside(subject, side) = *key else { continue };
        let named = match subject {
            Subject::Vessel(vessel) => &model.vessels[vessel].named,
            Subject::Line(line) => &model.lines[line].named,
            Subject::Switch(_) | Subject::Valve(_) | Subject::Part(_) | Subject::Fact(_) => continue,
        };
        expected.circuits.push(Circuit {
            label: with_side(model, &named.name, &named.label, side),
            closing: var(&closing_lowered, *key),
            opening: var(&opening_lowered, *key),
        });
    }
    Ok(expected)
}

fn model(file: &File) -> Result<&Machine, Vec<Problem>> {
    file.machine.as_ref().ok_or_else(|| vec![Problem::error("F0071", 0..0, "this file holds no machine")])
}

fn variant(model: &Machine, installed: Option<&Installed>) -> Result<Variant, Vec<Problem>> {
    let Some(installed) = installed else { return Ok(Variant::default()) };
    let mut variant = Variant { due: installed.due, ..Variant::default() };
    for name in &installed.fitted {
        let option = model.options.iter().position(|option| option.name == *name).ok_or_else(|| {
            let wrong = format!("the run has the option `{name}`, which the machine file does not have");
            vec![Problem::error("F0071", 0..0, wrong)]
        })?;
        variant.options.insert(option);
    }
    Ok(variant)
}

fn work(made: Made<'_>, procedure: &str) -> Result<(Work, Lowered), Vec<Problem>> {
    let model = model(made.file)?;
    let variant = variant(model, made.installed)?;
    let index = made.file.procedures.iter().position(|of| of.named.name == procedure).ok_or_else(|| {
        vec![Problem::error("F0071", 0..0, format!("the machine file has no procedure `{procedure}`"))]
    })?;
    let loads = made.installed.map(|installed| installed.loads.as_slice()).unwrap_or_default();
    let mut lowered = if loads.is_empty() {
        ft_compile::compile(made.file, index, &variant, PEOPLE)?
    } else {
        let groups: Vec<Group> = loads.iter().map(|load| group(model, load)).collect();
        ft_compile::compile_freely(made.file, index, &variant, PEOPLE, &groups)?
    };
    // The plan counts loads in sinks that machines share; the form of one machine must not.
    let keys = &lowered.keys;
    for event in &mut lowered.form.events {
        event.guard.retain(|part| !matches!(keys.get(part.var), Some(Key::Sink(_))));
    }
    let steps = &made.file.procedures[index].steps;
    let work = Work {
        file_sha256: made.sha256.to_owned(),
        form: lowered.form.clone(),
        skills: lowered
            .tasks
            .iter()
            .filter_map(|task| Some((task, task.skill.clone()?)))
            .flat_map(|(task, skill)| task.events.iter().map(move |event| (*event, skill.clone())))
            .collect(),
        contacts: contacts(model, &lowered, steps),
        measures: measures(model, &lowered, steps),
    };
    Ok((work, lowered))
}

fn group(model: &Machine, load: &[PartRef]) -> Group {
    let part = |of: &PartRef| model.parts.iter().position(|part| part.named.name == of.part);
    let side = |of: &PartRef| {
        of.side.as_ref().and_then(|side| model.sides.iter().position(|known| known.name == *side))
    };
    load.iter().filter_map(|of| Some((part(of)?, side(of)))).collect()
}

/// The part as the record names it.
pub fn part_ref(model: &Machine, part: PartId, side: Option<SideId>) -> PartRef {
    PartRef {
        part: model.parts[part].named.name.clone(),
        side: side.map(|side| model.sides[side].name.clone()),
        number: None,
    }
}

fn sides(model: &Machine, per_side: bool) -> Vec<Option<SideId>> {
    if per_side { (0..model.sides.len()).map(Some).collect() } else { vec![None] }
}

/// A label in each language of the machine, with its side.
fn with_side(model: &Machine, name: &str, label: &Words, side: Option<SideId>) -> Words {
    let of = |language: &String| {
        let label = label.get(language).map_or(name, String::as_str);
        let text = match side.map(|side| &model.sides[side]) {
            None => label.to_owned(),
            Some(side) => {
                format!("{label} ({})", side.label.get(language).map_or(side.name.as_str(), String::as_str))
            }
        };
        (language.clone(), text)
    };
    model.languages.iter().map(of).collect()
}

fn contacts(model: &Machine, lowered: &Lowered, steps: &[Step]) -> Vec<Contact> {
    let sanitiser = model.journey.sanitiser.map(|id| &model.solutions[id]);
    let mut contacts = Vec::new();
    for task in &lowered.tasks {
        match task.from {
            TaskFrom::Load(_, Stage::Sanitise) => {
                let (Some(solution), [from, .., until]) = (sanitiser, task.events.as_slice()) else {
                    continue;
                };
                let Some(least) = solution.contact else { continue };
                contacts.push(Contact {
                    from: *from,
                    until: *until,
                    least_s: least.in_unit(TimeUnit::Second),
                    says: format!("the machine file, solution `{}`", solution.named.name),
                });
            }
            TaskFrom::Step(step) => {
                let Some(step) = steps.get(step) else { continue };
                for (pause, least_s, says) in stands(model, step) {
                    let from = task.pauses.iter().rposition(|before| *before <= pause);
                    let until = task.pauses.iter().position(|before| pause < *before);
                    if let (Some(from), Some(until)) = (from, until) {
                        contacts.push(Contact {
                            from: task.events[from],
                            until: task.events[until],
                            least_s,
                            says,
                        });
                    }
                }
            }
            TaskFrom::Load(..) | TaskFrom::SignOff => {}
        }
    }
    contacts
}

/// Which of a step's pauses are contact times of a sanitiser, how long, and who says so.
fn stands(model: &Machine, step: &Step) -> Vec<(usize, f64, String)> {
    let mut filled: Vec<(Target, Liquid)> = Vec::new();
    let mut pause = 0;
    let mut stands = Vec::new();
    for statement in &step.statements {
        match statement {
            Statement::Fill(target, liquid, _) | Statement::Flush(target, liquid) => {
                filled.push((*target, *liquid));
            }
            Statement::Wait(_) => pause += 1,
            Statement::Stand(target, wait) => {
                let holds = filled.iter().rev().find(|(other, _)| other == target).map(|(_, liquid)| *liquid);
                if let Some(Liquid::Solution(id)) = holds
                    && model.solutions[id].kind == SolutionKind::Sanitiser
                {
                    let solution = &model.solutions[id];
                    let least = solution.contact.unwrap_or(wait.time).in_unit(TimeUnit::Second);
                    stands.push((
                        pause,
                        least,
                        format!("the machine file, solution `{}`", solution.named.name),
                    ));
                }
                pause += 1;
            }
            _ => {}
        }
    }
    stands
}

fn measures(model: &Machine, lowered: &Lowered, steps: &[Step]) -> Vec<Measure> {
    let mut measures = Vec::new();
    for task in &lowered.tasks {
        let TaskFrom::Step(step) = task.from else { continue };
        let (Some(step), Some(by)) = (steps.get(step), task.events.last()) else { continue };
        for statement in &step.statements {
            let Statement::Measure { what, within, .. } = statement else { continue };
            let mut names = Vec::new();
            if let Some(side) = task.side.map(|side| &model.sides[side]) {
                for (language, text) in what {
                    let side = side.label.get(language).unwrap_or(&side.name);
                    names.push(format!("{text} ({side})"));
                }
                names.extend(what.values().map(|text| format!("{text} ({})", side.name)));
            }
            // A reading that names no side stands for each of them.
            names.extend(what.values().cloned());
            names.dedup();
            measures.push(Measure { names, within: within.clone(), by: *by });
        }
    }
    measures
}

/// Vessels that the opening fills with product; where it fills none, those that hold product before the closing.
fn vessels(machine: &str, file: &File, model: &Machine, variant: &Variant) -> Vec<Vessel> {
    let opening = file.procedures.iter().find(|of| of.named.name == "opening");
    let filled: Vec<_> = opening
        .iter()
        .flat_map(|procedure| &procedure.steps)
        .flat_map(|step| &step.statements)
        .filter_map(|statement| match statement {
            Statement::Fill(Target { subject: Subject::Vessel(vessel), .. }, Liquid::Product(product), _) => {
                Some((*vessel, *product))
            }
            _ => None,
        })
        .collect();
    let mut vessels = Vec::new();
    for (id, vessel) in model.vessels.iter().enumerate() {
        let missing = vessel.named.only_with.is_some_and(|option| !variant.options.contains(&option));
        let product = match vessel.holds {
            _ if vessel.kit || missing => None,
            _ if filled.iter().any(|(other, _)| *other == id) => {
                filled.iter().find(|(other, _)| *other == id).map(|(_, product)| *product)
            }
            Some((Liquid::Product(product), _)) if filled.is_empty() => Some(product),
            _ => None,
        };
        let Some(product) = product else { continue };
        let warmest =
            model.products[product].keep_below.map(|warmest| (warmest, "the machine file".to_owned()));
        for side in sides(model, vessel.named.per_side) {
            let side = side.map(|side| model.sides[side].name.as_str());
            vessels.push(Vessel {
                place: ft_lots::vessel(machine, &vessel.named.name, side),
                warmest: warmest.clone(),
            });
        }
    }
    vessels
}

/// What is practised.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// What its file calls the machine; of a core form its own name.
    pub machine: String,
    /// The procedure's name.
    pub procedure: String,
    /// Its form with the proved loosest order as what each event waits for.
    pub form: ft_form::Form,
    /// The same without it: what hands and the machine itself allow.
    pub free: ft_form::Form,
}

/// The forms on which a procedure is practised, with the card's loads.
///
/// # Errors
/// [`Trouble`]: problems of the text, or a card that is not safe.
pub fn practice_form(source: &Source, procedure: Option<&str>, fitted: &[String]) -> Result<Course, Trouble> {
    let choice = Choice {
        procedure: procedure.map(str::to_owned),
        fitted: Some(fitted.to_vec()),
        due: Some(false),
        people: PRACTISED_BY,
    };
    let forms = crate::prepare(source, &choice)?;
    let wrong = || Trouble::Choice("there is nothing to practise".into(), "name a procedure".into());
    let prepared = forms.prepared.first().ok_or_else(wrong)?;
    let Some(file) = &forms.file else {
        let name = prepared.form.name.clone();
        return ordered(name.clone(), name, prepared.form.clone());
    };
    let index = match procedure {
        Some(asked) => file.procedures.iter().position(|of| of.named.name == asked).ok_or_else(wrong)?,
        None => 0,
    };
    course(file, index, &prepared.variant)
}

/// As [`practice_form`], of a procedure of a file that was read. The card's own order is not what hands are bound to:
/// without it the trainee can do what is wrong.
///
/// # Errors
/// [`Trouble`]: problems of the file, or a card that is not safe.
///
/// # Panics
/// If `index` is not one of the file's procedures.
pub fn course(file: &File, index: usize, variant: &Variant) -> Result<Course, Trouble> {
    let carded = ft_compile::compile(file, index, variant, PRACTISED_BY).map_err(Trouble::Problems)?;
    let groups: Vec<Group> = carded.loads.iter().map(|load| load.parts.clone()).collect();
    let freely = ft_compile::compile_freely(file, index, variant, PRACTISED_BY, &groups);
    let machine = file.machine.as_ref().map(|machine| machine.named.name.clone()).unwrap_or_default();
    ordered(machine, file.procedures[index].named.name.clone(), freely.map_err(Trouble::Problems)?.form)
}

fn ordered(machine: String, procedure: String, free: ft_form::Form) -> Result<Course, Trouble> {
    let order = ft_prove::order(&free, &ft_prove::Limits::default()).map_err(|none| match none {
        ft_prove::NoOrder::Unsafe { missing } => Trouble::Form(missing),
        ft_prove::NoOrder::TooLarge => Trouble::Form(vec!["it could not be proved within the limits".into()]),
    })?;
    Ok(Course { machine, procedure, form: ft_prove::with_order(&free, &order), free })
}
