//! Plays a plan through on the core forms of its machines: the last judge, who knows nothing of lags and searches.
//!
//! The planner works with tasks and the orders that were proved; it groups parts into loads of its own. Here each
//! machine is lowered anew with those loads and without any order but its author's, and its events happen when the plan
//! says. Every event must be possible then, and nothing dangerous may show.

use ft_compile::lower::{self, Group, Stage, TaskFrom};
use ft_compile::{Lowered, Variant};
use ft_form::walk::State;
use ft_form::{EventId, Form};
use ft_night::{Plan, Problem};

use crate::night::{MachineNight, Origins};

/// Whether an event ends a task, is within one, or begins one: at the same second in this order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    Ends,
    Within,
    Begins,
}

/// When something happens: second, rank at that second, event.
type Moment = (u32, Rank, EventId);

/// Plays one machine's share of a plan through, once for each answer that a look may have.
///
/// `machine` is the machine's number in `origins`. Empty where everything is possible and safe; otherwise a sentence
/// for each play that failed.
pub fn faults(
    index: usize,
    machine: &MachineNight<'_>,
    (variant, people): (&Variant, u32),
    (problem, origins): (&Problem, &Origins),
    plan: &Plan,
) -> Vec<String> {
    let groups = groups(index, origins, plan);
    let parts: Vec<Group> = groups.iter().map(|(_, parts)| parts.clone()).collect();
    let mut lowered =
        match ft_compile::compile_freely(machine.file, machine.procedure, variant, people, &parts) {
            Ok(lowered) => lowered,
            Err(problems) => return problems.iter().map(|problem| problem.message.clone()).collect(),
        };
    share_sinks(&mut lowered);
    let mut moments = moments(index, &lowered, (problem, origins), plan, &groups);
    moments.sort_unstable();
    let answers = most_answers(&lowered.form);
    (0..answers).filter_map(|answer| play(&lowered, &moments, answer).err()).collect()
}

/// The form gives a whole sink to one load. A plan lets loads of one kind share it up to its litres, and between
/// machines, which the referee has counted; so sinks hold nobody up here.
pub fn share_sinks(lowered: &mut Lowered) {
    let is_sink = |var: usize| matches!(lowered.keys.get(var), Some(lower::Key::Sink(_)));
    for event in &mut lowered.form.events {
        event.guard.retain(|part| !is_sink(part.var));
    }
}

/// The machine's loads: the position of each in the plan, and its parts.
pub fn groups(index: usize, origins: &Origins, plan: &Plan) -> Vec<(usize, Group)> {
    let of = |load: &Vec<usize>| -> Group {
        let items = load.iter().map(|item| origins.items[*item]);
        items.filter(|(machine, ..)| *machine == index).map(|(_, part, side)| (part, side)).collect()
    };
    plan.loads.0.iter().map(of).enumerate().filter(|(_, parts)| !parts.is_empty()).collect()
}

fn moments(
    index: usize,
    lowered: &Lowered,
    (problem, origins): (&Problem, &Origins),
    plan: &Plan,
    groups: &[(usize, Group)],
) -> Vec<Moment> {
    let mut own = (0..origins.tasks.len()).filter(|task| origins.tasks[*task].0 == index);
    let mut moments = Vec::new();
    for task in &lowered.tasks {
        let spans = match task.from {
            TaskFrom::Load(load, stage) => {
                stage_spans(problem.tasks.len() + groups[load].0, stage, problem, plan, groups[load].0)
            }
            TaskFrom::Step(_) | TaskFrom::SignOff => {
                own.next().map(|own| step_spans(own, task, plan)).unwrap_or_default()
            }
        };
        place(task, &spans, &mut moments);
    }
    moments
}

/// A task's begin, the end of each of its pauses, and its end.
#[derive(Default)]
struct Spans {
    begin: u32,
    pauses: Vec<u32>,
    end: u32,
}

fn step_spans(own: usize, task: &lower::Task, plan: &Plan) -> Spans {
    let ends: Vec<u32> = plan.assignments.iter().filter(|one| one.task == own).map(|one| one.end_s).collect();
    let begin = plan.find(own, 0).map_or(0, |one| one.start_s);
    let mut spans = Spans { begin, pauses: Vec::new(), end: ends.iter().copied().max().unwrap_or(begin) };
    let mut planned = 0;
    for phase in &task.phases {
        match phase {
            // The plan has no phase in which nothing is done.
            lower::Phase::Hands(0.0) => continue,
            lower::Phase::Hands(_) => {}
            lower::Phase::Watch(_) | lower::Phase::Alone(_) => {
                // A pause may last longer than it must: it ends when somebody is back at what comes next.
                let back = plan.find(own, planned + 1).map(|one| one.start_s);
                let over = plan.find(own, planned).map(|one| one.end_s);
                spans.pauses.push(back.or(over).unwrap_or(spans.end));
            }
        }
        planned += 1;
    }
    spans
}

/// The stage of a load: its phases of the plan's one task for the whole journey, counted from the last.
fn stage_spans(task: usize, stage: Stage, problem: &Problem, plan: &Plan, load: usize) -> Spans {
    let (first, last) = stage_phases(stage, problem, plan, load);
    let end = plan.find(task, last).map_or(0, |one| one.end_s);
    Spans { begin: plan.find(task, first).map_or(0, |one| one.start_s), pauses: Vec::new(), end }
}

