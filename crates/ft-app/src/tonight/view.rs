//! The plan as it is shown.

use ft_machine::Kitchen;
use ft_night::{Plan, Problem, Word, Words};
use ft_plan::{Because, Budget, Explanation};
use serde::Serialize;

use super::conflict::{self, ConflictView};
use super::{Asked, Mixed};

/// Tonight's plan for people and programs.
#[derive(Debug, Clone, Serialize)]
pub struct TonightView {
    /// What the kitchen is called.
    pub kitchen: String,
    /// Minutes after midnight at which second 0 of the plan is.
    pub begins_min: u32,
    /// `best`, `feasible`, `impossible` or `out-of-time`.
    pub word: &'static str,
    /// The crew, by name; rows name people by position in this list.
    pub people: Vec<String>,
    /// What was proved of each machine.
    pub machines: Vec<MachineView>,
    /// Who does what when, sorted by begin.
    pub rows: Vec<Row>,
    /// Which parts are washed together, and when.
    pub loads: Vec<LoadView>,
    /// What is mixed.
    pub solutions: Vec<Mixed>,
    /// When everything has ended, seconds.
    pub out_s: u32,
    /// Nothing ends earlier, seconds.
    pub lower_bound_s: u32,
    /// When everybody has to be out, seconds.
    pub deadline_s: Option<u32>,
    /// Minutes of people with their hands bound, and walking.
    pub attended_min: f64,
    /// See `attended_min`.
    pub walking_min: f64,
    /// When half of all nights, and nine of ten, would be out, and the share that is out by the deadline.
    pub odds: Option<OddsView>,
    /// The same work without the order that was proved.
    pub baselines: Vec<Baseline>,
    /// What holds the end back: sentences from first to last, each once, without steps that wait for their own parts.
    pub holds_back: Vec<String>,
    /// What one more pair of hands, that can do everything, was found to gain.
    pub more_hands: Option<MoreHandsView>,
    /// Why people wait, the longest waits first.
    pub waits: Vec<String>,
    /// Where it is proved that there is no plan: why, in sentences.
    pub conflict: Vec<String>,
    /// Where there is no plan: the wishes that cannot be together, and how far each would have to give way.
    pub give_up: Option<ConflictView>,
}

/// The night with one more pair of hands.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct MoreHandsView {
    /// When everything has ended, seconds; a plan was made, so this can be done.
    pub out_s: u32,
    /// How much earlier that is, seconds; 0 where nothing earlier was found.
    pub earlier_s: u32,
}

/// What was proved of a machine.
#[derive(Debug, Clone, Serialize)]
pub struct MachineView {
    /// What the kitchen calls it.
    pub name: String,
    /// Events of its procedure.
    pub events: usize,
    /// States that were looked at one by one.
    pub states: u64,
    /// Orders between events that were proved necessary.
    pub orders: usize,
}

/// What is known of a machine before the view.
pub struct Proved {
    /// What the kitchen calls it.
    pub name: String,
    /// Events of its procedure.
    pub events: usize,
    /// States that were looked at one by one.
    pub states: u64,
    /// Orders that were proved necessary.
    pub orders: usize,
}

/// A phase of the plan.
#[derive(Debug, Clone, Serialize)]
pub struct Row {
    /// Begin, seconds.
    pub start_s: u32,
    /// End, seconds.
    pub end_s: u32,
    /// Who, by position; nobody: it goes on alone.
    pub people: Vec<usize>,
    /// What.
    pub title: String,
    /// Where.
    pub place: String,
    /// Whether it is a wash load.
    pub load: bool,
    /// Which phase of how many.
    pub phase: (usize, usize),
}

/// Parts that are washed together.
#[derive(Debug, Clone, Serialize)]
pub struct LoadView {
    /// Begin, seconds.
    pub start_s: u32,
    /// End, seconds.
    pub end_s: u32,
    /// What kind of load, of which machine.
    pub title: String,
    /// The parts.
    pub parts: Vec<String>,
}

/// When nights of log-normal step lengths end.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct OddsView {
    /// Half of them by then, seconds.
    pub p50_s: f64,
    /// Nine of ten by then, seconds.
    pub p90_s: f64,
    /// Share that is out by the deadline.
    pub by_deadline: Option<f64>,
    /// Spread that was assumed, as the standard deviation of the logarithm.
    pub sigma: f64,
}

/// The card done in a line.
#[derive(Debug, Clone, Serialize)]
pub struct Baseline {
    /// How many people.
    pub people: usize,
    /// When it ends, seconds; `None`: so many people cannot do it.
    pub ends_s: Option<u32>,
}

/// Spread of step lengths before any record: common practice, no source; the record teaches better.
const SIGMA: f64 = 0.25;
/// Nights that are simulated.
const NIGHTS: usize = 1000;

