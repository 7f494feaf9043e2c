//! Works out the times of a sequence.
//!
//! Everybody does their pieces in the order of the sequence, every bay and every bucket goes from one to the next in that
//! order, and each piece begins as early as that allows; nothing is ever put into a gap, so times cost little.
//!
//! A piece that wants a bay or kit that nobody has left yet is set aside until somebody does. A greatest lag that is
//! broken lets its earlier end begin later, and the times are worked out again.

use ft_night::Edge;

use crate::build::NO_PLACE;
use crate::model::{Link, NEVER, Time};
use crate::search::frame::Frame;
use crate::search::sequence::Sequence;
use crate::search::state::{Front, Hand, State, Waits, Wishes};

/// So often the times are worked out anew because a greatest lag was broken.
const AGAIN: usize = 12;
/// Attempts to find times for one piece that all its rules accept; each begins later than the one before.
const ATTEMPTS: usize = 60;
/// After each so many pieces the front is kept, so that a sequence that begins like the last one goes on from there.
const STRIDE: usize = 8;

/// Works out times, one sequence after the other in the same memory.
pub struct Timing<'f> {
    pub frame: &'f Frame,
    blank: State,
    pub state: State,
    /// What each load holds: items, and their size together.
    pub items: Vec<Vec<usize>>,
    pub units: Vec<u32>,
    load_of: Vec<usize>,
    /// Before which a piece may not begin, because of greatest lags.
    raised: Vec<Time>,
    pub raises: Vec<(usize, Time)>,
    parked: Vec<usize>,
    pub trial: Trial,
    base: Base,
    /// Fronts of the last sequence, from the one with which it went on.
    pub marks: Vec<Front>,
    went_on: usize,
}

/// A sequence with its times, from which others differ a little.
struct Base {
    sequence: Sequence,
    state: State,
    /// After 0, [`STRIDE`], 2 [`STRIDE`] … pieces.
    marks: Vec<Front>,
    /// So many pieces lie as they would with anything after them.
    usable: usize,
    changed: Vec<bool>,
}

/// What is undone when a piece is tried again.
#[derive(Default)]
pub struct Trial {
    pub low: Vec<Time>,
    pub hands: Vec<(usize, Hand)>,
    /// Room, bay and begin of each stay that was begun.
    pub stays: Vec<(usize, usize, Time)>,
    pub wishes: Wishes,
    pub late: Time,
    pub waits: Waits,
    pub bays: Vec<usize>,
}

/// A piece cannot be placed before another one leaves something.
pub struct Parked;

impl<'f> Timing<'f> {
    /// For the sequences of this frame.
    pub fn new(frame: &'f Frame) -> Self {
        let blank = State::blank(frame);
        let marks = vec![blank.front.clone(); frame.model.pieces.len() / STRIDE + 1];
        Self {
            state: blank.clone(),
            items: vec![Vec::new(); frame.journey.len()],
            units: vec![0; frame.journey.len()],
            load_of: Vec::new(),
            raised: Vec::new(),
            raises: Vec::new(),
            parked: Vec::new(),
            trial: Trial::default(),
            base: Base {
                sequence: Sequence::default(),
                state: blank.clone(),
                marks: marks.clone(),
                usable: 0,
                changed: vec![false; frame.journey.len()],
            },
            marks,
            went_on: 0,
            blank,
            frame,
        }
    }

    /// The times of a sequence.
    pub fn run(&mut self, sequence: &Sequence) -> &State {
        self.run_below(sequence, f64::INFINITY).expect("nothing is above infinity")
    }

