//! A machine file to its model and its core form, naming every problem on the way.
//!
//! [`read`] takes text to a [`File`]; [`compile`] takes one of its procedures to the core form. Neither ever
//! fails halfway: what is wrong is a list of problems, each with its place, and a file with errors has no form.

pub mod codes;
pub mod lower;
pub mod resolve;
pub mod words;

use ft_diag::{Problem, Severity};
use ft_form::walk::State;
use ft_machine::Procedure;

pub use lower::{Lowered, Purpose, Variant};
pub use resolve::File;

/// Reads a file: its tree, its names, its amounts.
pub fn read(text: &str) -> (File, Vec<Problem>) {
    let parsed = ft_syntax::parse(text);
    let (file, mut problems) = resolve::resolve(&parsed.document);
    problems.extend(parsed.problems);
    ft_diag::sort(&mut problems);
    (file, problems)
}

/// Whether any problem keeps a file from having a meaning.
pub fn has_errors(problems: &[Problem]) -> bool {
    problems.iter().any(|problem| problem.severity == Severity::Error)
}

/// What a procedure is for, by its name and what it mirrors.
pub fn purpose(procedure: &Procedure) -> Purpose {
    if procedure.from.is_some() || procedure.named.name == "opening" {
        Purpose::Opening
    } else if procedure.named.name == "closing" {
        Purpose::Closing
    } else {
        Purpose::Other
    }
}

/// Compiles a procedure of a file for a number of people.
///
/// A procedure that mirrors another one begins where that one ends, with the same options.
///
/// # Errors
/// Problems that keep it from having a meaning.
///
/// # Panics
/// If `procedure` is not an index into the file's procedures.
pub fn compile(
    file: &File,
    procedure: usize,
    variant: &Variant,
    people: u32,
) -> Result<Lowered, Vec<Problem>> {
    let machine = file.machine.as_ref().expect("a file with procedures has a machine");
    let chosen = &file.procedures[procedure];
    let start = start(file, procedure, variant, people)?;
    lower::lower(machine, chosen, purpose(chosen), variant, people, start.as_ref())
}

/// Compiles a procedure with wash loads of somebody's choice and no order but what its author asked for: the form on
/// which a plan is played through.
///
/// # Errors
/// As [`compile`].
///
/// # Panics
/// If `procedure` is not an index into the file's procedures.
pub fn compile_freely(
    file: &File,
    procedure: usize,
    variant: &Variant,
    people: u32,
    groups: &[lower::Group],
) -> Result<Lowered, Vec<Problem>> {
    let machine = file.machine.as_ref().expect("a file with procedures has a machine");
    let chosen = Procedure { order: ft_machine::CardOrder::Free, ..file.procedures[procedure].clone() };
    let start = start(file, procedure, variant, people)?;
    let loads = groups.iter().filter_map(|group| lower::load(machine, group)).collect();
    lower::lower_with(machine, &chosen, purpose(&chosen), variant, people, start.as_ref(), loads)
}

/// Where a procedure begins that mirrors another one: where that one ends.
fn start(
    file: &File,
    procedure: usize,
    variant: &Variant,
    people: u32,
) -> Result<Option<lower::Snapshot>, Vec<Problem>> {
    let from = file.procedures[procedure].from.as_ref();
    let before = from.and_then(|from| file.procedures.iter().position(|other| other.named.name == *from));
    match before {
        Some(before) if before < procedure => Ok(Some(snapshot(&compile(file, before, variant, people)?))),
        _ => Ok(None),
    }
}

/// The values after the card was carried out from top to bottom, each answer of a look being its first.
fn snapshot(lowered: &Lowered) -> lower::Snapshot {
    let form = &lowered.form;
    let mut state = State::start(form);
    while let Some(event) = state.open(form).first().copied() {
        state = state.after(form, event);
    }
    lowered.keys.iter().enumerate().map(|(var, key)| (*key, form.value_name(var, state.vals[var]))).collect()
}

/// Every combination of options, and of what is due by calendar, in which a procedure differs.
pub fn variants(file: &File, procedure: usize) -> Vec<Variant> {
    let options = file.machine.as_ref().map_or(0, |machine| machine.options.len());
    let calendar = file.procedures[procedure].steps.iter().any(|step| step.every.is_some());
    let mut variants = Vec::new();
    for chosen in 0u32..1 << options.min(6) {
        for due in if calendar { vec![false, true] } else { vec![false] } {
            let options = (0..options).filter(|option| chosen >> option & 1 == 1).collect();
            variants.push(Variant { options, due });
        }
    }
    variants
}