/// Makes the view.
pub fn view(
    kitchen: &Kitchen,
    problem: &Problem,
    plan: &Plan,
    proved: &[Proved],
    solutions: Vec<Mixed>,
    asked: &Asked<'_>,
) -> TonightView {
    let language = asked.language;
    let people: Vec<String> = problem.people.iter().map(|person| person.name.clone()).collect();
    let mut crews = vec![1, people.len()];
    crews.dedup();
    let explained = ft_plan::explain(problem, plan);
    let mut waits: Vec<_> = explained.waits.iter().collect();
    waits.sort_by_key(|wait| std::cmp::Reverse(wait.to_s - wait.from_s));
    let said = |words: &Words| pick(words, language).unwrap_or_default().to_owned();
    TonightView {
        kitchen: pick(&kitchen.title, language).unwrap_or(&kitchen.named.name).to_owned(),
        begins_min: kitchen.hours.map_or(0, |hours| hours.from_min),
        word: word(plan.word),
        machines: proved
            .iter()
            .map(|one| MachineView {
                name: one.name.clone(),
                events: one.events,
                states: one.states,
                orders: one.orders,
            })
            .collect(),
        rows: rows(problem, plan, language),
        loads: loads(problem, plan, language),
        solutions,
        out_s: plan.score.ends_at_s,
        lower_bound_s: plan.lower_bound_s,
        deadline_s: problem.deadline_s,
        attended_min: plan.score.attended_s as f64 / 60.0,
        walking_min: plan.score.walking_s as f64 / 60.0,
        odds: odds(problem, plan, asked.budget.seed),
        baselines: crews.into_iter().map(|people| baseline(problem, people)).collect(),
        holds_back: holds_back(&explained, language),
        more_hands: more_hands(problem, plan, asked.budget.seed),
        waits: waits.iter().map(|wait| said(&wait.sentence)).collect(),
        conflict: conflict::sentences(problem, plan, language),
        give_up: conflict::view(problem, plan, asked),
        people,
    }
}

/// The links of the chain that tell something: a step that waits for its own part before does not.
fn holds_back(explained: &Explanation, language: &str) -> Vec<String> {
    let telling = explained.chain.iter().filter(|link| link.because != Because::PhaseBefore);
    let mut sentences: Vec<String> = Vec::new();
    for link in telling {
        let sentence = pick(&link.sentence, language).unwrap_or_default().to_owned();
        if !sentences.contains(&sentence) {
            sentences.push(sentence);
        }
    }
    sentences
}

/// Schedules that may be built to answer what one more pair of hands would change.
const MORE_HANDS_UNITS: u64 = 20_000;

fn more_hands(problem: &Problem, plan: &Plan, seed: u64) -> Option<MoreHandsView> {
    if !plan.is_plan() {
        return None;
    }
    let budget = Budget::units(MORE_HANDS_UNITS, seed);
    let other = ft_plan::what_if(problem, &[ft_plan::more_hands(problem)], &budget).pop()?;
    let out_s =
        if other.is_plan() { other.score.ends_at_s.min(plan.score.ends_at_s) } else { plan.score.ends_at_s };
    Some(MoreHandsView { out_s, earlier_s: plan.score.ends_at_s - out_s })
}

fn word(word: Word) -> &'static str {
    match word {
        Word::Best => "best",
        Word::Feasible => "feasible",
        Word::Impossible => "impossible",
        Word::OutOfTime => "out-of-time",
    }
}

fn rows(problem: &Problem, plan: &Plan, language: &str) -> Vec<Row> {
    if !plan.is_plan() {
        return Vec::new();
    }
    let whole = problem.with_loads(&plan.loads);
    plan.assignments
        .iter()
        .map(|one| Row {
            start_s: one.start_s,
            end_s: one.end_s,
            people: one.people.clone(),
            title: pick(&whole.tasks[one.task].title, language).unwrap_or_default().to_owned(),
            place: pick(&whole.places[one.place].title, language).unwrap_or_default().to_owned(),
            load: one.task >= problem.tasks.len(),
            phase: (one.phase, whole.tasks[one.task].phases.len()),
        })
        .collect()
}

fn loads(problem: &Problem, plan: &Plan, language: &str) -> Vec<LoadView> {
    let said = |words: &Words| pick(words, language).unwrap_or_default().to_owned();
    let mut loads: Vec<LoadView> = plan
        .loads
        .0
        .iter()
        .enumerate()
        .map(|(index, items)| {
            let task = problem.tasks.len() + index;
            let phases = || plan.assignments.iter().filter(move |one| one.task == task);
            LoadView {
                start_s: phases().map(|one| one.start_s).min().unwrap_or(0),
                end_s: phases().map(|one| one.end_s).max().unwrap_or(0),
                title: said(&problem.wash.journeys[problem.wash.items[items[0]].journey].title),
                parts: items.iter().map(|item| said(&problem.wash.items[*item].title)).collect(),
            }
        })
        .collect();
    loads.sort_by_key(|load| (load.start_s, load.end_s));
    loads
}

/// The card in its order, without the evening's deadline, so that there is something to compare with.
fn baseline(problem: &Problem, people: usize) -> Baseline {
    let mut relaxed = problem.clone();
    relaxed.deadline_s = None;
    for person in &mut relaxed.people {
        person.to_s = None;
    }
    let line = ft_plan::in_a_line(&relaxed, people);
    Baseline { people, ends_s: line.is_plan().then_some(line.score.ends_at_s) }
}

fn odds(problem: &Problem, plan: &Plan, seed: u64) -> Option<OddsView> {
    if !plan.is_plan() {
        return None;
    }
    let lengths = ft_plan::lengths_as_planned(problem, plan, SIGMA);
    let odds = ft_plan::simulate(problem, plan, &lengths, NIGHTS, seed);
    Some(OddsView {
        p50_s: odds.quantile(0.5),
        p90_s: odds.quantile(0.9),
        by_deadline: problem.deadline_s.map(|deadline| odds.by(f64::from(deadline))),
        sigma: SIGMA,
    })
}

/// The words in a language, else in the first there is.
pub fn pick<'w>(words: &'w Words, language: &str) -> Option<&'w str> {
    words.get(language).or_else(|| words.values().next()).map(String::as_str)
}
