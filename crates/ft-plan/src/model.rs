//! A problem laid out for search: loads already tasks, phases numbered through, lags by piece.

use std::ops::Range;

use ft_night::{Edge, Hold, Point, Problem};

/// Seconds, with room for the far future.
pub type Time = i64;
/// Later than any night.
pub const NEVER: Time = Time::MAX / 4;

/// A phase.
pub struct Act {
    pub task: usize,
    pub phase: usize,
    pub people: usize,
    pub place: usize,
    /// Seconds for each person of the crew; one entry (the length) where it runs unattended.
    pub length: Vec<Time>,
    /// Who may do it, ascending.
    pub able: Vec<usize>,
    /// Seconds after the phase before at most.
    pub late: Time,
    pub same_people: bool,
    /// Seconds that it takes at least, whoever does it.
    pub shortest: Time,
    /// What of it is shared with other parts, where it is the stage of a part whose load is not yet known.
    pub share: Option<Share>,
    /// Whether it may share its time in a room with others, so that bounds may not add them up.
    pub shares_room: bool,
    /// Room that it begins to occupy: positions in the task's rooms.
    pub rooms: Vec<usize>,
}

impl Act {
    fn shortest_of(&self) -> Time {
        if self.people == 0 {
            return self.length[0];
        }
        let mut able: Vec<Time> = self.able.iter().map(|&person| self.length[person]).collect();
        able.sort_unstable();
        able.get(self.people - 1).copied().unwrap_or(NEVER)
    }
}

/// A full load, in the measure of [`Share::size`]: divisible by all that a load usually takes, and sizes are rounded
/// down.
pub const FULL_LOAD: Time = 5_040_000;

/// How a stage of a part costs time when parts share loads.
pub struct Share {
    /// Stage and journey, numbered through.
    pub pool: usize,
    /// How much of a load the part fills, in [`FULL_LOAD`]ths.
    pub size: Time,
    /// Seconds for each person that the part costs by itself.
    pub own: Vec<Time>,
    /// Seconds for each person that every load costs.
    pub common: Vec<Time>,
}

/// A lag seen from one of the two pieces that it is between.
#[derive(Clone, Copy)]
pub struct Link {
    /// The other piece.
    pub other: usize,
    /// The end of this piece that it speaks of.
    pub here: Edge,
    /// The end of the other piece.
    pub there: Edge,
    /// `here` comes at least so many seconds after `there` (may be negative).
    pub least: Time,
    /// `here` comes at most so many seconds after `there`.
    pub most: Time,
}

/// Phases of one task that are placed together, because one follows the other (nearly) at once.
#[derive(Default)]
pub struct Piece {
    pub task: usize,
    /// Its acts.
    pub acts: Range<usize>,
    /// Positions in the task's rooms: what it begins to occupy, and what it leaves.
    pub opens: Vec<usize>,
    pub closes: Vec<usize>,
    /// Holds that it takes and gives back.
    pub takes: Vec<usize>,
    pub gives: Vec<usize>,
    pub links: Vec<Link>,
    /// Pieces that are placed only after it, and how many come before it.
    pub followers: Vec<usize>,
    pub waits_for: usize,
}

/// A phase that may come later than this after the one before it is placed by itself.
const TOGETHER_S: Time = 60;

/// Where tasks are cut into pieces.
///
/// Between two acts of a piece nobody who does it does anything else, and no bay changes hands. Yet the next load may be
/// dipped while the former soaks and go in at the instant at which the former goes to the rack; or one person racks while
/// another rinses what the first will dip. A sequence says that only if the piece is cut there. It then has more pieces,
/// and times are worked out anew more often, because what has to follow at once is placed by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cuts {
    /// Only where a phase may come more than [`TOGETHER_S`] after the one before it.
    Few,
    /// Also where a phase begins to occupy a room, and where somebody begins it: no better plan is left out.
    Many,
}

/// What already happened of a phase.
#[derive(Clone)]
pub struct Past {
    pub start: Time,
    pub end: Time,
    pub people: Vec<usize>,
    pub bays: Vec<u32>,
}

/// The problem laid out.
pub struct Model {
    /// The problem with its loads as tasks.
    pub problem: Problem,
    pub acts: Vec<Act>,
    /// `first[task]..first[task + 1]` are the acts of a task.
    pub first: Vec<usize>,
    /// In the order of their acts.
    pub pieces: Vec<Piece>,
    /// `first_piece[task]..first_piece[task + 1]` are the pieces of a task.
    pub first_piece: Vec<usize>,
    /// For each side the pieces whose begin ends its service.
    pub ends_service: Vec<Vec<usize>>,
    pub past: Vec<Option<Past>>,
    pub now: Time,
    pub deadline: Time,
}

impl Model {
    /// Lays out a problem without wash work (`Problem::with_loads` has been applied).
    pub fn new(problem: Problem) -> Self {
        Self::with_cuts(problem, Cuts::Few)
    }

