//! What one person does in one go: the events of a task between two waits in which nobody is bound, with the phases
//! of the plan that they belong to.

use ft_app::play;
use ft_compile::lower::{self, TaskFrom};
use ft_form::EventId;
use ft_machine::Statement;

use crate::machine::{Live, Run};

/// A stretch of a task.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// The machine, by its number in the run.
    pub machine: usize,
    /// The task among the machine's lowered ones.
    pub task: usize,
    /// The task of the plan; loads come after the steps.
    pub plan_task: usize,
    /// First and last phase of the plan's task that it covers.
    pub phases: (usize, usize),
    /// Its events in order; at least one.
    pub events: Vec<EventId>,
    /// What passes before some of its events.
    pub waits: Vec<Pause>,
}

/// What passes before an event, counted from the event before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pause {
    /// The event.
    pub event: EventId,
    /// How long it takes by the plan, seconds.
    pub seconds: u32,
    /// How long it has to be at least, seconds; no more than `seconds`. 0 where a person sees when it is over.
    pub least_s: u32,
}

/// Every piece of a run, in the order of the machines and their cards; none where there is no plan.
pub fn pieces(run: &Run) -> Vec<Piece> {
    let mut pieces = Vec::new();
    if !run.plan.is_plan() {
        return pieces;
    }
    for (machine, live) in run.machines.iter().enumerate() {
        let mut own = (0..run.origins.tasks.len()).filter(|task| run.origins.tasks[*task].0 == machine);
        for (task, lowered) in live.lowered.tasks.iter().enumerate() {
            let (plan_task, first) = match lowered.from {
                TaskFrom::Load(load, stage) => {
                    let position = live.loads[load].0;
                    let (first, _) = play::stage_phases(stage, &run.problem, &run.plan, position);
                    (run.problem.tasks.len() + position, first)
                }
                TaskFrom::Step(_) | TaskFrom::SignOff => match own.next() {
                    Some(own) => (own, 0),
                    None => continue,
                },
            };
            cut(live, (machine, task), (plan_task, first), lowered, &mut pieces);
        }
    }
    pieces
}

/// Cuts a task where nobody is bound.
fn cut(
    live: &Live,
    (machine, task): (usize, usize),
    (plan_task, first): (usize, usize),
    lowered: &lower::Task,
    pieces: &mut Vec<Piece>,
) {
    let stretches = stretches(lowered, first);
    let pauses: Vec<&lower::Phase> =
        lowered.phases.iter().filter(|phase| !matches!(phase, lower::Phase::Hands(_))).collect();
    let abouts = abouts(live, lowered);
    let new = pieces.len();
    for (number, &event) in lowered.events.iter().enumerate() {
        let before = lowered.pauses.get(number).copied().unwrap_or(0).min(pauses.len());
        let alone = |phase: &&&lower::Phase| matches!(phase, lower::Phase::Alone(_));
        // A wait at the very end leaves nothing to do but to say that it is over.
        let stretch = pauses[..before].iter().filter(alone).count().min(stretches.len() - 1);
        let phases = stretches[stretch];
        let since = number.checked_sub(1).and_then(|last| lowered.pauses.get(last)).copied().unwrap_or(0);
        let lengths = (since..before).map(|pause| (length(pauses[pause]), abouts.get(pause) == Some(&true)));
        let seconds: f64 = lengths.clone().map(|(seconds, _)| seconds).sum();
        let least: f64 = lengths.filter(|(_, is_about)| !is_about).map(|(seconds, _)| seconds).sum();
        if pieces.len() == new || pieces.last().is_none_or(|last| last.phases != phases) {
            let (events, waits) = (Vec::new(), Vec::new());
            pieces.push(Piece { machine, task, plan_task, phases, events, waits });
        }
        let piece = pieces.last_mut().expect("one was just pushed");
        piece.events.push(event);
        if seconds > 0.0 {
            let (seconds, least_s) = (seconds.ceil() as u32, least.ceil() as u32);
            piece.waits.push(Pause { event, seconds, least_s });
        }
    }
}

/// By pause of a step: whether its length is about what it takes. What a wash load waits for is a label's least.
fn abouts(live: &Live, lowered: &lower::Task) -> Vec<bool> {
    let TaskFrom::Step(step) = lowered.from else { return Vec::new() };
    let step = &live.ready.file.procedures[live.ready.procedure].steps[step];
    let of = |statement: &Statement| match statement {
        Statement::Wait(wait) | Statement::Stand(_, wait) => Some(wait.is_about),
        _ => None,
    };
    step.statements.iter().filter_map(of).collect()
}

/// First and last phase of the plan for each stretch with hands; at least one.
fn stretches(lowered: &lower::Task, first: usize) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    let (mut phase, mut fresh) = (first, true);
    for span in &lowered.phases {
        match span {
            // The plan has no phase in which nothing is done.
            lower::Phase::Hands(0.0) => continue,
            lower::Phase::Alone(_) => {
                match out.last_mut() {
                    Some(last) => last.1 = phase,
                    None => out.push((phase, phase)),
                }
                fresh = true;
            }
            lower::Phase::Hands(_) | lower::Phase::Watch(_) => {
                match out.last_mut().filter(|_| !fresh) {
                    Some(last) => last.1 = phase,
                    None => out.push((phase, phase)),
                }
                fresh = false;
            }
        }
        phase += 1;
    }
    if out.is_empty() {
        out.push((first, first));
    }
    out
}

fn length(phase: &lower::Phase) -> f64 {
    match phase {
        lower::Phase::Hands(seconds) | lower::Phase::Watch(seconds) | lower::Phase::Alone(seconds) => {
            *seconds
        }
    }
}

impl Piece {
    /// The task that it is a stretch of.
    pub fn lowered<'r>(&self, live: &'r Live) -> &'r lower::Task {
        &live.lowered.tasks[self.task]
    }
}