    /// The times of a sequence; `None` as soon as its [`State::least_energy`] is known to be above a limit.
    pub fn run_below(&mut self, sequence: &Sequence, limit: f64) -> Option<&State> {
        self.fill_loads(sequence);
        self.raised.clear();
        self.raised.resize(self.frame.model.pieces.len(), 0);
        self.went_on = self.base.same_until(self.frame, sequence) / STRIDE;
        let (times, front) = match self.went_on {
            0 => (&self.blank, &self.blank.front),
            mark => (&self.base.state, &self.base.marks[mark]),
        };
        self.state.copy_times(times, self.went_on * STRIDE);
        self.state.front.copy_from(front);
        for again in 0..=AGAIN {
            if !self.place_all(sequence, limit) {
                return None;
            }
            if self.raises.is_empty() || again == AGAIN {
                break;
            }
            self.raise();
        }
        let begin = |state: &State, piece: usize| state.start[self.frame.model.pieces[piece].acts.start];
        let broken: Time =
            self.raises.iter().map(|&(piece, at)| (at - begin(&self.state, piece)).max(1)).sum();
        self.state.front.fault += broken;
        Some(&self.state)
    }

    /// Lets begin later what has to, and takes the night back to before the first of it.
    fn raise(&mut self) {
        for &(piece, at) in &self.raises {
            self.raised[piece] = self.raised[piece].max(at);
        }
        let is_raised = |piece: &usize| self.raises.iter().any(|(raised, _)| raised == piece);
        let mark = self.state.log.iter().position(is_raised).unwrap_or(0) / STRIDE;
        let front = match mark {
            0 => &self.blank.front,
            mark if mark > self.went_on => &self.marks[mark],
            mark => &self.base.marks[mark],
        };
        self.state.front.copy_from(front);
        self.state.log.truncate(mark * STRIDE);
        self.went_on = self.went_on.min(mark);
        self.raises.clear();
    }

    /// Makes the sequence whose times were worked out last the one from which the next ones differ, with its pieces in
    /// the order in which they were placed.
    pub fn keep(&mut self, sequence: &mut Sequence) {
        let base = &mut self.base;
        base.usable = 0;
        if self.state.log.len() == sequence.order.len() {
            sequence.order.clone_from(&self.state.log);
            // What was raised lies as it does because of what comes later; what comes before it does not.
            let is_raised = |&piece: &usize| self.raised[piece] > 0;
            base.usable = self.state.log.iter().position(is_raised).unwrap_or(self.state.log.len());
        }
        base.sequence.clone_from(sequence);
        base.state.copy_times(&self.state, self.state.log.len());
        for mark in self.went_on + 1..=self.state.log.len() / STRIDE {
            std::mem::swap(&mut base.marks[mark], &mut self.marks[mark]);
        }
    }

    fn fill_loads(&mut self, sequence: &Sequence) {
        self.items.iter_mut().for_each(Vec::clear);
        self.units.iter_mut().for_each(|units| *units = 0);
        self.load_of.clone_from(&sequence.load);
        for (item, &load) in sequence.load.iter().enumerate() {
            self.items[load].push(item);
            self.units[load] += self.frame.items[item].size;
        }
    }

    /// False where the limit is passed.
    fn place_all(&mut self, sequence: &Sequence, limit: f64) -> bool {
        self.raises.clear();
        self.parked.clear();
        for &piece in &sequence.order {
            if self.state.front.placed[piece] {
                continue;
            }
            if self.place(piece, sequence).is_ok() {
                self.unpark(sequence);
                if self.state.least_energy() > limit {
                    return false;
                }
            } else {
                self.parked.push(piece);
            }
        }
        self.state.front.fault += self.parked.len() as Time * NO_PLACE;
        true
    }

    /// Places what was set aside and now finds its place, as long as there is any.
    fn unpark(&mut self, sequence: &Sequence) {
        let mut at = 0;
        while at < self.parked.len() {
            let piece = self.parked[at];
            if self.place(piece, sequence).is_ok() {
                self.parked.remove(at);
                at = 0;
            } else {
                at += 1;
            }
        }
    }

    /// Whether everything that a piece comes after is placed.
    fn is_ready(&self, piece: usize) -> bool {
        let (frame, placed) = (self.frame, &self.state.front.placed);
        let washed = |item: &usize| placed[frame.last_piece(frame.card_tasks + self.load_of[*item])];
        frame.before[piece].iter().all(|&before| placed[before])
            && frame.awaits[piece].iter().all(washed)
            && self
                .items_of(piece)
                .iter()
                .flat_map(|&item| &frame.items[item].after)
                .all(|&task| placed[frame.last_piece(task)])
    }

