//! From the text of a machine file or a core form file to forms that can be worked on.

use std::collections::BTreeSet;

use ft_compile::{File, Lowered, Variant};
use ft_diag::{Lines, Problem};
use ft_form::Form;
use ft_machine::{Machine, Named, OptionId};

/// A text with the name that its file was given by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// The file's name, for messages.
    pub name: String,
    /// What it says.
    pub text: String,
}

impl Source {
    /// A source from the bytes of a file; a byte-order mark at its beginning is left out.
    ///
    /// # Errors
    /// The part that can be shown, and the problem: the bytes are no UTF-8.
    pub fn from_bytes(name: &str, bytes: &[u8]) -> Result<Self, (Self, Trouble)> {
        let named = |text: &str| Self { name: name.to_owned(), text: text.to_owned() };
        match ft_syntax::decode(bytes) {
            Ok(text) => Ok(named(text.trim_start_matches('\u{feff}'))),
            Err(unreadable) => {
                let trouble = Trouble::Problems(vec![unreadable.problem.clone()]);
                Err((named(&unreadable.shown), trouble))
            }
        }
    }
}

/// What of a machine file is meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// The procedure's name; the first procedure if none is given.
    pub procedure: Option<String>,
    /// Options that are fitted, by name; `None`: every combination.
    pub fitted: Option<Vec<String>>,
    /// Whether what is due by calendar is due; `None`: both.
    pub due: Option<bool>,
    /// How many people.
    pub people: u32,
}

impl Default for Choice {
    fn default() -> Self {
        Self { procedure: None, fitted: None, due: None, people: 2 }
    }
}

/// Why a text has no form.
#[derive(Debug, Clone, PartialEq)]
pub enum Trouble {
    /// Problems with places in the text.
    Problems(Vec<Problem>),
    /// Sentences without a place: a core form that does not make sense.
    Form(Vec<String>),
    /// A choice that the file does not have, with what it has.
    Choice(String, String),
}

/// One form that was asked for.
#[derive(Debug, Clone)]
pub struct Prepared {
    /// Which procedure and variant it is, in words; empty for a core form file.
    pub title: String,
    /// The form.
    pub form: Form,
    /// What the planner needs besides; none for a core form file.
    pub lowered: Option<Lowered>,
    /// The options and calendar that it was made with.
    pub variant: Variant,
}

/// A text's forms, with warnings that do not keep it from having a meaning.
#[derive(Debug, Clone)]
pub struct Forms {
    /// The file, of a machine file.
    pub file: Option<File>,
    /// One for each variant that was asked for.
    pub prepared: Vec<Prepared>,
    /// Warnings.
    pub warnings: Vec<Problem>,
}

/// Whether a text is a core form rather than a machine file.
pub fn is_core_form(text: &str) -> bool {
    text.trim_start_matches(['\u{feff}', ' ', '\t', '\r', '\n']).starts_with('{')
}

/// Makes the forms of a text.
///
/// # Errors
/// [`Trouble`], with everything that is wrong.
pub fn prepare(source: &Source, choice: &Choice) -> Result<Forms, Trouble> {
    if is_core_form(&source.text) {
        let form = ft_form::json::parse(&source.text).map_err(Trouble::Form)?;
        let prepared = Prepared { title: String::new(), form, lowered: None, variant: Variant::default() };
        return Ok(Forms { file: None, prepared: vec![prepared], warnings: Vec::new() });
    }
    let (file, problems) = ft_compile::read(&source.text);
    if ft_compile::has_errors(&problems) {
        return Err(Trouble::Problems(problems));
    }
    let procedure = procedure(&file, choice.procedure.as_deref())?;
    let mut warnings = problems;
    let mut prepared = Vec::new();
    let lines = Lines::new(&source.text);
    let variants = variants(&file, procedure, choice)?;
    // Variants do not depend on each other.
    let compiled: Vec<_> = std::thread::scope(|scope| {
        let file = &file;
        let threads: Vec<_> = variants
            .iter()
            .map(|variant| scope.spawn(move || ft_compile::compile(file, procedure, variant, choice.people)))
            .collect();
        threads.into_iter().map(|thread| thread.join().expect("compiling does not panic")).collect()
    });
    for (variant, lowered) in variants.into_iter().zip(compiled) {
        let mut lowered = lowered.map_err(Trouble::Problems)?;
        warnings.append(&mut lowered.warnings);
        place(&mut lowered, &file, procedure, source, &lines);
        let title = title(&file, procedure, &variant);
        prepared.push(Prepared { title, form: lowered.form.clone(), lowered: Some(lowered), variant });
    }
    ft_diag::sort(&mut warnings);
    Ok(Forms { file: Some(file), prepared, warnings })
}

