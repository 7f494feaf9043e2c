//! The times of a sequence while they are worked out.

use ft_night::Score;

use crate::build::{Crew, Night};
use crate::frame::Frame;
use crate::model::{NEVER, Time};
use crate::store::{Held, Store};

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

/// What changes while pieces are placed.
#[derive(Clone)]
pub struct State {
    pub start: Vec<Time>,
    pub end: Vec<Time>,
    /// Who does each act.
    pub crew: Vec<Crew>,
    pub placed: Vec<bool>,
    pub hands: Vec<Hand>,
    pub bays: Vec<Vec<Store>>,
    pub pools: Vec<Store>,
    /// The bay of each room use of each task.
    pub bay: Vec<Vec<u32>>,
    /// The pieces in the order in which they were placed.
    pub log: Vec<usize>,
    pub waits: Vec<Waits>,
    /// When each side stops serving; [`NEVER`] while it does not.
    pub stops: Vec<Time>,
    /// Seconds by which rules are broken that no push can mend.
    pub fault: Time,
    pub wishes: Wishes,
    /// The whole ends no earlier, because of what is placed.
    pub least_end: Time,
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
                    held: bay.stays.iter().map(|stay| Held {
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
            held: pool.taken.iter().map(|taken| Held {
                    to: taken.to,
                    amount: taken.count,
                    class: None,
                    key: (taken.hold, 0),
                    by: model.first_piece[model.problem.holds[taken.hold].to_task],
                })
                .collect(),
        });
        let mut state = Self {
            bays: bays.collect(),
            pools: pools.collect(),
            start: night.start,
            end: night.end,
            crew: night.crew,
            placed: night.placed,
            hands,
            bay: night.bays,
            log: Vec::with_capacity(model.pieces.len()),
            waits: vec![Waits::Clock; model.pieces.len()],
            stops: vec![NEVER; model.problem.sides.len()],
            fault: 0,
            wishes,
            least_end: 0,
        };
        for (side, pieces) in model.ends_service.iter().enumerate() {
            let begun = pieces.iter().filter(|&&piece| model.has_begun(piece));
            let stops = begun.map(|&piece| state.start[model.pieces[piece].acts.start]).min();
            state.stops[side] = stops.unwrap_or(NEVER);
        }
        state
    }

    /// Copies another state of the same frame; keeps its own memory.
    pub fn copy_from(&mut self, other: &Self) {
        self.start.clone_from(&other.start);
        self.end.clone_from(&other.end);
        self.crew.clone_from(&other.crew);
        self.placed.clone_from(&other.placed);
        self.hands.clone_from(&other.hands);
        for (own, store) in self.bays.iter_mut().flatten().zip(other.bays.iter().flatten()) {
            own.held.clone_from(&store.held);
            own.from = store.from;
        }
        for (own, store) in self.pools.iter_mut().zip(&other.pools) {
            own.held.clone_from(&store.held);
            own.from = store.from;
        }
        self.log.clone_from(&other.log);
        self.stops.clone_from(&other.stops);
        self.fault = other.fault;
        self.wishes = other.wishes;
        self.least_end = other.least_end;
    }

    /// What annealing looks at: faults above all, then the end, then the wishes. Once everything is placed it is all
    /// there is to say; before, it only grows.
    pub fn least_energy(&self) -> f64 {
        self.fault as f64 * FAULT_WEIGHT
            + self.least_end as f64
            + (self.wishes.attended + self.wishes.walking) as f64 * WORK_WEIGHT
            + f64::from(self.wishes.breaks) * BREAK_WEIGHT
    }

    /// How it stands with the wishes.
    pub fn score(&self) -> Score {
        Score {
            ends_at_s: self.end.iter().copied().max().unwrap_or(0) as u32,
            attended_s: self.wishes.attended as u64,
            walking_s: self.wishes.walking as u64,
            habit_breaks: self.wishes.breaks,
        }
    }

    /// The pieces that hold the end back, the last first, with what each waits for.
    pub fn chain(&self, frame: &Frame) -> Vec<(usize, Waits)> {
        let last = (0..self.end.len()).max_by_key(|&act| self.end[act]);
        let mut at = last.map(|act| frame.piece_of[act]);
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