    /// The items of the load that a piece begins.
    fn items_of(&self, piece: usize) -> &[usize] {
        let task = self.frame.model.pieces[piece].task;
        match self.frame.load(task) {
            Some(load) if self.frame.model.first_piece[task] == piece => &self.items[load],
            _ => &[],
        }
    }

    fn place(&mut self, piece: usize, sequence: &Sequence) -> Result<(), Parked> {
        let begun = self.frame.model.has_begun(piece);
        if !begun && !self.is_ready(piece) {
            return Err(Parked);
        }
        self.lows(piece);
        let mut is_settled = false;
        for _ in 0..ATTEMPTS {
            if let Err(parked) = self.line_up(piece, sequence) {
                self.undo(piece);
                return Err(parked);
            }
            let Some((act, at)) = self.objection(piece) else {
                is_settled = true;
                break;
            };
            self.undo(piece);
            let low = &mut self.trial.low[act - self.frame.model.pieces[piece].acts.start];
            *low = at.max(*low);
        }
        if !is_settled {
            // What still objects after so many attempts is counted as having no place.
            self.trial.late += NO_PLACE;
        }
        self.limits(piece);
        self.commit(piece);
        if self.state.log.len().is_multiple_of(STRIDE) {
            self.marks[self.state.log.len() / STRIDE].copy_from(&self.state.front);
        }
        Ok(())
    }

    /// The earliest begin of each act as far as lags, release and raises say.
    fn lows(&mut self, piece: usize) {
        let (frame, state) = (self.frame, &self.state);
        let model = &frame.model;
        let what = &model.pieces[piece];
        let task = &model.problem.tasks[what.task];
        let mut low = model.now.max(Time::from(task.release_s)).max(self.raised[piece]);
        if let Some(side) = task.side.filter(|_| task.ends_service) {
            low = low.max(Time::from(model.problem.sides[side].serves_until_s));
        }
        let mut waits = Waits::Clock;
        let mut after = |at: Time, by: usize| {
            if at > low {
                (low, waits) = (at, Waits::Rule(by));
            }
        };
        if what.acts.start > model.first[what.task] {
            after(state.end[what.acts.start - 1], piece - 1);
        }
        for link in &what.links {
            if link.here == Edge::Begin
                && link.least > -NEVER
                && link.other != piece
                && state.front.placed[link.other]
            {
                after(self.at(link) + link.least, link.other);
            }
        }
        for &task in self.items_of(piece).iter().flat_map(|&item| &frame.items[item].after) {
            after(state.end[model.first[task + 1] - 1], frame.last_piece(task));
        }
        for &item in &frame.awaits[piece] {
            let task = frame.card_tasks + self.load_of[item];
            after(state.end[model.first[task + 1] - 1], frame.last_piece(task));
        }
        self.trial.low.clear();
        self.trial.low.resize(what.acts.len(), model.now);
        self.trial.low[0] = low;
        self.trial.waits = waits;
    }

    /// When the other end of a lag is.
    pub fn at(&self, link: &Link) -> Time {
        let acts = &self.frame.model.pieces[link.other].acts;
        match link.there {
            Edge::Begin => self.state.start[acts.start],
            Edge::End => self.state.end[acts.end - 1],
        }
    }
}

impl Base {
    /// How many pieces of a sequence are placed just as here.
    fn same_until(&mut self, frame: &Frame, sequence: &Sequence) -> usize {
        let own = &self.sequence;
        self.changed.fill(false);
        for (&old, &new) in own.load.iter().zip(&sequence.load).filter(|(old, new)| old != new) {
            self.changed[old] = true;
            self.changed[new] = true;
        }
        let same = |&(old, new): &(&usize, &usize)| {
            let what = &frame.model.pieces[*new];
            old == new
                && own.crew[what.acts.clone()] == sequence.crew[what.acts.clone()]
                && frame.load(what.task).is_none_or(|load| !self.changed[load])
        };
        own.order.iter().zip(&sequence.order).take(self.usable).take_while(same).count()
    }
}

#[cfg(test)]
mod tests;
