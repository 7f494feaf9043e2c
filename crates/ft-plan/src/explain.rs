//! Says what holds the end of a plan back, why people wait, and does so in sentences.

use ft_night::{Plan, Problem, Words};

use crate::order::{Arc, Because, arcs, clock_s};

/// One link of the critical chain: this phase could not begin earlier, because of that one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChainLink {
    /// Position in the plan's assignments.
    pub assignment: usize,
    /// What it waited for, if for another assignment.
    pub after: Option<usize>,
    /// Why.
    pub because: Because,
    /// The same in words.
    pub sentence: Words,
}

/// Somebody waits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wait {
    /// Who.
    pub person: usize,
    /// From when, seconds (walking already taken off).
    pub from_s: u32,
    /// Until when, seconds.
    pub to_s: u32,
    /// For what, in words.
    pub sentence: Words,
}

/// A plan explained.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Explanation {
    /// From the first phase to the last end: each waits for the one before it in the list.
    pub chain: Vec<ChainLink>,
    /// Everybody's waits of at least ten seconds, by person and time.
    pub waits: Vec<Wait>,
}

/// Waits shorter than this are not worth a sentence, seconds. Source: none, our choice.
const WORTH_SAYING_S: u32 = 10;

/// Explains a plan. Empty where there is none.
pub fn explain(problem: &Problem, plan: &Plan) -> Explanation {
    if !plan.is_plan() || plan.assignments.is_empty() {
        return Explanation::default();
    }
    let whole = problem.with_loads(&plan.loads);
    let arcs = arcs(&whole, plan);
    let teller = Teller { whole: &whole, plan };
    Explanation { chain: chain(&whole, plan, &arcs, &teller), waits: waits(&whole, plan, &arcs, &teller) }
}

/// What an assignment waited for last: the arc that ends exactly at its begin, if one does.
fn binding(plan: &Plan, arcs: &[Arc], position: usize, but: Option<usize>) -> Option<Arc> {
    let instant = |at: usize, end: bool| {
        let one = &plan.assignments[at];
        i64::from(if end { one.end_s } else { one.start_s })
    };
    let tight = arcs.iter().filter(|arc| {
        let other = but.is_none_or(|person| arc.because != Because::Person(person));
        arc.to == position
            && other
            && instant(arc.from, arc.from_end) + arc.least_s == instant(position, arc.to_end)
    });
    // Of several the one that no swap of people would take away: the step itself, lags, things, and people last.
    tight.min_by_key(|arc| arc.because).copied()
}

fn chain(whole: &Problem, plan: &Plan, arcs: &[Arc], teller: &Teller) -> Vec<ChainLink> {
    let ends = |position: &usize| plan.assignments[*position].end_s;
    let mut at = (0..plan.assignments.len()).max_by_key(ends).expect("a plan has assignments");
    let mut chain = Vec::new();
    let mut seen = vec![false; plan.assignments.len()];
    while !std::mem::replace(&mut seen[at], true) {
        let arc = binding(plan, arcs, at, None);
        let held = clock_s(whole, plan, at) >= plan.assignments[at].start_s;
        let (after, because) = match arc {
            Some(arc) if !held => (Some(arc.from), arc.because),
            _ => (None, Because::Clock),
        };
        chain.push(ChainLink {
            assignment: at,
            after,
            because,
            sentence: teller.waits_for(at, after, because),
        });
        match after {
            Some(before) => at = before,
            None => break,
        }
    }
    chain.reverse();
    chain
}

fn waits(whole: &Problem, plan: &Plan, arcs: &[Arc], teller: &Teller) -> Vec<Wait> {
    let mut waits = Vec::new();
    for person in 0..whole.people.len() {
        let mut day: Vec<usize> = (0..plan.assignments.len())
            .filter(|&one| plan.assignments[one].people.contains(&person))
            .collect();
        day.sort_by_key(|&one| (plan.assignments[one].start_s, plan.assignments[one].end_s));
        for pair in day.windows(2) {
            let (before, next) = (&plan.assignments[pair[0]], &plan.assignments[pair[1]]);
            let from_s = before.end_s + whole.walk(before.place, next.place);
            if next.start_s >= from_s + WORTH_SAYING_S {
                let arc = binding(plan, arcs, pair[1], Some(person));
                let (after, because) =
                    arc.map_or((None, Because::Clock), |arc| (Some(arc.from), arc.because));
                let sentence = teller.person_waits(person, next.start_s - from_s, pair[1], after, because);
                waits.push(Wait { person, from_s, to_s: next.start_s, sentence });
            }
        }
    }
    waits
}

