//! How long hands need, as the record teaches it: for planning, never for ranking.
//!
//! What is learnt is the work of hands alone. What has to stand, soak or run for its time does so whatever the record
//! says; and a person's figure goes into the plan, and to that person, and nowhere else.

use std::collections::{BTreeMap, BTreeSet};

use ft_compile::lower::{Phase, TaskFrom};
use ft_maths::{exp, ln};
use ft_night::Problem;
use ft_odds::lengths::{Assumptions, Lengths, Run};

use super::Ready;
use crate::night::Origins;

/// Least and greatest share of the card's work of hands that a plan takes. Source: none, our choice: what the record
/// says beyond them is about something else than hands.
const BELIEVED: (f64, f64) = (0.5, 2.0);
/// As many timed runs of somebody weigh as much as what the kitchen file says of their pace. Source: none, our choice.
const WORTH: f64 = 4.0;

/// What was learnt for the machines and the people of a night.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Learnt {
    /// By machine and task of it: the share of the card's work of hands that the crew usually needs.
    pub steps: BTreeMap<(usize, usize), f64>,
    /// By name: how long hands need against the crew's usual time, 1 as long, and the weight that this has against
    /// what the kitchen file says, 0 to below 1.
    pub people: BTreeMap<String, (f64, f64)>,
}

/// A step that was timed: where it is, its name in the runs, and what the card says in minutes: hands, and the rest.
struct Card {
    place: (usize, usize),
    name: String,
    hands_min: f64,
    rest_min: f64,
}

/// Learns from timed runs. Only steps with a beginning and an end of their own are timed; stages of wash loads are
/// not, since what is washed together changes from night to night.
///
/// Cost: one pass over the runs, and the steps times the people.
pub fn learnt(machines: &[&Ready], runs: &[Run]) -> Learnt {
    let cards: Vec<Card> =
        machines.iter().enumerate().flat_map(|(index, ready)| cards(index, ready)).collect();
    let known: BTreeSet<&str> = cards.iter().map(|card| card.name.as_str()).collect();
    let runs: Vec<Run> = runs.iter().filter(|run| known.contains(run.step.as_str())).cloned().collect();
    let (lengths, _) = Lengths::learn(&runs, Assumptions::default());
    let mut done: BTreeMap<(&str, &str), u32> = BTreeMap::new();
    for run in &runs {
        let count = done.entry((&run.step, &run.person)).or_default();
        *count = (*count).max(run.number);
    }
    let mut learnt = Learnt::default();
    // By person: the sum of weights, and of weighted logs.
    let mut sums: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
    for card in &cards {
        let of_step: Vec<(&str, u32)> = done
            .iter()
            .filter(|((step, _), _)| *step == card.name)
            .map(|((_, who), count)| (*who, *count))
            .collect();
        if of_step.is_empty() {
            continue;
        }
        let total = card.hands_min + card.rest_min;
        let hands = |who: &str, done: u32| {
            let least = BELIEVED.0 * card.hands_min;
            (lengths.law(&card.name, who, done, total).median() - card.rest_min).max(least)
        };
        // The crew's usual time is that of somebody nobody knows, as practised as the crew is on the whole.
        let practised = of_step.iter().map(|(_, count)| *count).sum::<u32>() / of_step.len() as u32;
        let usual = hands("", practised);
        learnt.steps.insert(card.place, (usual / card.hands_min).clamp(BELIEVED.0, BELIEVED.1));
        for (who, count) in of_step {
            let sum = sums.entry(who).or_default();
            sum.0 += f64::from(count);
            sum.1 += f64::from(count) * ln(hands(who, count) / usual);
        }
    }
    for (who, (weight, logs)) in sums {
        let pace = exp(logs / weight).clamp(BELIEVED.0, BELIEVED.1);
        learnt.people.insert(who.to_owned(), (pace, weight / (weight + WORTH)));
    }
    learnt
}

fn cards(index: usize, ready: &Ready) -> impl Iterator<Item = Card> + '_ {
    let form = &ready.lowered.form;
    ready.lowered.tasks.iter().enumerate().filter_map(move |(number, task)| {
        let name = form.events[*task.events.first()?].name.strip_suffix("@start")?;
        let sum = |of: fn(&Phase) -> f64| task.phases.iter().map(of).sum::<f64>() / 60.0;
        let hands_min = sum(|phase| match phase {
            Phase::Hands(seconds) => *seconds,
            Phase::Watch(_) | Phase::Alone(_) => 0.0,
        });
        let rest_min = sum(|phase| match phase {
            Phase::Hands(_) => 0.0,
            Phase::Watch(seconds) | Phase::Alone(seconds) => *seconds,
        });
        let is_timed = matches!(task.from, TaskFrom::Step(_)) && 0.0 < hands_min;
        is_timed.then(|| Card {
            place: (index, number),
            name: format!("{}/{name}", ready.name),
            hands_min,
            rest_min,
        })
    })
}

impl Learnt {
    /// The pace of somebody: what the kitchen file says, drawn towards what was learnt as far as that is believed.
    pub fn pace(&self, who: &str, of_file: f64) -> f64 {
        match self.people.get(who) {
            Some((pace, weight)) => exp((1.0 - weight) * ln(of_file) + weight * ln(*pace)),
            None => of_file,
        }
    }

    /// Puts what was learnt into a night's problem: hands take as long as they do, and nothing else changes.
    pub fn apply(&self, problem: &mut Problem, origins: &Origins) {
        for (task, place) in problem.tasks.iter_mut().zip(&origins.tasks) {
            let Some(share) = self.steps.get(place) else { continue };
            for phase in &mut task.phases {
                phase.hands_s = (f64::from(phase.hands_s) * share).ceil() as u32;
            }
        }
        for person in &mut problem.people {
            let of_file = f64::from(if person.pace_percent == 0 { 100 } else { person.pace_percent }) / 100.0;
            person.pace_percent = (self.pace(&person.name, of_file) * 100.0).round() as u32;
        }
    }
}
