//! A resolved machine and procedure to the core form.
//!
//! Order of work: `vars` makes the variables, `hazards` what must never hold, `acts` turns each statement
//! into a small change, `events` joins changes into as few events as is sound, `wash` writes the work at the
//! sink, and `goal` says how it must end. Built-in hazards are data in [`hazards::BUILT_IN`].

mod acts;
mod events;
mod gates;
mod goal;
pub mod hazards;
mod mirror;
mod speak;
mod values;
mod vars;
mod wash;

use std::collections::BTreeSet;

use ft_diag::Problem;
use ft_form::{EventId, Form};
use ft_machine::{Machine, OptionId, PartId, PlaceId, Procedure, SideId, SolutionId, StepId, VesselId};

pub use mirror::mirrored;
pub use speak::{join, text};
pub use vars::{Key, Vars, part};
pub use wash::{Class, Stage, load, sink_of};

/// What is chosen before a procedure is lowered.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Variant {
    /// Options that are fitted.
    pub options: BTreeSet<OptionId>,
    /// Whether what is due by calendar is due.
    pub due: bool,
}

/// What a procedure is for, as far as the tool itself asks for an end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// Everything apart, clean and laid out.
    Closing,
    /// Everything fitted and ready to serve.
    Opening,
    /// Anything else: kit back, nobody holding anything.
    Other,
}

/// A procedure in core form, with what the planner needs to know of each step.
#[derive(Debug, Clone, PartialEq)]
pub struct Lowered {
    /// The form.
    pub form: Form,
    /// One for each step of each side and for each stage of each wash load, in the card's order.
    pub tasks: Vec<Task>,
    /// The wash loads.
    pub loads: Vec<Load>,
    /// What each variable of the form is about.
    pub keys: Vec<Key>,
    /// What is worth a second look, though it does not keep the procedure from having a form.
    pub warnings: Vec<Problem>,
}

/// A step of one side, or a stage of a wash load, as work for somebody.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// Its events in order: the first begins it, the last ends it.
    pub events: Vec<EventId>,
    /// By event: how many of the pauses among `phases` lie before it.
    pub pauses: Vec<usize>,
    /// What it comes from.
    pub from: TaskFrom,
    /// The side that it is done for.
    pub side: Option<SideId>,
    /// Where.
    pub place: Option<PlaceId>,
    /// Spans of time from begin to end.
    pub phases: Vec<Phase>,
    /// How many people.
    pub people: u32,
    /// The skill that it needs.
    pub skill: Option<String>,
    /// Kit that it takes at its begin.
    pub takes: Vec<VesselId>,
    /// Kit that it gives back at its end.
    pub gives: Vec<VesselId>,
    /// The sink that it occupies, and how much of it is washed, in litres.
    pub sink: Option<(usize, f64)>,
    /// Solutions that it uses, with litres where they are poured.
    pub solutions: Vec<(SolutionId, Option<f64>)>,
}

/// What a task comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TaskFrom {
    /// A step of the card.
    Step(StepId),
    /// A stage of a wash load.
    Load(usize, Stage),
    /// The last look over the tray.
    SignOff,
}

/// A span of a task's time, in seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Phase {
    /// Hands are busy.
    Hands(f64),
    /// Hands are bound while something is waited for.
    Watch(f64),
    /// Nobody is bound.
    Alone(f64),
}

/// Parts, each with its side, that are washed together.
pub type Group = Vec<(PartId, Option<SideId>)>;

/// Parts that are washed together.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    /// Parts, each with its side.
    pub parts: Vec<(PartId, Option<SideId>)>,
    /// Which kind of parts.
    pub class: Class,
    /// The room that they take, in litres.
    pub litres: f64,
}

/// Lowers one variant of a procedure for a number of people, with the loads that the card would make.
///
/// # Errors
/// Problems that only show when statements become changes: a step that contradicts itself, a step that nothing
/// can ever allow, amounts too fine to count.
pub fn lower(
    machine: &Machine,
    procedure: &Procedure,
    purpose: Purpose,
    variant: &Variant,
    people: u32,
    start: Option<&vars::Snapshot>,
) -> Result<Lowered, Vec<Problem>> {
    let loads =
        if purpose == Purpose::Opening { Vec::new() } else { wash::loads(machine, procedure, variant) };
    lower_with(machine, procedure, purpose, variant, people, start, loads)
}

/// Lowers one variant of a procedure with loads of somebody's choice.
///
/// # Errors
/// As [`lower`].
pub fn lower_with(
    machine: &Machine,
    procedure: &Procedure,
    purpose: Purpose,
    variant: &Variant,
    people: u32,
    start: Option<&vars::Snapshot>,
    loads: Vec<Load>,
) -> Result<Lowered, Vec<Problem>> {
    let mut problems = Vec::new();
    let scope = vars::Scope { machine, procedure, purpose, variant, people };
    let vars = vars::Vars::new(&scope, start, &mut problems);
    let hazards = hazards::of_state(&scope, &vars);
    let mut builder = events::Builder::new(&scope, vars, hazards);
    for step in 0..procedure.steps.len() {
        builder.step(step, &mut problems);
    }
    for (index, load) in loads.iter().enumerate() {
        wash::write(&mut builder, index, load);
    }
    if purpose == Purpose::Closing {
        builder.sign_off(&loads);
    }
    let (mut form, tasks, keys) = builder.finish(&loads);
    goal::never_enabled(&form, procedure, &tasks, &mut problems);
    form.name = format!("{} / {}", machine.named.name, procedure.named.name);
    if problems.iter().any(|problem| problem.severity == ft_diag::Severity::Error) {
        return Err(problems);
    }
    Ok(Lowered { form, tasks, loads, keys, warnings: problems })
}

pub use vars::Snapshot;