    /// The same with more pieces.
    pub fn with_cuts(problem: Problem, cuts: Cuts) -> Self {
        let mut acts = Vec::new();
        let mut first = vec![0];
        for (task, what) in problem.tasks.iter().enumerate() {
            for phase in 0..what.phases.len() {
                acts.push(act(&problem, task, phase));
            }
            keep_crews_able(&mut acts[first[task]..]);
            for act in &mut acts[first[task]..] {
                act.shortest = act.shortest_of();
            }
            first.push(acts.len());
        }
        let mut past = vec![None; acts.len()];
        for done in &problem.done {
            past[first[done.task] + done.phase] = Some(Past {
                start: Time::from(done.start_s),
                end: Time::from(done.end_s),
                people: done.people.clone(),
                bays: done.bays.clone(),
            });
        }
        let (pieces, first_piece) = pieces(&problem, &acts, cuts);
        let mut model = Self {
            now: Time::from(problem.now_s),
            deadline: problem.deadline_s.map_or(NEVER, Time::from),
            ends_service: vec![Vec::new(); problem.sides.len()],
            acts,
            first,
            pieces,
            first_piece,
            past,
            problem,
        };
        for (task, what) in model.problem.tasks.iter().enumerate() {
            if let Some(side) = what.side.filter(|_| what.ends_service) {
                model.ends_service[side].push(model.first_piece[task]);
            }
        }
        model.hold();
        model.link();
        model.order();
        model
    }

    /// The acts of a task.
    pub fn acts_of(&self, task: usize) -> Range<usize> {
        self.first[task]..self.first[task + 1]
    }

    /// Whether [`Cuts::Many`] is worth its price: where anybody can leave a room at the instant at which they go on with
    /// what takes it, with nothing to walk between the two.
    pub fn gains_by_cuts(&self) -> bool {
        let uses = || {
            self.problem
                .tasks
                .iter()
                .enumerate()
                .flat_map(|(task, what)| what.rooms.iter().map(move |used| (task, used)))
        };
        let place = |task: usize, phase: usize| self.acts_of(task).nth(phase).map(|act| self.acts[act].place);
        let comes_from = |&(task, used): &(usize, &ft_night::RoomUse)| {
            let act = self.first[task] + used.from_phase;
            (used.from_phase > 0 && self.acts[act].late <= TOGETHER_S)
                .then(|| (used.room, self.acts[act - 1].place))
        };
        uses().filter_map(|one| comes_from(&one)).any(|(room, here)| {
            let leaves = uses().filter(|(_, used)| used.room == room);
            leaves
                .filter_map(|(task, used)| place(task, used.to_phase + 1))
                .any(|there| self.problem.walk(here, there) == 0)
        })
    }

    /// The piece with which a task begins or ends.
    pub fn piece_at(&self, point: Point) -> usize {
        match point.edge {
            Edge::Begin => self.first_piece[point.task],
            Edge::End => self.first_piece[point.task + 1] - 1,
        }
    }

    /// Whether every phase of the task has begun.
    pub fn is_past(&self, task: usize) -> bool {
        self.acts_of(task).all(|act| self.past[act].is_some())
    }

    /// Whether a piece has begun.
    pub fn has_begun(&self, piece: usize) -> bool {
        self.past[self.pieces[piece].acts.start].is_some()
    }

    /// Whether a hold asks for more than there is: it can be kept only by giving back at the instant of taking.
    pub fn is_instant(problem: &Problem, hold: &Hold) -> bool {
        hold.from_task != hold.to_task && hold.count > problem.kit[hold.kit].count
    }

    fn hold(&mut self) {
        for (index, hold) in self.problem.holds.iter().enumerate() {
            if !Self::is_instant(&self.problem, hold) {
                let (from, to) = (Point::begin(hold.from_task), Point::end(hold.to_task));
                let (from, to) = (self.piece_at(from), self.piece_at(to));
                self.pieces[from].takes.push(index);
                self.pieces[to].gives.push(index);
            }
        }
    }

    fn link(&mut self) {
        let add = |pieces: &mut Vec<Piece>, from: (usize, Edge), to: (usize, Edge), least, most: Time| {
            let link = |other: (usize, Edge), here, least, most| Link {
                other: other.0,
                here,
                there: other.1,
                least,
                most,
            };
            pieces[to.0].links.push(link(from, to.1, least, most));
            let back = if most >= NEVER { -NEVER } else { -most };
            pieces[from.0].links.push(link(to, from.1, back, -least));
        };
        let mut pieces = std::mem::take(&mut self.pieces);
        let first_piece = &self.first_piece;
        let at = |point: Point| match point.edge {
            Edge::Begin => (first_piece[point.task], Edge::Begin),
            Edge::End => (first_piece[point.task + 1] - 1, Edge::End),
        };
        for lag in &self.problem.lags {
            add(&mut pieces, at(lag.from), at(lag.to), lag.min_s, lag.max_s.unwrap_or(NEVER));
        }
        // Kit comes back after it was taken.
        for hold in self.problem.holds.iter().filter(|hold| hold.from_task != hold.to_task) {
            let most = if Self::is_instant(&self.problem, hold) { 0 } else { NEVER };
            add(&mut pieces, at(Point::begin(hold.from_task)), at(Point::end(hold.to_task)), 0, most);
        }
        self.pieces = pieces;
    }

