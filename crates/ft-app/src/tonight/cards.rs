//! The plan as cards: for each person what they do, with the words of the machine file.

use ft_compile::lower::TaskFrom;
use ft_machine::Step;
use serde::Serialize;

use super::{Ready, Tonight, view};

/// Something that a person does in one stretch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CardView {
    /// The person, by position in the crew.
    pub person: usize,
    /// The machine, as people call it.
    pub machine: String,
    /// Begin, seconds of the plan.
    pub start_s: u32,
    /// End, likewise.
    pub end_s: u32,
    /// What, without the machine's name.
    pub title: String,
    /// How: the words of the card, and the parts of a wash load. Only where the step begins.
    pub says: String,
    /// What to beware of before it.
    pub cautions: Vec<String>,
    /// Where.
    pub place: String,
    /// Who else does it, by position.
    pub with: Vec<usize>,
}

/// What the machine file says of a task of the plan.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
struct Said {
    machine: String,
    says: String,
    cautions: Vec<String>,
}

/// By task of the problem.
fn said(ready: &[Ready], tasks: &[(usize, usize)], language: &str) -> Vec<Said> {
    let of = |(machine, task): &(usize, usize)| {
        let ready = &ready[*machine];
        let steps = &ready.file.procedures[ready.procedure].steps;
        let step: Option<&Step> = match ready.lowered.tasks.get(*task).map(|task| task.from) {
            Some(TaskFrom::Step(step)) => steps.get(step),
            Some(TaskFrom::Load(..) | TaskFrom::SignOff) | None => None,
        };
        let words = |words: &ft_machine::Words| view::pick(words, language).unwrap_or_default().to_owned();
        Said {
            machine: machine_name(ready, language),
            says: step.map(|step| words(&step.say)).unwrap_or_default(),
            cautions: step
                .map(|step| step.cautions.iter().map(|caution| words(&caution.words)).collect())
                .unwrap_or_default(),
        }
    };
    tasks.iter().map(of).collect()
}

fn machine_name(ready: &Ready, language: &str) -> String {
    view::pick(&ready.label, language).unwrap_or(&ready.name).to_owned()
}

/// The cards of a night, by person and begin. What goes on by itself is on no card; what a person does of one step
/// without doing anything else between is one entry. Empty where there is no plan.
pub fn cards(night: &Tonight, language: &str) -> Vec<CardView> {
    if !night.plan.is_plan() {
        return Vec::new();
    }
    let said = said(&night.machines, &night.origins.tasks, language);
    let whole = night.problem.with_loads(&night.plan.loads);
    let mut stretches: Vec<Stretch> = Vec::new();
    for one in &night.plan.assignments {
        let attended =
            whole.tasks[one.task].phases[..=one.phase].iter().filter(|phase| 0 < phase.people).count();
        stretches.extend(one.people.iter().map(|&person| Stretch {
            person,
            task: one.task,
            phases: vec![attended],
            start_s: one.start_s,
            end_s: one.end_s,
            place: one.place,
            with: one.people.iter().copied().filter(|other| *other != person).collect(),
        }));
    }
    stretches.sort_by_key(|one| (one.person, one.start_s, one.end_s));
    let own = night.problem.tasks.len();
    joined(stretches)
        .into_iter()
        .map(|one| {
            let (machine, says, cautions) = match said.get(one.task) {
                Some(said) => (said.machine.clone(), said.says.clone(), said.cautions.clone()),
                None => load(night, one.task - own, language),
            };
            let task = &whole.tasks[one.task];
            let title = view::pick(&task.title, language).unwrap_or_default();
            let title = title
                .strip_prefix(machine.as_str())
                .and_then(|rest| rest.strip_prefix(": "))
                .unwrap_or(title);
            let phases = task.phases.iter().filter(|phase| 0 < phase.people).count();
            let is_first = one.phases.contains(&1);
            CardView {
                person: one.person,
                machine,
                start_s: one.start_s,
                end_s: one.end_s,
                title: match (own <= one.task, is_first) {
                    (true, _) => stages(title, &one.phases, phases, language),
                    (false, true) => title.to_owned(),
                    (false, false) => {
                        format!("{title} ({})", if language == "es" { "sigue" } else { "goes on" })
                    }
                },
                says: if is_first { says } else { String::new() },
                cautions,
                place: view::pick(&whole.places[one.place].title, language).unwrap_or_default().to_owned(),
                with: one.with,
            }
        })
        .collect()
}

/// A person at a task, in one go.
struct Stretch {
    person: usize,
    task: usize,
    /// Which of the task's attended phases, counted from 1.
    phases: Vec<usize>,
    start_s: u32,
    end_s: u32,
    place: usize,
    with: Vec<usize>,
}

/// Stretches of one person at one task and place that follow each other, taken together.
fn joined(stretches: Vec<Stretch>) -> Vec<Stretch> {
    let mut joined: Vec<Stretch> = Vec::new();
    for one in stretches {
        match joined.last_mut() {
            Some(last)
                if (last.person, last.task, last.place) == (one.person, one.task, one.place)
                    && last.with == one.with =>
            {
                last.end_s = last.end_s.max(one.end_s);
                last.phases.extend(one.phases);
            }
            _ => joined.push(one),
        }
    }
    joined
}

/// What is done of a wash load: its stages, before what is in it. The last four that somebody attends to are washing,
/// rinsing, sanitising and laying out; what comes before them is soaking.
fn stages(title: &str, phases: &[usize], count: usize, language: &str) -> String {
    let words = match language {
        "es" => ["dejar en remojo", "lavar", "enjuagar", "desinfectar", "colocar"],
        _ => ["soak", "wash", "rinse", "sanitise", "lay out"],
    };
    let named: Vec<&str> =
        phases.iter().map(|phase| words[(phase + 4).saturating_sub(count).min(words.len() - 1)]).collect();
    let what = title.strip_prefix("wash ").or_else(|| title.strip_prefix("lavar ")).unwrap_or(title);
    let mut told = format!("{} – {what}", named.join(", "));
    if let Some(first) = told.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    told
}

/// A wash load says which parts are in it.
fn load(night: &Tonight, load: usize, language: &str) -> (String, String, Vec<String>) {
    let items = &night.plan.loads.0[load];
    let machine = items
        .first()
        .and_then(|item| night.origins.items.get(*item))
        .and_then(|(machine, ..)| night.machines.get(*machine))
        .map(|machine| machine_name(machine, language))
        .unwrap_or_default();
    let named = |item: &usize| {
        let title = view::pick(&night.problem.wash.items[*item].title, language).unwrap_or_default();
        title
            .strip_prefix(machine.as_str())
            .and_then(|rest| rest.strip_prefix(": "))
            .unwrap_or(title)
            .to_owned()
    };
    let parts: Vec<String> = items.iter().map(named).collect();
    (machine, parts.join(", "), Vec::new())
}