/// Finds the procedure that was asked for.
fn procedure(file: &File, name: Option<&str>) -> Result<usize, Trouble> {
    if file.kitchen.is_some() {
        return Err(Trouble::Choice(
            "this is a kitchen file, and a kitchen has no procedures of its own".into(),
            "name the file of one of its machines; `fulltray plan` takes a kitchen file".into(),
        ));
    }
    if file.procedures.is_empty() {
        return Err(Trouble::Choice(
            "there is no procedure in this file".into(),
            "write `procedure \"closing\" { … }` after the machine".into(),
        ));
    }
    let Some(name) = name else { return Ok(0) };
    file.procedures.iter().position(|procedure| procedure.named.name == name).ok_or_else(|| {
        let known: Vec<String> =
            file.procedures.iter().map(|procedure| format!("`{}`", procedure.named.name)).collect();
        Trouble::Choice(
            format!("there is no procedure `{name}` in this file"),
            format!("there are: {}", known.join(", ")),
        )
    })
}

/// The machine of a machine file, the options with these names, and warnings.
///
/// # Errors
/// [`Trouble`]: problems of the file, no machine in it, an option that the machine does not have.
pub fn machine(
    source: &Source,
    fitted: &[String],
) -> Result<(Machine, BTreeSet<OptionId>, Vec<Problem>), Trouble> {
    let (file, problems) = ft_compile::read(&source.text);
    if ft_compile::has_errors(&problems) {
        return Err(Trouble::Problems(problems));
    }
    let Some(machine) = file.machine else {
        return Err(Trouble::Choice(
            "there is no machine in this file".into(),
            "name a machine file; a kitchen file names those of its machines".into(),
        ));
    };
    let options = options(&machine.options, fitted)?;
    Ok((machine, options, problems))
}

fn options(options: &[Named], names: &[String]) -> Result<BTreeSet<OptionId>, Trouble> {
    let mut fitted = BTreeSet::new();
    for name in names {
        let found = options.iter().position(|option| option.name == *name).ok_or_else(|| {
            let known: Vec<String> = options.iter().map(|option| format!("`{}`", option.name)).collect();
            let known = if known.is_empty() {
                "it has no options".into()
            } else {
                format!("it has: {}", known.join(", "))
            };
            Trouble::Choice(format!("the machine has no option `{name}`"), known)
        })?;
        fitted.insert(found);
    }
    Ok(fitted)
}

fn variants(file: &File, procedure: usize, choice: &Choice) -> Result<Vec<Variant>, Trouble> {
    let known = file.machine.as_ref().map_or(&[][..], |machine| machine.options.as_slice());
    let fitted = choice.fitted.as_ref().map(|names| options(known, names)).transpose()?;
    Ok(ft_compile::variants(file, procedure)
        .into_iter()
        .filter(|variant| fitted.as_ref().is_none_or(|fitted| variant.options == *fitted))
        .filter(|variant| {
            choice.due.is_none_or(|due| variant.due == due) || file_has_no_calendar(file, procedure)
        })
        .collect())
}

fn file_has_no_calendar(file: &File, procedure: usize) -> bool {
    file.procedures[procedure].steps.iter().all(|step| step.every.is_none())
}

fn title(file: &File, procedure: usize, variant: &Variant) -> String {
    let mut title = file.procedures[procedure].named.name.clone();
    let options = file.machine.as_ref().map_or(&[][..], |machine| machine.options.as_slice());
    for option in &variant.options {
        title.push_str(", with ");
        title.push_str(&options[*option].name);
    }
    if variant.due {
        title.push_str(", with what is due this week");
    }
    title
}

/// Gives each event the place in the file that it comes from.
fn place(lowered: &mut Lowered, file: &File, procedure: usize, source: &Source, lines: &Lines<'_>) {
    let steps = &file.procedures[procedure].steps;
    for task in &lowered.tasks {
        let ft_compile::lower::TaskFrom::Step(step) = task.from else { continue };
        let line = lines.place(steps[step].named.span.start).line as u32;
        for &event in &task.events {
            lowered.form.events[event].origin = Some(ft_form::Origin { file: source.name.clone(), line });
        }
    }
}
