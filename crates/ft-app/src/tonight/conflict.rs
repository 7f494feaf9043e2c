//! Where there is no plan: which wishes cannot be together, and how far each would have to give way.

use ft_night::{Person, Phase, Plan, Problem, Task};
use ft_plan::{Budget, Conflict, Wish};
use serde::Serialize;

use super::Asked;
use super::view::pick;

/// Wishes that cannot be together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ConflictView {
    /// Whether that was proved; otherwise nothing was found in the schedules that were built.
    pub proved: bool,
    /// None of them can be left out of the set; giving up one may be enough.
    pub wishes: Vec<GiveUpView>,
}

/// A wish that could give way.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct GiveUpView {
    /// The wish, in words.
    pub wish: String,
    /// Seconds by which it would have to give way; `None`: this one alone was not found to help.
    pub by_s: Option<i64>,
}

/// Schedules that may be built for each of the questions, of which there are some for each wish.
const UNITS: u64 = 200;

/// The smallest conflict; `None` where there is a plan, or where giving up wishes does not help.
pub fn view(problem: &Problem, plan: &Plan, asked: &Asked<'_>) -> Option<ConflictView> {
    if plan.is_plan() {
        return None;
    }
    let Conflict { wishes, is_proved } =
        ft_plan::smallest_conflict(problem, &Budget::units(UNITS, asked.budget.seed))?;
    let wishes = wishes
        .iter()
        .map(|give| GiveUpView { wish: told(problem, give.wish, asked.language), by_s: give.by_s })
        .collect();
    Some(ConflictView { proved: is_proved, wishes })
}

/// Why there is no plan, in sentences: too few people who can do a step, or an end that is too early.
pub fn sentences(problem: &Problem, plan: &Plan, language: &str) -> Vec<String> {
    if plan.is_plan() {
        return Vec::new();
    }
    let mut told: Vec<String> =
        problem.tasks.iter().filter_map(|task| too_few(problem, task, language)).collect();
    if let Some(deadline) = problem.deadline_s.filter(|deadline| *deadline < plan.lower_bound_s) {
        let late = (plan.lower_bound_s - deadline).div_ceil(60);
        told.push(if language == "es" {
            format!("nada puede terminar antes de {late} min después de la hora de salida")
        } else {
            format!("nothing can end before {late} min after everybody has to be out")
        });
    }
    if told.is_empty() { plan.conflict.clone() } else { told }
}

fn too_few(problem: &Problem, task: &Task, language: &str) -> Option<String> {
    let able = |phase: &Phase| {
        let can = |person: &&Person| phase.skill.is_none_or(|skill| person.skills.contains(&skill));
        problem.people.iter().filter(can).count()
    };
    let phase = task.phases.iter().find(|phase| able(phase) < phase.people as usize)?;
    let title = pick(&task.title, language).unwrap_or_default();
    let skill = phase.skill.and_then(|skill| pick(&problem.skills[skill], language));
    let (needed, here) = (phase.people, able(phase));
    Some(match (skill, language) {
        (Some(skill), "es") => format!("«{title}» pide {needed} que sepa «{skill}»; hay {here}"),
        (Some(skill), _) => format!("“{title}” needs {needed} who can do “{skill}”; there are {here}"),
        (None, "es") => format!("«{title}» pide {needed} personas; hay {here}"),
        (None, _) => format!("“{title}” needs {needed} people; there are {here}"),
    })
}

fn told(problem: &Problem, wish: Wish, language: &str) -> String {
    let es = language == "es";
    let task = |task: usize| pick(&problem.tasks[task].title, language).unwrap_or_default();
    let person = |person: usize| problem.people[person].name.as_str();
    let side = |side: usize| pick(&problem.sides[side].title, language).unwrap_or_default();
    match (wish, es) {
        (Wish::Deadline, false) => "everybody is out in time".to_owned(),
        (Wish::Deadline, true) => "todos salen a tiempo".to_owned(),
        (Wish::Due(of), false) => format!("“{}” ends when it is due", task(of)),
        (Wish::Due(of), true) => format!("«{}» termina a su hora", task(of)),
        (Wish::MaxLag(lag), false) => format!("“{}” follows in time", task(problem.lags[lag].to.task)),
        (Wish::MaxLag(lag), true) => format!("«{}» sigue a tiempo", task(problem.lags[lag].to.task)),
        (Wish::Within(item), false) => {
            format!(
                "{} is washed in time",
                pick(&problem.wash.items[item].title, language).unwrap_or_default()
            )
        }
        (Wish::Within(item), true) => {
            format!(
                "{} se lava a tiempo",
                pick(&problem.wash.items[item].title, language).unwrap_or_default()
            )
        }
        (Wish::Leaves(who), false) => format!("{} leaves when they said", person(who)),
        (Wish::Leaves(who), true) => format!("{} sale a su hora", person(who)),
        (Wish::Comes(who), false) => format!("{} comes no earlier than they said", person(who)),
        (Wish::Comes(who), true) => format!("{} no llega antes de su hora", person(who)),
        (Wish::Serving(rule), false) => {
            format!("{} sides go on serving until their hour", problem.serving[rule].keep)
        }
        (Wish::Serving(rule), true) => {
            format!("{} lados siguen sirviendo hasta su hora", problem.serving[rule].keep)
        }
        (Wish::SideServes(of), false) => format!("{} serves until its hour", side(of)),
        (Wish::SideServes(of), true) => format!("{} sirve hasta su hora", side(of)),
        (Wish::Release(of), false) => format!("“{}” begins no earlier than allowed", task(of)),
        (Wish::Release(of), true) => format!("«{}» no empieza antes de lo permitido", task(of)),
    }
}
