//! Builds one schedule from an order of the pieces: each in turn as early as everything placed before allows.
//!
//! Serial schedule generation with gap insertion. A piece is a phase, or phases that follow each other at once; what a
//! task occupies between two of its pieces stays taken until the later one is placed, and what wants it is set aside
//! meanwhile. Where a maximum lag cannot be kept because its later end comes too late, its earlier end is pushed back,
//! and everything placed since is placed anew. What still cannot be kept is placed all the same and counted as fault, so
//! that search has a slope to go down.
//!
//! This makes the first plans, and those of the card in a line; what is searched are sequences (`timing.rs`).

mod crew;
pub mod day;
pub mod first;
mod past;
mod place;
mod queue;

use crate::build::day::{Bay, Day, Pool, Stay, Taken};
use crate::build::queue::Queue;
use crate::model::{Model, NEVER, Time};

/// What the search decides: who comes first, and who should do it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Genes {
    /// Place in the queue of each piece; lower is placed earlier. All different.
    pub rank: Vec<usize>,
    /// Who does the attended phases of each piece, if the search has a wish.
    pub favour: Vec<Option<usize>>,
}

/// People as a set of bits.
pub type Crew = u64;

/// The people of a crew, ascending.
pub fn members(crew: Crew) -> impl Iterator<Item = usize> {
    let mut left = crew;
    std::iter::from_fn(move || {
        (left != 0).then(|| {
            let person = left.trailing_zeros() as usize;
            left &= left - 1;
            person
        })
    })
}

/// The crew of some people.
pub fn crew_of<'a>(people: impl IntoIterator<Item = &'a usize>) -> Crew {
    people.into_iter().fold(0, |crew, person| crew | 1 << person)
}

/// A schedule being built.
pub struct Night<'m> {
    pub model: &'m Model,
    pub start: Vec<Time>,
    pub end: Vec<Time>,
    pub crew: Vec<Crew>,
    /// The bay of each room use of each task.
    pub bays: Vec<Vec<u32>>,
    /// Seconds by which rules are broken; 0: a plan.
    pub fault: Time,
    /// The rules that are, and by how much: piece and seconds.
    pub broken: Vec<(usize, Time)>,
    pub placed: Vec<bool>,
    pub pushed: Vec<Time>,
    pub pushes_left: usize,
    /// The pieces placed, in the order of placing.
    pub log: Vec<usize>,
    pub days: Vec<Day>,
    pub rooms: Vec<Vec<Bay>>,
    pub pools: Vec<Pool>,
    pub queue: Queue,
}

/// Counted for each piece that finds no place at all.
pub const NO_PLACE: Time = 1_000_000;

/// Why a piece could not be placed as it should.
pub enum Stuck {
    /// The other piece of a maximum lag should come later by so much.
    Push { other: usize, by: Time },
    /// Nobody can do it, or there is never room.
    Never,
}

impl<'m> Night<'m> {
    /// Builds the schedule of these genes.
    pub fn build(model: &'m Model, genes: &Genes) -> Self {
        let mut night = Self::blank(model);
        night.place_all(genes);
        night
    }

    fn place_all(&mut self, genes: &Genes) {
        let mut queue = std::mem::take(&mut self.queue);
        queue.fill(self.model, &self.placed, genes);
        while let Some(piece) = queue.pop(|piece| self.has_kit(piece) && self.has_room(piece)) {
            match self.place(piece, genes.favour[piece]) {
                Ok(()) => {
                    self.placed[piece] = true;
                    self.log.push(piece);
                    queue.placed(self.model, genes, piece);
                }
                Err(Stuck::Push { other, by }) => {
                    self.push(other, by);
                    queue.fill(self.model, &self.placed, genes);
                }
                Err(Stuck::Never) => {
                    self.broken.push((piece, NO_PLACE));
                    break;
                }
            }
        }
        self.queue = queue;
        let missing = self.placed.iter().filter(|&&placed| !placed).count();
        self.fault = missing as Time * NO_PLACE + self.broken.iter().map(|(_, by)| by).sum::<Time>();
    }

    /// Whether what is taken for good leaves a piece its kit.
    fn has_kit(&self, piece: usize) -> bool {
        self.model.has_begun(piece)
            || self.model.pieces[piece].takes.iter().all(|&hold| {
                let kit = self.model.problem.holds[hold].kit;
                self.pools[kit].leaves(self.kit_need(piece, hold), self.model.problem.kit[kit].count)
            })
    }

