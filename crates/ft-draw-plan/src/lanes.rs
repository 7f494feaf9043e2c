//! What goes on which lane.

use ft_night::{Assignment, Plan, Problem, Words};

/// A stretch on a lane.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bar {
    /// Begin, seconds.
    pub start_s: u32,
    /// End, seconds.
    pub end_s: u32,
    /// What it is.
    pub label: String,
    /// Position of the task, loads after the tasks.
    pub task: usize,
    /// The side that it belongs to, for colour and pattern.
    pub side: Option<usize>,
}

/// One row of the picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lane {
    /// Whose or what it is.
    pub name: String,
    /// What happens, by begin. On lanes of rooms and kit bars may overlap.
    pub bars: Vec<Bar>,
}

/// The lanes of a plan: people, then what runs by itself, then rooms bay by bay, then kit. Lanes with nothing on them
/// are left out, except people's. `language` is a code such as `en`; a title that lacks it is given in another.
pub fn lanes(problem: &Problem, plan: &Plan, language: &str) -> Vec<Lane> {
    let whole = problem.with_loads(&plan.loads);
    let mut lanes = Vec::new();
    for (index, person) in whole.people.iter().enumerate() {
        let own = plan.assignments.iter().filter(|one| one.people.contains(&index));
        lanes.push(Lane {
            name: person.name.clone(),
            bars: own.map(|one| bar(&whole, one, language)).collect(),
        });
    }
    let alone = plan.assignments.iter().filter(|one| one.people.is_empty() && one.start_s < one.end_s);
    let name = if language == "es" { "solo" } else { "by itself" };
    lanes.push(Lane { name: name.to_owned(), bars: alone.map(|one| bar(&whole, one, language)).collect() });
    rooms(&whole, plan, language, &mut lanes);
    kit(&whole, plan, language, &mut lanes);
    let people = whole.people.len();
    let mut index = 0;
    lanes.retain(|lane| {
        index += 1;
        index <= people || !lane.bars.is_empty()
    });
    lanes
}

/// Lanes on which no bars overlap: what does not fit on a lane goes to one below it, without a name of its own.
pub(crate) fn apart(lanes: Vec<Lane>) -> Vec<Lane> {
    let mut rows: Vec<Lane> = Vec::new();
    for lane in lanes {
        let first = rows.len();
        rows.push(Lane { name: lane.name, bars: Vec::new() });
        for bar in lane.bars {
            let is_free = |row: &Lane| row.bars.last().is_none_or(|last| last.end_s <= bar.start_s);
            match rows[first..].iter().position(is_free) {
                Some(at) => rows[first + at].bars.push(bar),
                None => rows.push(Lane { name: String::new(), bars: vec![bar] }),
            }
        }
    }
    rows
}

fn bar(whole: &Problem, one: &Assignment, language: &str) -> Bar {
    let task = &whole.tasks[one.task];
    let label = in_language(&task.title, language);
    Bar { start_s: one.start_s, end_s: one.end_s, label, task: one.task, side: task.side }
}

fn rooms(whole: &Problem, plan: &Plan, language: &str, lanes: &mut Vec<Lane>) {
    for (room, what) in whole.rooms.iter().enumerate() {
        for bay in 0..what.bays {
            let name = in_language(&what.title, language);
            let name = if what.bays > 1 { format!("{name} {}", bay + 1) } else { name };
            let mut bars = Vec::new();
            for (task, uses) in whole.tasks.iter().enumerate() {
                for (index, used) in uses.rooms.iter().enumerate().filter(|(_, used)| used.room == room) {
                    let position = uses.rooms[..index]
                        .iter()
                        .filter(|other| other.from_phase == used.from_phase)
                        .count();
                    let Some(first) = plan.find(task, used.from_phase) else { continue };
                    let leaves = plan.find(task, used.to_phase + 1).map(|next| next.start_s);
                    let end_s = leaves.or_else(|| plan.find(task, used.to_phase).map(|last| last.end_s));
                    if first.bays.get(position) == Some(&bay) {
                        bars.push(Bar { end_s: end_s.unwrap_or(first.end_s), ..bar(whole, first, language) });
                    }
                }
            }
            bars.sort_by_key(|bar| (bar.start_s, bar.task));
            lanes.push(Lane { name, bars });
        }
    }
}

fn kit(whole: &Problem, plan: &Plan, language: &str, lanes: &mut Vec<Lane>) {
    for (kit, pool) in whole.kit.iter().enumerate() {
        let mut pieces: Vec<Vec<Bar>> = vec![Vec::new(); pool.count as usize];
        let mut holds: Vec<_> = whole.holds.iter().filter(|hold| hold.kit == kit).collect();
        holds.sort_by_key(|hold| plan.find(hold.from_task, 0).map(|one| one.start_s));
        for hold in holds {
            let Some(first) = plan.find(hold.from_task, 0) else { continue };
            let last = plan.find(hold.to_task, whole.tasks[hold.to_task].phases.len() - 1);
            let end_s = last.map_or(first.end_s, |last| last.end_s);
            for _ in 0..hold.count {
                let free = |bars: &&mut Vec<Bar>| bars.last().is_none_or(|bar| bar.end_s <= first.start_s);
                if let Some(bars) = pieces.iter_mut().find(free) {
                    bars.push(Bar { end_s, ..bar(whole, first, language) });
                }
            }
        }
        for (index, bars) in pieces.into_iter().enumerate() {
            lanes.push(Lane { name: format!("{} {}", in_language(&pool.title, language), index + 1), bars });
        }
    }
}

fn in_language(title: &Words, language: &str) -> String {
    title
        .get(language)
        .or_else(|| title.get("en"))
        .or_else(|| title.values().next())
        .cloned()
        .unwrap_or_default()
}