/// The first and the last phase of a stage among the phases of its load's task.
pub fn stage_phases(stage: Stage, problem: &Problem, plan: &Plan, load: usize) -> (usize, usize) {
    let journey = plan.loads.0[load].first().map(|item| problem.wash.items[*item].journey);
    let stages = journey.map_or(0, |journey| problem.wash.journeys[journey].stages.len());
    // Wash, rinse, dip, contact, lay out; a soak comes before them.
    match stage {
        Stage::Wash => (0, stages.saturating_sub(5)),
        Stage::Rinse => (stages.saturating_sub(4), stages.saturating_sub(4)),
        Stage::Sanitise => (stages.saturating_sub(3), stages.saturating_sub(2)),
        Stage::LayOut => (stages.saturating_sub(1), stages.saturating_sub(1)),
    }
}

/// The first event at the begin, the last at the end, what is between at the end of the pause before it.
fn place(task: &lower::Task, spans: &Spans, moments: &mut Vec<Moment>) {
    let last = task.events.len() - 1;
    for (number, &event) in task.events.iter().enumerate() {
        moments.push(match number {
            // What is in its slot is in it when the laying out has ended.
            0 if last == 0 && matches!(task.from, TaskFrom::Load(_, Stage::LayOut)) => {
                (spans.end, Rank::Ends, event)
            }
            0 => (spans.begin, Rank::Begins, event),
            _ if number == last => (spans.end, Rank::Ends, event),
            _ => match task.pauses[number].checked_sub(1).and_then(|pause| spans.pauses.get(pause)) {
                Some(&at) => (at, Rank::Within, event),
                None => (spans.begin, Rank::Within, event),
            },
        });
    }
}

/// The most answers that any look of the form has; 1 where there is none.
fn most_answers(form: &Form) -> usize {
    let count = |pre: &[EventId]| form.events.iter().filter(|event| event.nature && event.pre == pre).count();
    form.events.iter().filter(|event| event.nature).map(|event| count(&event.pre)).max().unwrap_or(1)
}

/// Carries the moments out. At one second whatever is possible and safe goes first; `answer` is which of the answers
/// each look has, counted round.
fn play(lowered: &Lowered, moments: &[Moment], answer: usize) -> Result<(), String> {
    let form = &lowered.form;
    let mut state = State::start(form);
    for same in moments.chunk_by(|a, b| a.0 == b.0) {
        let mut open: Vec<EventId> = same.iter().map(|(_, _, event)| *event).collect();
        while !open.is_empty() {
            let next = (0..open.len()).find_map(|at| Some((at, step(form, &state, open[at], answer).ok()?)));
            match next {
                Some((at, after)) => {
                    open.remove(at);
                    state = after;
                }
                None => return Err(told(form, &state, same[0].0, open[0], answer)),
            }
        }
    }
    match state.done.iter().position(|done| !done) {
        None if state.holds(form, &form.goal) => Ok(()),
        None => Err(format!("{}: the end is not what it should be", form.name)),
        Some(event) => Err(format!("{}: `{}` never happens", form.name, form.events[event].name)),
    }
}

/// The state after an event and the world's answers to it.
fn step(form: &Form, state: &State, event: EventId, answer: usize) -> Result<State, String> {
    let mut after = one(form, state, event)?;
    let mut answers: Vec<EventId> = (0..form.events.len())
        .filter(|&other| form.events[other].nature && form.events[other].pre.contains(&event))
        .collect();
    let count = answers.len().max(1);
    answers.rotate_left(answer % count);
    for given in answers {
        after = one(form, &after, given)?;
    }
    Ok(after)
}

/// The state after one event, if it is possible and nothing dangerous shows.
fn one(form: &Form, state: &State, event: EventId) -> Result<State, String> {
    state.may(form, event).map_err(|why| why_not(form, &why))?;
    let on = form.hazards.iter().find(|hazard| hazard.on == Some(event) && state.holds(form, &hazard.when));
    let after = state.after(form, event);
    let shows = on.or_else(|| {
        form.hazards.iter().find(|hazard| hazard.on.is_none() && after.holds(form, &hazard.when))
    });
    match shows {
        Some(hazard) => Err(format!("it would show the hazard `{}`", hazard.id)),
        None => Ok(after),
    }
}

fn told(form: &Form, state: &State, second: u32, event: EventId, answer: usize) -> String {
    let why = step(form, state, event, answer).err().unwrap_or_default();
    format!("{}: `{}` cannot happen {second} s into the plan: {why}", form.name, form.events[event].name)
}

fn why_not(form: &Form, why: &ft_form::walk::NotYet) -> String {
    use ft_form::walk::NotYet;
    match why {
        NotYet::Done => "it has happened".to_owned(),
        NotYet::Waits(events) => {
            let names: Vec<String> =
                events.iter().map(|event| format!("`{}`", form.events[*event].name)).collect();
            format!("it waits for {}", names.join(", "))
        }
        NotYet::Blocked(parts) => {
            let names: Vec<String> =
                parts.iter().map(|part| format!("`{}`", form.vars[part.var].name)).collect();
            format!("its guard on {} does not hold", names.join(", "))
        }
    }
}
