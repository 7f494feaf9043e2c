//! The times of a sequence while they are worked out.

use ft_night::Score;

use crate::build::{Crew, Night};
use crate::model::{NEVER, Time};
use crate::search::frame::Frame;
use crate::search::store::{Held, Store};

/// Seconds of the end that a second of fault, of work or walking, and a broken habit are worth to annealing.
const FAULT_WEIGHT: f64 = 20.0;
const WORK_WEIGHT: f64 = 0.02;
const BREAK_WEIGHT: f64 = 0.01;

/// Why a piece begins no earlier.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Waits {
    /// For nothing that the search decides.
    #[default]
    Clock,
    /// For another piece, by a rule: a lag, the phase before, what an item waits for.
    Rule(usize),
    /// For somebody, a bay or kit that another piece has before it.
    Turn(usize),
}

/// Somebody's night so far.
#[derive(Clone, Copy)]
pub struct Hand {
    pub free: Time,
    /// Where they stand; `None`: anywhere.
    pub place: Option<usize>,
    /// The last piece that they did.
    pub piece: Option<usize>,
    last_task: usize,
    last_side: Option<usize>,
}

/// The times that a sequence gives. What is not placed has old times that nobody reads.
#[derive(Clone)]
pub struct State {
    pub start: Vec<Time>,
    pub end: Vec<Time>,
    /// Who does each act.
    pub crew: Vec<Crew>,
    /// The bay of each room use of each task.
    pub bay: Vec<Vec<u32>>,
    pub waits: Vec<Waits>,
    /// The pieces in the order in which they were placed.
    pub log: Vec<usize>,
    pub front: Front,
}

/// How far everybody and everything has come: all that the pieces still to be placed see, but for times.
#[derive(Clone, Default)]
pub struct Front {
    pub placed: Vec<bool>,
    pub hands: Vec<Hand>,
    pub bays: Vec<Vec<Store>>,
    pub pools: Vec<Store>,
    /// When each side stops serving; [`NEVER`] while it does not.
    pub stops: Vec<Time>,
    /// Seconds by which rules are broken that no push can mend.
    pub fault: Time,
    pub wishes: Wishes,
    /// The whole ends no earlier, because of what is placed.
    pub least_end: Time,
    /// The last end so far, and the piece that it is of.
    pub last: (Time, Option<usize>),
}

/// What the wishes look at, summed up.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Wishes {
    pub walking: Time,
    pub attended: Time,
    pub breaks: u32,
}

impl Wishes {
    pub fn add(&mut self, more: Self) {
        self.walking += more.walking;
        self.attended += more.attended;
        self.breaks += more.breaks;
    }
}

impl State {
    /// The night with nothing in it but what already happened.
    pub fn blank(frame: &Frame) -> Self {
        let model = &frame.model;
        let night = Night::blank(model);
        let mut wishes = Wishes::default();
        let hands = model.problem.people.iter().zip(&night.days).map(|(person, day)| {
            let mut hand = Hand {
                free: Time::from(person.from_s),
                place: person.starts_at,
                piece: None,
                last_task: 0,
                last_side: None,
            };
            for busy in &day.busy {
                hand.walk_to(frame, busy.place, &mut wishes);
                hand.does(frame, busy.act, person.keeps_side, &mut wishes);
                (hand.free, hand.piece) = (hand.free.max(busy.end), None);
                wishes.attended += busy.end - busy.start;
            }
            hand
        });
        let hands = hands.collect();
        let bays = night.rooms.iter().map(|bays| {
            bays.iter()
                .map(|bay| Store {
                    from: bay.stays.iter().map(|stay| stay.from).max().unwrap_or(0),
                    held: bay
                        .stays
                        .iter()
                        .map(|stay| Held {
                            to: stay.to,
                            amount: stay.units,
                            class: stay.class,
                            key: (stay.task, stay.used),
                            by: model.first_piece[stay.task],
                        })
                        .collect(),
                })
                .collect()
        });
        let pools = night.pools.iter().map(|pool| Store {
            from: pool.taken.iter().map(|taken| taken.from).max().unwrap_or(0),
            held: pool
                .taken
                .iter()
                .map(|taken| Held {
                    to: taken.to,
                    amount: taken.count,
                    class: None,
                    key: (taken.hold, 0),
                    by: model.first_piece[model.problem.holds[taken.hold].to_task],
                })
                .collect(),
        });
        let mut stops = vec![NEVER; model.problem.sides.len()];
        for (stop, pieces) in stops.iter_mut().zip(&model.ends_service) {
            let begun = pieces.iter().filter(|&&piece| model.has_begun(piece));
            let begins = begun.map(|&piece| night.start[model.pieces[piece].acts.start]);
            *stop = begins.min().unwrap_or(NEVER);
        }
        let front = Front {
            bays: bays.collect(),
            pools: pools.collect(),
            placed: night.placed,
            hands,
            stops,
            wishes,
            last: (model.past.iter().flatten().map(|past| past.end).max().unwrap_or(0), None),
            ..Front::default()
        };
        Self {
            start: night.start,
            end: night.end,
            crew: night.crew,
            bay: night.bays,
            waits: vec![Waits::Clock; model.pieces.len()],
            log: Vec::with_capacity(model.pieces.len()),
            front,
        }
    }

