//! Other nights side by side: one person more or fewer, a later side, a further sink.

use ft_night::{Person, Plan, Problem};

use crate::{Budget, plan};

/// A change to ask about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// One person more: who.
    AddPerson(Person),
    /// One person fewer: which.
    RemovePerson(usize),
    /// A side serves until a given second.
    SideUntil {
        /// Which side.
        side: usize,
        /// Until when, seconds.
        until_s: u32,
    },
    /// So many bays more in a room.
    AddBays {
        /// Which room.
        room: usize,
        /// How many.
        bays: u32,
    },
    /// So much kit more in a pool.
    AddKit {
        /// Which pool.
        kit: usize,
        /// How many.
        count: u32,
    },
}

/// The problem with a change.
#[must_use]
pub fn changed(problem: &Problem, change: &Change) -> Problem {
    let mut problem = problem.clone();
    match change {
        Change::AddPerson(person) => problem.people.push(person.clone()),
        Change::RemovePerson(person) => {
            problem.people.remove(*person);
        }
        Change::SideUntil { side, until_s } => problem.sides[*side].serves_until_s = *until_s,
        Change::AddBays { room, bays } => problem.rooms[*room].bays += bays,
        Change::AddKit { kit, count } => problem.kit[*kit].count += count,
    }
    problem
}

/// The plans of all changes, each with the same budget.
pub fn what_if(problem: &Problem, changes: &[Change], budget: &Budget) -> Vec<Plan> {
    changes.iter().map(|change| plan(&changed(problem, change), budget)).collect()
}

/// One more pair of hands of the usual pace that can do everything.
pub fn more_hands(problem: &Problem) -> Change {
    let skills = (0..problem.skills.len()).collect();
    Change::AddPerson(Person { name: "+1".to_owned(), skills, pace_percent: 100, ..Person::default() })
}