    /// Which pieces are placed only after which: along the task, along lags that do not allow the other order, and
    /// from taker to giver of kit. An edge that would close a circle is left out; placing then looks both ways.
    fn order(&mut self) {
        let mut edges = Vec::new();
        for pieces in self.first_piece.windows(2) {
            edges.extend((pieces[0] + 1..pieces[1]).map(|piece| (piece - 1, piece)));
        }
        for lag in self.problem.lags.iter().filter(|lag| lag.min_s >= 0) {
            edges.push((self.piece_at(lag.from), self.piece_at(lag.to)));
        }
        for hold in &self.problem.holds {
            let (from, to) = (Point::begin(hold.from_task), Point::end(hold.to_task));
            edges.push((self.piece_at(from), self.piece_at(to)));
        }
        for (from, to) in edges {
            let known = self.pieces[from].followers.contains(&to);
            if from != to && !known && !reaches(&self.pieces, to, from) {
                self.pieces[from].followers.push(to);
                self.pieces[to].waits_for += 1;
            }
        }
    }
}

/// Cuts every task into its pieces; second, where those of each task begin.
fn pieces(problem: &Problem, acts: &[Act], cuts: Cuts) -> (Vec<Piece>, Vec<usize>) {
    let mut pieces: Vec<Piece> = Vec::new();
    let mut first_piece = Vec::new();
    for (index, act) in acts.iter().enumerate() {
        if act.phase == 0 {
            first_piece.push(pieces.len());
        }
        let is_cut = cuts == Cuts::Many && (act.people > 0 || !act.rooms.is_empty());
        if act.phase == 0 || TOGETHER_S < act.late || is_cut {
            pieces.push(Piece { task: act.task, acts: index..index, ..Piece::default() });
        }
        let piece = pieces.last_mut().expect("the first phase has opened one");
        piece.acts.end = index + 1;
        let task = &problem.tasks[act.task];
        for (position, used) in task.rooms.iter().enumerate() {
            if used.from_phase == act.phase {
                piece.opens.push(position);
            }
            // Things stay until the next phase begins, or the task ends.
            if used.to_phase + 1 == act.phase
                || used.to_phase == act.phase && act.phase + 1 == task.phases.len()
            {
                piece.closes.push(position);
            }
        }
    }
    first_piece.push(pieces.len());
    (pieces, first_piece)
}

/// Those who begin must be able to do every phase for which they stay.
fn keep_crews_able(acts: &mut [Act]) {
    for index in (1..acts.len()).rev() {
        if acts[index].same_people && acts[index].people > 0 {
            let able = acts[index].able.clone();
            if let Some(before) = acts[..index].iter_mut().rev().find(|act| act.people > 0) {
                before.able.retain(|person| able.contains(person));
            }
        }
    }
}

fn act(problem: &Problem, task: usize, phase: usize) -> Act {
    let what = &problem.tasks[task].phases[phase];
    let length = if what.people == 0 {
        vec![Time::from(what.hands_s) + Time::from(what.wait_s)]
    } else {
        problem
            .people
            .iter()
            .map(|person| Time::from(person.paced(what.hands_s)) + Time::from(what.wait_s))
            .collect()
    };
    let can = |person: &usize| what.skill.is_none_or(|skill| problem.people[*person].skills.contains(&skill));
    let rooms = problem.tasks[task].rooms.iter().enumerate().filter(|(_, used)| used.from_phase == phase);
    Act {
        task,
        phase,
        people: what.people as usize,
        place: what.place,
        length,
        able: (0..problem.people.len()).filter(can).collect(),
        late: if phase == 0 { NEVER } else { what.late_s.map_or(NEVER, Time::from) },
        same_people: what.same_people,
        shortest: 0,
        share: None,
        shares_room: false,
        rooms: rooms.map(|(index, _)| index).collect(),
    }
}

fn reaches(pieces: &[Piece], from: usize, to: usize) -> bool {
    let mut seen = vec![false; pieces.len()];
    let mut open = vec![from];
    while let Some(piece) = open.pop() {
        if piece == to {
            return true;
        }
        if !std::mem::replace(&mut seen[piece], true) {
            open.extend(&pieces[piece].followers);
        }
    }
    false
}
