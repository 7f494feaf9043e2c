//! The night with nothing in it but what already happened.

use crate::build::Night;
use crate::build::day::{Bay, Busy, Day, Pool};
use crate::build::queue::Queue;
use crate::model::{Model, NEVER, Time};

impl<'m> Night<'m> {
    /// The night before anything is placed.
    pub fn blank(model: &'m Model) -> Self {
        let problem = &model.problem;
        let acts = model.acts.len();
        let pieces = model.pieces.len();
        let day = |person: &ft_night::Person| Day {
            busy: Vec::new(),
            from: Time::from(person.from_s),
            to: person.to_s.map_or(NEVER, Time::from),
            starts_at: person.starts_at,
        };
        let mut night = Self {
            model,
            start: vec![0; acts],
            end: vec![0; acts],
            crew: vec![0; acts],
            bays: problem.tasks.iter().map(|task| vec![0; task.rooms.len()]).collect(),
            fault: 0,
            broken: Vec::new(),
            placed: vec![false; pieces],
            pushed: vec![0; pieces],
            pushes_left: 20 + 2 * pieces,
            log: Vec::with_capacity(pieces),
            days: problem.people.iter().map(day).collect(),
            rooms: problem.rooms.iter().map(|room| vec![Bay::default(); room.bays as usize]).collect(),
            pools: vec![Pool::default(); problem.kit.len()],
            queue: Queue::default(),
        };
        for task in 0..problem.tasks.len() {
            night.recall(task);
        }
        for (piece, what) in model.pieces.iter().enumerate() {
            night.placed[piece] = what.acts.clone().all(|act| model.past[act].is_some());
        }
        night
    }

    /// Enters what already happened of a task.
    fn recall(&mut self, task: usize) {
        let model = self.model;
        let acts = model.acts_of(task);
        for act in acts.clone() {
            let Some(past) = &model.past[act] else { continue };
            (self.start[act], self.end[act]) = (past.start, past.end);
            for &person in &past.people {
                self.crew[act] |= 1 << person;
                let place = model.acts[act].place;
                self.days[person].insert(Busy { start: past.start, end: past.end, place, act });
            }
            for (position, &used) in model.acts[act].rooms.iter().enumerate() {
                let bay = past.bays.get(position).copied().unwrap_or(0);
                self.bays[task][used] = bay;
                let until = acts.start + model.problem.tasks[task].rooms[used].to_phase + 1;
                let to = if until < acts.end {
                    model.past[until].as_ref().map_or(NEVER, |next| next.start)
                } else if model.is_past(task) {
                    model.past[acts.end - 1].as_ref().map_or(NEVER, |last| last.end)
                } else {
                    NEVER
                };
                self.stay(task, used, bay, past.start, to);
            }
        }
        let first = model.first_piece[task];
        if model.has_begun(first) {
            for &hold in &model.pieces[first].takes {
                let giver = model.problem.holds[hold].to_task;
                let last = model.past[model.first[giver + 1] - 1].as_ref();
                self.take(hold, self.start[acts.start], last.map_or(NEVER, |past| past.end));
            }
        }
    }
}