    /// Copies the times of another state of the same frame, up to so many pieces; keeps its own memory.
    pub fn copy_times(&mut self, other: &Self, pieces: usize) {
        self.start.copy_from_slice(&other.start);
        self.end.copy_from_slice(&other.end);
        self.crew.copy_from_slice(&other.crew);
        self.waits.copy_from_slice(&other.waits);
        for (own, bays) in self.bay.iter_mut().zip(&other.bay) {
            own.copy_from_slice(bays);
        }
        self.log.clear();
        self.log.extend_from_slice(&other.log[..pieces]);
    }

    /// What annealing looks at: faults above all, then the end, then the wishes. Once everything is placed it is all
    /// there is to say; before, it only grows.
    pub fn least_energy(&self) -> f64 {
        let (front, wishes) = (&self.front, &self.front.wishes);
        front.fault as f64 * FAULT_WEIGHT
            + front.least_end as f64
            + (wishes.attended + wishes.walking) as f64 * WORK_WEIGHT
            + f64::from(wishes.breaks) * BREAK_WEIGHT
    }

    /// How it stands with the wishes.
    pub fn score(&self) -> Score {
        Score {
            ends_at_s: self.front.last.0 as u32,
            attended_s: self.front.wishes.attended as u64,
            walking_s: self.front.wishes.walking as u64,
            habit_breaks: self.front.wishes.breaks,
        }
    }

    /// The pieces that hold the end back, the last first, with what each waits for.
    pub fn chain(&self) -> Vec<(usize, Waits)> {
        let mut at = self.front.last.1;
        let mut chain = Vec::new();
        while let Some(piece) = at {
            let waits = self.waits[piece];
            chain.push((piece, waits));
            at = match waits {
                Waits::Clock => None,
                Waits::Rule(other) | Waits::Turn(other) => Some(other),
            };
            if chain.len() > self.waits.len() {
                break;
            }
        }
        chain
    }
}

impl Front {
    /// Copies another front of the same frame; keeps its own memory.
    pub fn copy_from(&mut self, other: &Self) {
        self.placed.clone_from(&other.placed);
        self.hands.clone_from(&other.hands);
        self.stops.clone_from(&other.stops);
        if self.bays.len() == other.bays.len() && self.pools.len() == other.pools.len() {
            let bays = self.bays.iter_mut().flatten().zip(other.bays.iter().flatten());
            for (own, store) in bays.chain(self.pools.iter_mut().zip(&other.pools)) {
                own.held.clone_from(&store.held);
                own.from = store.from;
            }
        } else {
            self.bays.clone_from(&other.bays);
            self.pools.clone_from(&other.pools);
        }
        self.fault = other.fault;
        self.wishes = other.wishes;
        self.least_end = other.least_end;
        self.last = other.last;
    }
}

impl Hand {
    /// Seconds to walk to a place.
    pub fn walk(&self, frame: &Frame, place: usize) -> Time {
        self.place.map_or(0, |from| Time::from(frame.model.problem.walk(from, place)))
    }

    /// Walks to a place.
    pub fn walk_to(&mut self, frame: &Frame, place: usize, wishes: &mut Wishes) {
        wishes.walking += self.walk(frame, place);
        self.place = Some(place);
    }

    /// Does an act; counts the habits that it breaks.
    pub fn does(&mut self, frame: &Frame, act: usize, keeps: Option<usize>, wishes: &mut Wishes) {
        let task = frame.model.acts[act].task;
        if task >= frame.card_tasks {
            return;
        }
        wishes.breaks += u32::from(task < self.last_task);
        self.last_task = task;
        if let Some(side) = frame.model.problem.tasks[task].side {
            wishes.breaks += u32::from(keeps.or(self.last_side).is_some_and(|usual| usual != side));
            self.last_side = Some(side);
        }
    }
}
