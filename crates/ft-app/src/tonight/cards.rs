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

/// The cards of a night, by person and begin. What goes on by itself is on no card. Empty where there is no plan.
pub fn cards(night: &Tonight, language: &str) -> Vec<CardView> {
    if !night.plan.is_plan() {
        return Vec::new();
    }
    let said = said(&night.machines, &night.origins.tasks, language);
    let whole = night.problem.with_loads(&night.plan.loads);
    let own = night.problem.tasks.len();
    let mut cards = Vec::new();
    for one in &night.plan.assignments {
        let (machine, says, cautions) = match said.get(one.task) {
            Some(said) => (said.machine.clone(), said.says.clone(), said.cautions.clone()),
            None => load(night, one.task - own, language),
        };
        let task = &whole.tasks[one.task];
        let title = view::pick(&task.title, language).unwrap_or_default();
        let title =
            title.strip_prefix(machine.as_str()).and_then(|rest| rest.strip_prefix(": ")).unwrap_or(title);
        let phases = task.phases.iter().filter(|phase| 0 < phase.people).count();
        let number = task.phases[..=one.phase].iter().filter(|phase| 0 < phase.people).count();
        let title = if phases < 2 { title.to_owned() } else { format!("{title} ({number}/{phases})") };
        for &person in &one.people {
            cards.push(CardView {
                person,
                machine: machine.clone(),
                start_s: one.start_s,
                end_s: one.end_s,
                title: title.clone(),
                says: if number == 1 { says.clone() } else { String::new() },
                cautions: cautions.clone(),
                place: view::pick(&whole.places[one.place].title, language).unwrap_or_default().to_owned(),
                with: one.people.iter().copied().filter(|other| *other != person).collect(),
            });
        }
    }
    cards.sort_by_key(|card| (card.person, card.start_s, card.end_s));
    cards
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
