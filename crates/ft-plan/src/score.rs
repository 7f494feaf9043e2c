//! How a built night stands with the wishes, and its plan.

use ft_night::{Assignment, Grouping, Plan, Score};

use crate::build::{Night, members};
use crate::model::Time;

/// The score of a night whose every task is placed. Loads come after the first `card_tasks`.
pub fn score(night: &Night, card_tasks: usize) -> Score {
    let model = night.model;
    let mut out =
        Score { ends_at_s: night.end.iter().copied().max().unwrap_or(0) as u32, ..Score::default() };
    for act in 0..model.acts.len() {
        out.attended_s +=
            u64::from(night.crew[act].count_ones()) * (night.end[act] - night.start[act]) as u64;
    }
    for (person, day) in night.days().iter().enumerate() {
        let mut place = day.starts_at;
        let mut last_task = 0;
        let mut last_side = None;
        let keeps = model.problem.people[person].keeps_side;
        for busy in &day.busy {
            out.walking_s += place.map_or(0, |from| u64::from(model.problem.walk(from, busy.place)));
            place = Some(busy.place);
            let task = model.acts[busy.act].task;
            if task >= card_tasks {
                continue;
            }
            out.habit_breaks += u32::from(task < last_task);
            last_task = task;
            if let Some(side) = model.problem.tasks[task].side {
                let usual = keeps.or(last_side);
                out.habit_breaks += u32::from(usual.is_some_and(|usual| usual != side));
                last_side = Some(side);
            }
        }
    }
    out
}

/// The plan of a night, without its word and bound.
pub fn to_plan(night: &Night, loads: &Grouping, card_tasks: usize) -> Plan {
    let model = night.model;
    let mut assignments: Vec<Assignment> = (0..model.acts.len())
        .map(|act| {
            let what = &model.acts[act];
            Assignment {
                task: what.task,
                phase: what.phase,
                start_s: seconds(night.start[act]),
                end_s: seconds(night.end[act]),
                people: members(night.crew[act]).collect(),
                place: what.place,
                bays: what.rooms.iter().map(|&used| night.bays[what.task][used]).collect(),
            }
        })
        .collect();
    assignments.sort_by_key(|one| (one.start_s, one.task, one.phase));
    Plan { assignments, loads: loads.clone(), score: score(night, card_tasks), ..Plan::default() }
}

fn seconds(time: Time) -> u32 {
    u32::try_from(time).unwrap_or(u32::MAX)
}