    /// How many of one pool a piece takes, counting its holds up to this one.
    pub fn kit_need(&self, piece: usize, hold: usize) -> u32 {
        let holds = &self.model.problem.holds;
        let same = self.model.pieces[piece]
            .takes
            .iter()
            .filter(|&&other| other <= hold && holds[other].kit == holds[hold].kit);
        same.map(|&other| holds[other].count).sum()
    }

    /// Whether what stays for good leaves a piece its room.
    fn has_room(&self, piece: usize) -> bool {
        let what = &self.model.pieces[piece];
        let task = &self.model.problem.tasks[what.task];
        what.opens.iter().all(|&used| {
            let used = &task.rooms[used];
            let units = self.model.problem.rooms[used.room].units;
            self.model.past[self.model.first[what.task] + used.from_phase].is_some()
                || self.rooms[used.room].iter().any(|bay| bay.leaves(used.units, used.class, units))
        })
    }

    pub fn stay(&mut self, task: usize, used: usize, bay: u32, from: Time, to: Time) {
        let what = &self.model.problem.tasks[task].rooms[used];
        if let Some(bay) = self.rooms[what.room].get_mut(bay as usize) {
            bay.stays.push(Stay { from, to, units: what.units, class: what.class, task, used });
        }
    }

    pub fn take(&mut self, hold: usize, from: Time, to: Time) {
        let what = &self.model.problem.holds[hold];
        self.pools[what.kit].taken.push(Taken { hold, from, to, count: what.count });
    }

    /// Says until when the things of a hold that is under way are taken.
    pub fn give(&mut self, hold: usize, to: Time) {
        let pool = &mut self.pools[self.model.problem.holds[hold].kit];
        for taken in pool.taken.iter_mut().filter(|taken| taken.hold == hold) {
            taken.to = to;
        }
    }

    /// Says until when a stay that is under way lasts.
    pub fn leave(&mut self, task: usize, used: usize, to: Time) {
        let room = self.model.problem.tasks[task].rooms[used].room;
        let bay = self.bays[task][used] as usize;
        if let Some(bay) = self.rooms[room].get_mut(bay) {
            bay.leave(task, used, to);
        }
    }

    /// Takes out a piece and everything placed since, and lets it begin only later.
    fn push(&mut self, piece: usize, by: Time) {
        self.pushes_left -= 1;
        let begin = self.start[self.model.pieces[piece].acts.start];
        let since = self.log.iter().position(|&other| other == piece).unwrap_or(0);
        for index in (since..self.log.len()).rev() {
            self.unplace(self.log[index]);
        }
        let placed = &self.placed;
        self.broken.retain(|&(other, _)| placed[other]);
        self.log.truncate(since);
        self.pushed[piece] = begin + by;
    }

    fn unplace(&mut self, piece: usize) {
        self.placed[piece] = false;
        self.lift(piece);
        let what = &self.model.pieces[piece];
        if !self.model.has_begun(piece) {
            for &hold in &what.takes {
                self.pools[self.model.problem.holds[hold].kit].taken.retain(|taken| taken.hold != hold);
            }
        }
        for &hold in &what.gives {
            self.give(hold, NEVER);
        }
        for &used in &what.closes {
            self.leave(what.task, used, NEVER);
        }
        self.clear_rooms(piece);
    }

    /// Takes a piece's own things out of the rooms again, but for those that were there before.
    pub fn clear_rooms(&mut self, piece: usize) {
        let what = &self.model.pieces[piece];
        for &used in &what.opens {
            let room_use = &self.model.problem.tasks[what.task].rooms[used];
            if self.model.past[self.model.first[what.task] + room_use.from_phase].is_some() {
                continue;
            }
            for bay in &mut self.rooms[room_use.room] {
                bay.remove(what.task, used);
            }
        }
    }

    /// Takes the people off a piece again.
    pub fn lift(&mut self, piece: usize) {
        for act in self.model.pieces[piece].acts.clone() {
            if self.model.past[act].is_none() {
                for person in members(self.crew[act]) {
                    self.days[person].remove(act);
                }
                self.crew[act] = 0;
            }
        }
    }

    /// Each person's night.
    pub fn days(&self) -> &[Day] {
        &self.days
    }
}
