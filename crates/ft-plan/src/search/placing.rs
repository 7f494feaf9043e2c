//! Finds the times of one piece after everything that was placed before it.

use ft_night::Edge;

use crate::build::{Crew, NO_PLACE, members};
use crate::model::{NEVER, Time};
use crate::search::sequence::Sequence;
use crate::search::state::{State, Waits, Wishes};
use crate::search::store::Held;
use crate::search::timing::{Parked, Timing};

impl Timing<'_> {
    /// Finds times for the acts of a piece, one after the other.
    pub fn line_up(&mut self, piece: usize, sequence: &Sequence) -> Result<(), Parked> {
        let frame = self.frame;
        let model = &frame.model;
        let what = &model.pieces[piece];
        let items = self.frame.load(what.task).map_or(0, |load| self.items[load].len());
        let mut at =
            if what.acts.start > model.first[what.task] { self.state.end[what.acts.start - 1] } else { 0 };
        for act in what.acts.clone() {
            if model.past[act].is_none() {
                let begin = at.max(self.trial.low[act - what.acts.start]);
                let crew = self.crew_of(act, sequence);
                let begin = self.begin(piece, act, crew, begin)?;
                self.seat(piece, act, crew, begin, items);
            }
            at = self.state.end[act];
        }
        Ok(())
    }

    /// Who does an act: those who did the one before, where they stay.
    fn crew_of(&self, act: usize, sequence: &Sequence) -> Crew {
        let what = &self.frame.model.acts[act];
        if what.people == 0 {
            return 0;
        }
        let before = if what.same_people { act - what.phase..act } else { act..act };
        before.rev().map(|act| self.state.crew[act]).find(|&crew| crew != 0).unwrap_or(sequence.crew[act])
    }

    /// The first instant from `at` on at which people, bays and kit are free.
    fn begin(&mut self, piece: usize, act: usize, crew: Crew, at: Time) -> Result<Time, Parked> {
        let frame = self.frame;
        let model = &frame.model;
        let what = &model.acts[act];
        let mut begin = at;
        for person in members(crew) {
            let hand = &self.state.front.hands[person];
            let there = hand.free + hand.walk(self.frame, what.place);
            if there > begin {
                begin = there;
                if let Some(other) = hand.piece.filter(|&other| other != piece) {
                    self.trial.waits = Waits::Turn(other);
                }
            }
        }
        // What leaves when the act begins makes room for what comes.
        let uses = &model.problem.tasks[what.task].rooms;
        for &used in &model.pieces[piece].closes {
            if uses[used].to_phase + 1 == what.phase {
                self.leave(what.task, used, begin, piece);
            }
        }
        let mut found = std::mem::take(&mut self.trial.bays);
        found.clear();
        found.resize(what.rooms.len(), 0);
        loop {
            let before = begin;
            for (&used, found) in what.rooms.iter().zip(&mut found) {
                let (at, bay, by) = self.bay_for(what.task, used, begin)?;
                *found = bay;
                self.turn(&mut begin, at, by, piece);
            }
            if act == model.pieces[piece].acts.start {
                for &hold in &model.pieces[piece].takes {
                    let kit = model.problem.holds[hold].kit;
                    let (need, of) = (self.kit_need(piece, hold), model.problem.kit[kit].count);
                    let (at, by) = self.state.front.pools[kit].fits(begin, need, None, of).ok_or(Parked)?;
                    self.turn(&mut begin, at, by, piece);
                }
            }
            if begin == before {
                break;
            }
        }
        for (&used, &bay) in what.rooms.iter().zip(&found) {
            let room = uses[used].room;
            let held = Held {
                to: NEVER,
                amount: self.amount(what.task, used),
                class: uses[used].class,
                key: (what.task, used),
                by: piece,
            };
            self.state.front.bays[room][bay].held.push(held);
            self.state.bay[what.task][used] = bay as u32;
            self.trial.stays.push((room, bay, begin));
        }
        self.trial.bays = found;
        Ok(begin)
    }

    fn turn(&mut self, begin: &mut Time, at: Time, by: Option<usize>, piece: usize) {
        if at > *begin {
            *begin = at;
            if let Some(by) = by.filter(|&by| by != piece) {
                self.trial.waits = Waits::Turn(by);
            }
        }
    }

    /// How much of a bay a room use takes.
    fn amount(&self, task: usize, used: usize) -> u32 {
        match self.frame.load(task) {
            Some(load) => self.units[load],
            None => self.frame.model.problem.tasks[task].rooms[used].units,
        }
    }

    /// The bay in which a room use may begin first: from when, which, and who has to leave it before.
    fn bay_for(&self, task: usize, used: usize, at: Time) -> Result<(Time, usize, Option<usize>), Parked> {
        let problem = &self.frame.model.problem;
        let (what, amount) = (&problem.tasks[task].rooms[used], self.amount(task, used));
        let capacity = problem.rooms[what.room].units;
        let mut best: Option<(Time, usize, Option<usize>)> = None;
        for (bay, store) in self.state.front.bays[what.room].iter().enumerate() {
            if let Some((from, by)) = store.fits(at, amount, what.class, capacity)
                && best.is_none_or(|(least, ..)| from < least)
            {
                best = Some((from, bay, by));
            }
        }
        best.ok_or(Parked)
    }

    /// How many of one pool a piece takes, counting its holds up to this one.
    fn kit_need(&self, piece: usize, hold: usize) -> u32 {
        let (model, holds) = (&self.frame.model, &self.frame.model.problem.holds);
        let takes = model.pieces[piece].takes.iter();
        let same = takes.filter(|&&other| other <= hold && holds[other].kit == holds[hold].kit);
        same.map(|&other| holds[other].count).sum()
    }

    fn seat(&mut self, piece: usize, act: usize, crew: Crew, begin: Time, items: usize) {
        let (frame, model) = (self.frame, &self.frame.model);
        let what = &model.acts[act];
        let length = if what.people == 0 {
            frame.length(act, 0, items)
        } else {
            members(crew).map(|person| frame.length(act, person, items)).max().unwrap_or(0)
        };
        let end = begin + length;
        self.state.start[act] = begin;
        self.state.end[act] = end;
        self.state.crew[act] = crew;
        if (crew.count_ones() as usize) < what.people {
            self.trial.late += NO_PLACE;
        }
        for person in members(crew) {
            let who = &model.problem.people[person];
            let hand = &mut self.state.front.hands[person];
            self.trial.hands.push((person, *hand));
            hand.walk_to(frame, what.place, &mut self.trial.wishes);
            hand.does(frame, act, who.keeps_side, &mut self.trial.wishes);
            (hand.free, hand.piece) = (end, Some(piece));
            self.trial.wishes.attended += length;
            self.trial.late += who.to_s.map_or(0, |to| end - Time::from(to)).max(0);
        }
    }

    /// Says until when a stay lasts.
    fn leave(&mut self, task: usize, used: usize, to: Time, by: usize) {
        let room = self.frame.model.problem.tasks[task].rooms[used].room;
        let bay = self.state.bay[task][used] as usize;
        if let Some(store) = self.state.front.bays[room].get_mut(bay) {
            store.leave((task, used), to, by);
        }
    }

    /// The act with whose begin a stay ends, or which it outlasts.
    fn leaves_at(&self, task: usize, used: usize) -> (usize, bool) {
        let model = &self.frame.model;
        let next = model.first[task] + model.problem.tasks[task].rooms[used].to_phase + 1;
        if next < model.first[task + 1] { (next, true) } else { (next - 1, false) }
    }

    /// Takes back what [`Self::line_up`] has done.
    pub fn undo(&mut self, piece: usize) {
        while let Some((person, hand)) = self.trial.hands.pop() {
            self.state.front.hands[person] = hand;
        }
        while let Some((room, bay, _)) = self.trial.stays.pop() {
            self.state.front.bays[room][bay].held.pop();
        }
        let frame = self.frame;
        let model = &frame.model;
        let what = &model.pieces[piece];
        for &used in &what.closes {
            if model.past[self.leaves_at(what.task, used).0].is_none() {
                self.leave(what.task, used, NEVER, piece);
            }
        }
        for act in what.acts.clone().filter(|&act| self.frame.model.past[act].is_none()) {
            self.state.crew[act] = 0;
        }
        self.trial.wishes = Wishes::default();
        self.trial.late = 0;
    }

    /// What makes the times just found impossible: the act that has to begin later, and from when on it could.
    pub fn objection(&self, piece: usize) -> Option<(usize, Time)> {
        let (model, state) = (&self.frame.model, &self.state);
        let what = &model.pieces[piece];
        for act in what.acts.clone().skip(1) {
            let late = model.acts[act].late;
            if late < NEVER && state.start[act] - state.end[act - 1] > late && model.past[act - 1].is_none() {
                let length = state.end[act - 1] - state.start[act - 1];
                return Some((act - 1, state.start[act] - late - length));
            }
        }
        let (first, last) = (what.acts.start, what.acts.end - 1);
        for link in what.links.iter().filter(|link| link.here == Edge::End && link.least > -NEVER) {
            let known = state.front.placed[link.other] || link.other == piece;
            if known && state.end[last] < self.at(link) + link.least && model.past[last].is_none() {
                return Some((last, self.at(link) + link.least - (state.end[last] - state.start[last])));
            }
        }
        if model.past[first].is_some() {
            return None;
        }
        self.service_objection(piece, state.start[first]).map(|at| (first, at))
    }

    /// When a side may stop at the earliest, if `begin` is too early for it.
    fn service_objection(&self, piece: usize, begin: Time) -> Option<Time> {
        let problem = &self.frame.model.problem;
        let side = self.stopping_side(piece)?;
        let stops_before = |side: usize, until: Time| self.state.front.stops[side] < until;
        for rule in problem.serving.iter().filter(|rule| rule.machine == problem.sides[side].machine) {
            let until = Time::from(rule.until_s);
            if begin >= until || stops_before(side, until) {
                continue;
            }
            let of_machine =
                || (0..problem.sides.len()).filter(|&other| problem.sides[other].machine == rule.machine);
            let stopped = of_machine().filter(|&other| stops_before(other, until)).count();
            if stopped + 1 + rule.keep as usize > of_machine().count() {
                return Some(until);
            }
        }
        None
    }

    /// The side that a piece takes out of service.
    fn stopping_side(&self, piece: usize) -> Option<usize> {
        let model = &self.frame.model;
        let what = &model.pieces[piece];
        let task = &model.problem.tasks[what.task];
        task.side.filter(|_| task.ends_service && model.first[what.task] == what.acts.start)
    }

    /// Counts what comes too late; asks for a later begin of what comes too early for it.
    pub fn limits(&mut self, piece: usize) {
        let (frame, model, state) = (self.frame, &self.frame.model, &self.state);
        let what = &model.pieces[piece];
        let (begin, end) = (state.start[what.acts.start], state.end[what.acts.end - 1]);
        let mut fault = 0;
        let raises = &mut self.raises;
        let mut over = |other: usize, by: Time| {
            if by > 0 && other != piece && !model.has_begun(other) {
                raises.push((other, state.start[model.pieces[other].acts.start] + by));
            } else {
                fault += by.max(0);
            }
        };
        for link in what.links.iter().filter(|link| link.most < NEVER) {
            if state.front.placed[link.other] || link.other == piece {
                let here = if link.here == Edge::Begin { begin } else { end };
                let there = match link.there {
                    Edge::Begin => state.start[model.pieces[link.other].acts.start],
                    Edge::End => state.end[model.pieces[link.other].acts.end - 1],
                };
                over(link.other, here - there - link.most);
            }
        }
        // Within the piece the begins have been drawn together, but for what follows a phase that has already been.
        for act in what.acts.clone().filter(|&act| model.acts[act].late < NEVER && model.past[act].is_none())
        {
            let other = if act == what.acts.start { piece - 1 } else { piece };
            over(other, state.start[act] - state.end[act - 1] - model.acts[act].late);
        }
        if let Some(load) = frame.load(what.task).filter(|_| model.first[what.task] == what.acts.start) {
            for item in self.items[load].iter().map(|&item| &frame.items[item]) {
                for &after in item.within_s.iter().flat_map(|_| &item.after) {
                    let within = Time::from(item.within_s.unwrap_or(u32::MAX));
                    over(frame.last_piece(after), begin - state.end[model.first[after + 1] - 1] - within);
                }
            }
        }
        if what.acts.end == model.first[what.task + 1] {
            let due = model.problem.tasks[what.task].due_s.map_or(NEVER, Time::from);
            fault += (end - due.min(model.deadline)).max(0);
        }
        self.trial.late += fault;
    }

    /// Keeps the times just found.
    pub fn commit(&mut self, piece: usize) {
        let frame = self.frame;
        let model = &frame.model;
        let what = &model.pieces[piece];
        self.state.front.fault += self.trial.late;
        self.state.front.wishes.add(self.trial.wishes);
        for (room, bay, from) in self.trial.stays.drain(..) {
            let store = &mut self.state.front.bays[room][bay];
            store.from = store.from.max(from);
        }
        self.trial.hands.clear();
        self.trial.wishes = Wishes::default();
        self.trial.late = 0;
        for &used in &what.closes {
            let (act, by_begin) = self.leaves_at(what.task, used);
            let to = if by_begin { self.state.start[act] } else { self.state.end[act] };
            self.leave(what.task, used, to, piece);
        }
        let end_of = |state: &State, task: usize| state.end[model.first[task + 1] - 1];
        self.state.front.placed[piece] = true;
        if model.past[what.acts.start].is_none() {
            let begin = self.state.start[what.acts.start];
            for &hold in &what.takes {
                let held = &model.problem.holds[hold];
                let giver = frame.last_piece(held.to_task);
                let to =
                    if self.state.front.placed[giver] { end_of(&self.state, held.to_task) } else { NEVER };
                let pool = &mut self.state.front.pools[held.kit];
                pool.held.push(Held { to, amount: held.count, class: None, key: (hold, 0), by: giver });
                pool.from = pool.from.max(begin);
            }
        }
        for &hold in &what.gives {
            let to = self.state.end[what.acts.end - 1];
            self.state.front.pools[model.problem.holds[hold].kit].leave((hold, 0), to, piece);
        }
        if let Some(side) = self.stopping_side(piece) {
            let begin = self.state.start[what.acts.start];
            self.state.front.stops[side] = self.state.front.stops[side].min(begin);
        }
        let last = what.acts.end - 1;
        self.state.front.least_end = self.state.front.least_end.max(self.state.end[last] + frame.after[last]);
        if self.state.end[last] > self.state.front.last.0 {
            self.state.front.last = (self.state.end[last], Some(piece));
        }
        self.state.waits[piece] = self.trial.waits;
        self.state.log.push(piece);
    }
}
