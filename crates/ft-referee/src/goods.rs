//! Rules about things: kit that is taken, and room that is occupied.

use ft_night::RoomUse;

use crate::{Rule, View, Violation, violation};

pub fn check(view: &View, found: &mut Vec<Violation>) {
    kit(view, found);
    for room in 0..view.problem.rooms.len() {
        bays(view, room, found);
    }
}

fn kit(view: &View, found: &mut Vec<Violation>) {
    for (kit, pool) in view.problem.kit.iter().enumerate() {
        let holds: Vec<_> = view.problem.holds.iter().filter(|hold| hold.kit == kit).collect();
        for hold in &holds {
            let (from, to) = (view.begin(hold.from_task), view.end(hold.to_task));
            if to < from && !view.has_ended(hold.to_task) {
                let what = format!("kit {kit} comes back at {to}, is taken only at {from}");
                found.push(violation(Rule::Kit, &[hold.from_task, hold.to_task], what));
            }
        }
        for taker in &holds {
            let at = view.begin(taker.from_task);
            let taken = holds.iter().filter(|hold| {
                let (from, to) = (view.begin(hold.from_task), view.end(hold.to_task));
                from <= at && at < to
            });
            let taken: Vec<_> = taken.collect();
            let count: u32 = taken.iter().map(|hold| hold.count).sum();
            if count > pool.count && taken.iter().any(|hold| !view.has_begun(hold.from_task)) {
                let what = format!("{count} of kit {kit} are taken at {at}, there are {}", pool.count);
                found.push(violation(Rule::Kit, &[taker.from_task], what));
            }
        }
    }
}

/// One stay in a bay.
struct Stay {
    task: usize,
    used: RoomUse,
    bay: u32,
    from: i64,
    to: i64,
    is_done: bool,
}

fn stays(view: &View, room: usize, found: &mut Vec<Violation>) -> Vec<Stay> {
    let mut stays = Vec::new();
    for (task, what) in view.problem.tasks.iter().enumerate() {
        for used in what.rooms.iter().filter(|used| used.room == room) {
            let first = view.by_phase[task][used.from_phase];
            let here: Vec<&RoomUse> =
                what.rooms.iter().filter(|other| other.from_phase == used.from_phase).collect();
            let position =
                here.iter().position(|other| std::ptr::eq(*other, used)).expect("it is one of them");
            let Some(&bay) = first.bays.get(position) else {
                found.push(violation(
                    Rule::Room,
                    &[task],
                    format!("phase {} names no bay of room {room}", used.from_phase),
                ));
                continue;
            };
            let next = view.by_phase[task].get(used.to_phase + 1);
            let to = next.map_or_else(|| view.end(task), |next| i64::from(next.start_s));
            let is_done = view.is_done[task][used.from_phase];
            stays.push(Stay { task, used: *used, bay, from: i64::from(first.start_s), to, is_done });
        }
    }
    stays
}

fn bays(view: &View, index: usize, found: &mut Vec<Violation>) {
    let room = &view.problem.rooms[index];
    let stays = stays(view, index, found);
    for stay in &stays {
        if stay.is_done {
            continue;
        }
        if stay.bay >= room.bays || stay.used.units > room.units {
            let what = format!("bay {} of room {index} does not hold {} units", stay.bay, stay.used.units);
            found.push(violation(Rule::Room, &[stay.task], what));
        }
    }
    // What is in a bay changes only when something comes, so it is enough to look at those instants.
    for comer in stays.iter().filter(|stay| stay.from < stay.to) {
        let here: Vec<&Stay> = stays
            .iter()
            .filter(|stay| stay.bay == comer.bay && stay.from <= comer.from && comer.from < stay.to)
            .collect();
        if here.iter().all(|stay| stay.is_done) {
            continue;
        }
        let units: u32 = here.iter().map(|stay| stay.used.units).sum();
        let mut classes: Vec<usize> = here.iter().filter_map(|stay| stay.used.class).collect();
        classes.dedup();
        if units > room.units || classes.windows(2).any(|pair| pair[0] != pair[1]) {
            let tasks: Vec<usize> = here.iter().map(|stay| stay.task).collect();
            let what = format!(
                "bay {} of room {index} holds {units} units of kinds {classes:?} at {}",
                comer.bay, comer.from
            );
            found.push(violation(Rule::Room, &tasks, what));
        }
    }
}