/// Makes the sentences.
struct Teller<'a> {
    whole: &'a Problem,
    plan: &'a Plan,
}

impl Teller<'_> {
    /// Sentences in the languages that the titles are in; English always.
    fn waits_for(&self, at: usize, after: Option<usize>, because: Because) -> Words {
        let each = |language: &str| {
            let step = self.title(at, language);
            match after {
                None if language == "es" => {
                    format!("«{step}» empieza {}.", self.why(language, because, None))
                }
                None => format!("“{step}” begins {}.", self.why(language, because, None)),
                Some(_) if language == "es" => {
                    format!("«{step}» espera {}.", self.why(language, because, after))
                }
                Some(_) => format!("“{step}” waits {}.", self.why(language, because, after)),
            }
        };
        both(each)
    }

    fn person_waits(
        &self,
        person: usize,
        wait_s: u32,
        next: usize,
        after: Option<usize>,
        because: Because,
    ) -> Words {
        let each = |language: &str| {
            let (name, step, why) = (
                &self.whole.people[person].name,
                self.title(next, language),
                self.why(language, because, after),
            );
            let wait = minutes(wait_s);
            if language == "es" {
                format!("{name} espera {wait} antes de «{step}»: {why}.")
            } else {
                format!("{name} waits {wait} before “{step}”: {why}.")
            }
        };
        both(each)
    }

    fn title(&self, at: usize, language: &str) -> String {
        let titles = &self.whole.tasks[self.plan.assignments[at].task].title;
        let title = titles.get(language).or_else(|| titles.get("en")).or_else(|| titles.values().next());
        title.cloned().unwrap_or_else(|| format!("{}", self.plan.assignments[at].task + 1))
    }

    fn why(&self, language: &str, because: Because, after: Option<usize>) -> String {
        let es = language == "es";
        let other = after.map_or_else(String::new, |after| self.title(after, language));
        let name =
            |words: &Words| words.get(language).or_else(|| words.get("en")).cloned().unwrap_or_default();
        match because {
            Because::PhaseBefore if es => "a que termine su parte anterior".to_owned(),
            Because::PhaseBefore => "for its own part before".to_owned(),
            Because::Lag(_) if es => format!("a «{other}»"),
            Because::Lag(_) => format!("for “{other}”"),
            Because::Person(person) if es => {
                format!("a {}, que antes hace «{other}»", self.whole.people[person].name)
            }
            Because::Person(person) => {
                format!("for {}, who does “{other}” before", self.whole.people[person].name)
            }
            Because::Room(room) if es => {
                format!("a que «{other}» deje libre: {}", name(&self.whole.rooms[room].title))
            }
            Because::Room(room) => {
                format!("for the {}, where “{other}” still is", name(&self.whole.rooms[room].title))
            }
            Because::Kit(kit) if es => {
                format!("a que vuelva, después de «{other}»: {}", name(&self.whole.kit[kit].title))
            }
            Because::Kit(kit) => {
                format!("for a {}, which comes back with “{other}”", name(&self.whole.kit[kit].title))
            }
            Because::Clock if es => "a su hora: antes no puede o no hace falta".to_owned(),
            Because::Clock => "at its hour: it may not or need not begin earlier".to_owned(),
        }
    }
}

fn both(each: impl Fn(&str) -> String) -> Words {
    ["en", "es"].into_iter().map(|language| (language.to_owned(), each(language))).collect()
}

fn minutes(seconds: u32) -> String {
    if seconds < 60 { format!("{seconds} s") } else { format!("{} min {:02} s", seconds / 60, seconds % 60) }
}
