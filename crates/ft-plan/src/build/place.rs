//! Finds the earliest times of one piece, given everything placed before.

use ft_night::Edge;

use crate::build::day::Stay;
use crate::build::{Night, Stuck};
use crate::model::{Link, NEVER, Time};

/// Attempts to find times that lags, rooms and kit all accept; each attempt begins later than the one before.
const ATTEMPTS: usize = 400;

impl Night<'_> {
    /// Places a piece, or says why not.
    pub fn place(&mut self, piece: usize, favour: Option<usize>) -> Result<(), Stuck> {
        let acts = self.model.pieces[piece].acts.clone();
        let mut low = [self.model.now; 8];
        let mut many = Vec::new();
        let low = if acts.len() <= low.len() {
            &mut low[..acts.len()]
        } else {
            many.resize(acts.len(), self.model.now);
            &mut many[..]
        };
        self.lows(piece, low);
        for _ in 0..ATTEMPTS {
            self.line_up(piece, low, favour)?;
            let objection = match self.objection(piece) {
                None => {
                    if let Err(stuck) = self.limits(piece) {
                        self.lift(piece);
                        return Err(stuck);
                    }
                    match self.settle(piece) {
                        Ok(()) => return Ok(()),
                        Err(objection) => objection,
                    }
                }
                Some(objection) => objection,
            };
            let (act, at) = objection;
            self.lift(piece);
            self.broken.retain(|&(other, _)| other != piece);
            if at >= NEVER {
                return Err(Stuck::Never);
            }
            let low = &mut low[act - acts.start];
            *low = at.max(*low);
        }
        Err(Stuck::Never)
    }

    /// The earliest begin of each phase as far as lags, release and pushes say.
    fn lows(&self, piece: usize, low: &mut [Time]) {
        let what = &self.model.pieces[piece];
        let task = &self.model.problem.tasks[what.task];
        low[0] = low[0].max(Time::from(task.release_s)).max(self.pushed[piece]);
        if let Some(side) = task.side.filter(|_| task.ends_service) {
            low[0] = low[0].max(Time::from(self.model.problem.sides[side].serves_until_s));
        }
        let last = low.len() - 1;
        let shortest = self.model.acts[what.acts.end - 1].shortest;
        for link in &what.links {
            if self.placed[link.other] && link.other != piece && link.least > -NEVER {
                let at = self.at(link) + link.least;
                match link.here {
                    Edge::Begin => low[0] = low[0].max(at),
                    Edge::End => low[last] = low[last].max(at - shortest),
                }
            }
        }
    }

    /// When the other end of a lag is.
    fn at(&self, link: &Link) -> Time {
        let acts = &self.model.pieces[link.other].acts;
        match link.there {
            Edge::Begin => self.start[acts.start],
            Edge::End => self.end[acts.end - 1],
        }
    }

    /// Finds people and times for the phases of a piece, one after the other.
    fn line_up(&mut self, piece: usize, low: &[Time], favour: Option<usize>) -> Result<(), Stuck> {
        let acts = self.model.pieces[piece].acts.clone();
        let begin = acts.start - self.model.acts[acts.start].phase;
        let mut at = if acts.start > begin { self.end[acts.start - 1] } else { 0 };
        let mut last_crew =
            self.crew[begin..acts.start].iter().rev().copied().find(|&crew| crew != 0).unwrap_or(0);
        for act in acts.clone() {
            if self.model.past[act].is_none() {
                let earliest = at.max(low[act - acts.start]);
                let found = if self.model.acts[act].people == 0 {
                    Some((earliest, 0))
                } else if self.model.acts[act].same_people && last_crew != 0 {
                    self.meet(act, last_crew, earliest).map(|(start, _)| (start, last_crew))
                } else {
                    self.choose(act, earliest, favour)
                };
                let Some((start, crew)) = found else {
                    self.lift(piece);
                    return Err(Stuck::Never);
                };
                self.seat(act, start, crew);
            }
            if self.crew[act] != 0 {
                last_crew = self.crew[act];
            }
            at = self.end[act];
        }
        Ok(())
    }

    /// What makes the times just found impossible: the phase that has to begin later, and from when on it could.
    fn objection(&self, piece: usize) -> Option<(usize, Time)> {
        let what = &self.model.pieces[piece];
        let acts = what.acts.clone();
        for act in acts.clone().skip(1) {
            let late = self.model.acts[act].late;
            let wait = self.start[act] - self.end[act - 1];
            if late < NEVER && wait > late && self.model.past[act - 1].is_none() {
                let length = self.end[act - 1] - self.start[act - 1];
                return Some((act - 1, self.start[act] - late - length));
            }
        }
        let (first, last) = (acts.start, acts.end - 1);
        let (begin, end) = (self.start[first], self.end[last]);
        for link in &what.links {
            let known = link.least > -NEVER && (self.placed[link.other] || link.other == piece);
            if known && link.here == Edge::End && end < self.at(link) + link.least {
                return Some((last, self.at(link) + link.least - (end - self.start[last])));
            }
        }
        if self.model.past[first].is_some() {
            return None;
        }
        if let Some(at) = self.service_objection(piece, begin) {
            return Some((first, at));
        }
        for &hold in &what.takes {
            let held = &self.model.problem.holds[hold];
            let giver = self.model.first_piece[held.to_task + 1] - 1;
            let length = if giver == piece {
                Some(end - begin)
            } else if self.placed[giver] {
                Some((self.end[self.model.pieces[giver].acts.end - 1] - begin).max(0))
            } else {
                None
            };
            let of = self.model.problem.kit[held.kit].count;
            let at = self.pools[held.kit].free_from(begin, length, self.kit_need(piece, hold), of);
            if at > begin {
                return Some((first, at));
            }
        }
        None
    }

    /// When a side may stop at the earliest, if `begin` is too early for it.
    fn service_objection(&self, piece: usize, begin: Time) -> Option<Time> {
        let model = self.model;
        let what = &model.problem.tasks[model.pieces[piece].task];
        let side = what
            .side
            .filter(|_| what.ends_service && model.acts[model.pieces[piece].acts.start].phase == 0)?;
        let sides = &model.problem.sides;
        for rule in model.problem.serving.iter().filter(|rule| rule.machine == sides[side].machine) {
            let until = Time::from(rule.until_s);
            if begin >= until {
                continue;
            }
            let of_machine = (0..sides.len()).filter(|&other| sides[other].machine == rule.machine);
            let all = of_machine.clone().count();
            let stopped =
                of_machine.filter(|&other| other != side && self.stops_before(other, until)).count();
            if !self.stops_before(side, until) && stopped + 1 + rule.keep as usize > all {
                return Some(until);
            }
        }
        None
    }

    fn stops_before(&self, side: usize, until: Time) -> bool {
        let model = self.model;
        model.ends_service[side].iter().any(|&piece| {
            (self.placed[piece] || model.has_begun(piece))
                && self.start[model.pieces[piece].acts.start] < until
        })
    }

    /// Whether the times keep every maximum; asks for a push where that may help, else counts the fault.
    fn limits(&mut self, piece: usize) -> Result<(), Stuck> {
        let model = self.model;
        let what = &model.pieces[piece];
        let acts = what.acts.clone();
        let (begin, end) = (self.start[acts.start], self.end[acts.end - 1]);
        let mut fault = 0;
        let mut over = |other: usize, by: Time, may_push: bool| {
            if may_push {
                return Err(Stuck::Push { other, by });
            }
            fault += by;
            Ok(())
        };
        for link in &what.links {
            if link.most >= NEVER || !(self.placed[link.other] || link.other == piece) {
                continue;
            }
            let here = if link.here == Edge::Begin { begin } else { end };
            let limit = self.at(link) + link.most;
            if limit < here {
                let may_push = link.other != piece && !model.has_begun(link.other) && self.pushes_left > 0;
                over(link.other, here - limit, may_push)?;
            }
        }
        for act in acts.clone() {
            let late = model.acts[act].late;
            if late >= NEVER || model.past[act].is_some() {
                continue;
            }
            let by = self.start[act] - self.end[act - 1] - late;
            if by > 0 {
                let may_push = act == acts.start && !model.has_begun(piece - 1) && self.pushes_left > 0;
                over(piece - 1, by, may_push)?;
            }
        }
        if acts.end == model.first[what.task + 1] {
            let due = model.problem.tasks[what.task].due_s.map_or(NEVER, Time::from);
            fault += (end - due.min(model.deadline)).max(0);
        }
        if fault > 0 {
            self.broken.push((piece, fault));
        }
        Ok(())
    }

    /// Puts the piece's things into bays and kit; else the phase that has to begin later, and when.
    fn settle(&mut self, piece: usize) -> Result<(), (usize, Time)> {
        let model = self.model;
        let what = &model.pieces[piece];
        let first = model.first[what.task];
        let last = model.first[what.task + 1] - 1;
        let uses = &model.problem.tasks[what.task].rooms;
        for &index in &what.opens {
            let used = &uses[index];
            let begins = first + used.from_phase;
            if model.past[begins].is_some() {
                continue;
            }
            let next = first + used.to_phase + 1;
            let to = if !what.closes.contains(&index) {
                NEVER
            } else if next <= last {
                self.start[next]
            } else {
                self.end[last]
            };
            let stay = Stay {
                from: self.start[begins],
                to,
                units: used.units,
                class: used.class,
                task: what.task,
                used: index,
            };
            let capacity = model.problem.rooms[used.room].units;
            let mut later = NEVER;
            let mut found = None;
            for (number, bay) in self.rooms[used.room].iter().enumerate() {
                match bay.clash(&stay, capacity) {
                    None => {
                        found = Some(number);
                        break;
                    }
                    Some(at) => later = later.min(at),
                }
            }
            let Some(number) = found else {
                self.clear_rooms(piece);
                return Err((begins, later));
            };
            self.bays[what.task][index] = number as u32;
            self.rooms[used.room][number].stays.push(stay);
        }
        for &index in &what.closes {
            let next = first + uses[index].to_phase + 1;
            let to = if next <= last { self.start[next] } else { self.end[last] };
            self.leave(what.task, index, to);
        }
        if model.past[what.acts.start].is_none() {
            for &hold in &what.takes {
                let giver = model.first_piece[model.problem.holds[hold].to_task + 1] - 1;
                let to = if self.placed[giver] { self.end[model.pieces[giver].acts.end - 1] } else { NEVER };
                self.take(hold, self.start[what.acts.start], to);
            }
        }
        for &hold in &what.gives {
            self.give(hold, self.end[last]);
        }
        Ok(())
    }
}
