//! Builds one schedule from an order of the tasks: each in turn as early as everything placed before allows.
//!
//! Serial schedule generation with gap insertion. Where a maximum lag cannot be kept because its later end comes too
//! late, its earlier end is pushed back, and everything placed since is placed anew. What still cannot be kept is
//! placed all the same and counted as fault, so that search has a slope to go down.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use ft_night::Edge;

use crate::day::{Bay, Busy, Day, Pool, Stay, Taken};
use crate::model::{Link, Model, NEVER, Time};

/// What the search decides: who comes first, and who should do it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Genes {
    /// Place in the queue of each task; lower is placed earlier. All different.
    pub rank: Vec<usize>,
    /// Who does the attended phases of each task, if the search has a wish.
    pub favour: Vec<Option<usize>>,
}

/// People as a set of bits.
pub type Crew = u64;

/// The people of a crew, ascending.
pub fn members(crew: Crew) -> impl Iterator<Item = usize> {
    (0..64).filter(move |person| crew >> person & 1 == 1)
}

/// A schedule being built.
#[derive(Clone)]
pub struct Night<'m> {
    pub model: &'m Model<'m>,
    pub start: Vec<Time>,
    pub end: Vec<Time>,
    pub crew: Vec<Crew>,
    /// The bay of each room use of each task.
    pub bays: Vec<Vec<u32>>,
    /// Seconds by which rules are broken; 0: a plan.
    pub fault: Time,
    /// The rules that are, and by how much: task and seconds.
    pub broken: Vec<(usize, Time)>,
    placed: Vec<bool>,
    pushed: Vec<Time>,
    pushes_left: usize,
    log: Vec<usize>,
    days: Vec<Day>,
    rooms: Vec<Vec<Bay>>,
    pools: Vec<Pool>,
}

/// Counted for each task that finds no place at all.
pub const NO_PLACE: Time = 1_000_000;

/// Why a task could not be placed as it should.
enum Stuck {
    /// The other task of a maximum lag should come later by so much; its link's limit.
    Push { other: usize, by: Time },
    /// Nobody can do it, or there is never room.
    Never,
}

impl<'m> Night<'m> {
    /// Builds the schedule of these genes.
    pub fn build(model: &'m Model<'m>, genes: &Genes) -> Self {
        let mut night = Self::history(model);
        night.place_all(genes);
        night
    }

    /// The night with nothing but what already happened.
    fn history(model: &'m Model<'m>) -> Self {
        let problem = model.problem;
        let acts = model.acts.len();
        let day = |person: &ft_night::Person| Day {
            busy: Vec::with_capacity(acts),
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
            placed: vec![false; model.tasks()],
            pushed: vec![0; model.tasks()],
            pushes_left: 20 + 2 * model.tasks(),
            log: Vec::with_capacity(model.tasks()),
            days: problem.people.iter().map(day).collect(),
            rooms: problem.rooms.iter().map(|room| vec![Bay::default(); room.bays as usize]).collect(),
            pools: vec![Pool::default(); problem.kit.len()],
        };
        for task in 0..model.tasks() {
            night.recall(task);
        }
        night
    }

    /// Enters what already happened of a task.
    fn recall(&mut self, task: usize) {
        let model = self.model;
        let first = model.first[task];
        for act in model.acts_of(task) {
            let Some(past) = &model.past[act] else { continue };
            (self.start[act], self.end[act]) = (past.start, past.end);
            for &person in &past.people {
                self.crew[act] |= 1 << person;
                self.days[person].insert(Busy {
                    start: past.start,
                    end: past.end,
                    place: model.acts[act].place,
                    act,
                });
            }
            for (position, &used) in model.acts[act].rooms.iter().enumerate() {
                let bay = past.bays.get(position).copied().unwrap_or(0);
                self.bays[task][used] = bay;
                let until = first + model.problem.tasks[task].rooms[used].to_phase + 1;
                let to = match model.past.get(until).filter(|_| until < model.first[task + 1]) {
                    Some(Some(next)) => next.start,
                    None if model.is_past(task) => {
                        model.past[model.first[task + 1] - 1].as_ref().map_or(NEVER, |last| last.end)
                    }
                    Some(None) | None => NEVER,
                };
                self.stay(task, used, bay, past.start, to);
            }
        }
        if model.past[first].is_some() {
            for &hold in &model.takes[task] {
                let giver = model.problem.holds[hold].to_task;
                let last = model.past[model.first[giver + 1] - 1].as_ref();
                let to = last.map_or(NEVER, |past| past.end);
                self.take(hold, self.start[first], to);
            }
        }
        if model.is_past(task) {
            self.placed[task] = true;
        }
    }

    fn stay(&mut self, task: usize, used: usize, bay: u32, from: Time, to: Time) {
        let what = &self.model.problem.tasks[task].rooms[used];
        if let Some(bay) = self.rooms[what.room].get_mut(bay as usize) {
            bay.stays.push(Stay { from, to, units: what.units, class: what.class, task });
        }
    }

    fn take(&mut self, hold: usize, from: Time, to: Time) {
        let what = &self.model.problem.holds[hold];
        self.pools[what.kit].taken.push(Taken { hold, from, to, count: what.count });
    }

    fn place_all(&mut self, genes: &Genes) {
        let mut queue = Queue::new(self.model, &self.placed, genes);
        while let Some(task) = queue.pop(|task| self.has_kit(task)) {
            match self.place(task, genes.favour[task]) {
                Ok(()) => {
                    self.placed[task] = true;
                    self.log.push(task);
                    queue.placed(task, !self.model.gives[task].is_empty());
                }
                Err(Stuck::Push { other, by }) => {
                    self.push(other, by);
                    queue = Queue::new(self.model, &self.placed, genes);
                }
                Err(Stuck::Never) => {
                    self.broken.push((task, NO_PLACE));
                    break;
                }
            }
        }
        let missing = self.placed.iter().filter(|&&placed| !placed).count();
        self.fault = missing as Time * NO_PLACE + self.broken.iter().map(|(_, by)| by).sum::<Time>();
    }

    fn has_kit(&self, task: usize) -> bool {
        if self.model.past[self.model.first[task]].is_some() {
            return true;
        }
        self.model.takes[task].iter().all(|&hold| {
            let what = &self.model.problem.holds[hold];
            self.pools[what.kit].leaves(self.kit_need(task, hold), self.model.problem.kit[what.kit].count)
        })
    }

    /// How many of one pool a task takes, counting its holds up to this one.
    fn kit_need(&self, task: usize, hold: usize) -> u32 {
        let holds = &self.model.problem.holds;
        let same = self.model.takes[task]
            .iter()
            .filter(|&&other| other <= hold && holds[other].kit == holds[hold].kit);
        same.map(|&other| holds[other].count).sum()
    }

    /// Takes out a task and everything placed since, and lets it begin only later.
    fn push(&mut self, task: usize, by: Time) {
        self.pushes_left -= 1;
        let begin = self.start[self.model.first[task]];
        let since = self.log.iter().position(|&other| other == task).unwrap_or(0);
        for index in (since..self.log.len()).rev() {
            self.unplace(self.log[index]);
        }
        let gone: Vec<usize> = self.log.drain(since..).collect();
        self.broken.retain(|(other, _)| !gone.contains(other));
        self.pushed[task] = begin + by;
    }

    fn unplace(&mut self, task: usize) {
        self.placed[task] = false;
        self.lift(task);
        let problem = self.model.problem;
        for &hold in &self.model.takes[task] {
            self.pools[problem.holds[hold].kit].taken.retain(|taken| taken.hold != hold);
        }
        for &hold in &self.model.gives[task] {
            for taken in &mut self.pools[problem.holds[hold].kit].taken {
                if taken.hold == hold {
                    taken.to = NEVER;
                }
            }
        }
        for used in &problem.tasks[task].rooms {
            for bay in &mut self.rooms[used.room] {
                bay.remove(task);
            }
        }
    }

    /// Takes the people off a task again.
    fn lift(&mut self, task: usize) {
        for act in self.model.acts_of(task) {
            if self.model.past[act].is_none() {
                for person in members(self.crew[act]) {
                    self.days[person].remove(act);
                }
                self.crew[act] = 0;
            }
        }
    }

    fn place(&mut self, task: usize, favour: Option<usize>) -> Result<(), Stuck> {
        let acts = self.model.acts_of(task);
        let mut low = vec![self.model.now; acts.len()];
        self.lows(task, &mut low);
        for _ in 0..400 {
            self.line_up(task, &low, favour)?;
            if let Some((phase, at)) = self.objection(task) {
                self.lift(task);
                low[phase] = low[phase].max(at);
                if at >= NEVER {
                    return Err(Stuck::Never);
                }
                continue;
            }
            if let Err(stuck) = self.limits(task) {
                self.lift(task);
                return Err(stuck);
            }
            return match self.settle(task) {
                Ok(()) => Ok(()),
                Err((phase, at)) if at < NEVER => {
                    self.lift(task);
                    low[phase] = low[phase].max(at);
                    continue;
                }
                Err(_) => {
                    self.lift(task);
                    Err(Stuck::Never)
                }
            };
        }
        Err(Stuck::Never)
    }

    /// The earliest begin of each phase as far as lags, release and pushes say.
    fn lows(&self, task: usize, low: &mut [Time]) {
        let what = &self.model.problem.tasks[task];
        low[0] = low[0].max(Time::from(what.release_s)).max(self.pushed[task]);
        if what.ends_service
            && let Some(side) = what.side
        {
            low[0] = low[0].max(Time::from(self.model.problem.sides[side].serves_until_s));
        }
        let last = low.len() - 1;
        let shortest = self.model.acts[self.model.first[task] + last].shortest();
        for link in &self.model.links[task] {
            if self.placed[link.other] && link.other != task && link.least > -NEVER {
                let at = self.at(link) + link.least;
                match link.here {
                    Edge::Begin => low[0] = low[0].max(at),
                    Edge::End => low[last] = low[last].max(at - shortest),
                }
            }
        }
    }

    fn at(&self, link: &Link) -> Time {
        match link.there {
            Edge::Begin => self.start[self.model.first[link.other]],
            Edge::End => self.end[self.model.first[link.other + 1] - 1],
        }
    }

    /// Finds people and times for the phases of a task, one after the other.
    fn line_up(&mut self, task: usize, low: &[Time], favour: Option<usize>) -> Result<(), Stuck> {
        let mut at = 0;
        let mut last_crew = 0;
        for (phase, act) in self.model.acts_of(task).enumerate() {
            if self.model.past[act].is_none() {
                let earliest = at.max(low[phase]);
                let found = if self.model.acts[act].people == 0 {
                    Some((earliest, 0))
                } else if self.model.acts[act].same_people && last_crew != 0 {
                    self.meet(act, last_crew, earliest).map(|(start, _)| (start, last_crew))
                } else {
                    self.choose(act, earliest, favour)
                };
                let Some((start, crew)) = found else {
                    self.lift(task);
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

    fn seat(&mut self, act: usize, start: Time, crew: Crew) {
        let what = &self.model.acts[act];
        let length = members(crew).map(|person| what.length[person]).max().unwrap_or(what.length[0]);
        self.start[act] = start;
        self.end[act] = start + length;
        self.crew[act] = crew;
        for person in members(crew) {
            self.days[person].insert(Busy { start, end: start + length, place: what.place, act });
        }
    }

    /// The first instant from `at` on at which the whole crew can do an act, and the walking that adds.
    fn meet(&self, act: usize, crew: Crew, at: Time) -> Option<(Time, Time)> {
        let what = &self.model.acts[act];
        let length = members(crew).map(|person| what.length[person]).max().unwrap_or(0);
        let walk = |from, to| Time::from(self.model.problem.walk(from, to));
        let mut at = at;
        loop {
            let mut latest = at;
            let mut walked = 0;
            for person in members(crew) {
                let (start, more) = self.days[person].gap(at, length, what.place, &walk)?;
                latest = latest.max(start);
                walked += more;
            }
            if latest == at || crew.is_power_of_two() {
                return Some((latest, walked));
            }
            at = latest;
        }
    }

    /// The crew that has done with an act first; of equals the one that walks least.
    fn choose(&self, act: usize, at: Time, favour: Option<usize>) -> Option<(Time, Crew)> {
        let what = &self.model.acts[act];
        let favour = favour.filter(|person| what.able.contains(person));
        let mut best: Option<((Time, Time), Time, Crew)> = None;
        let mut consider = |crew: Crew| {
            if let Some((start, walked)) = self.meet(act, crew, at) {
                let end = start + members(crew).map(|person| what.length[person]).max().unwrap_or(0);
                if best.is_none_or(|(key, _, _)| (end, walked) < key) {
                    best = Some(((end, walked), start, crew));
                }
            }
        };
        let wanted = favour.map_or(0, |person| 1 << person);
        if what.people == 1 && wanted != 0 {
            consider(wanted);
        } else {
            each_crew(&what.able, what.people, &mut |crew| {
                if crew & wanted == wanted {
                    consider(crew);
                }
            });
        }
        // A favourite who has left by then is no reason to find nobody.
        if best.is_none() && favour.is_some() {
            return self.choose(act, at, None);
        }
        best.map(|(_, start, crew)| (start, crew))
    }

    /// What makes the times just found impossible, and from when on the phase could be tried again.
    fn objection(&self, task: usize) -> Option<(usize, Time)> {
        let first = self.model.first[task];
        let acts = self.model.acts_of(task);
        for act in acts.clone().skip(1) {
            let late = self.model.acts[act].late;
            let wait = self.start[act] - self.end[act - 1];
            if late < NEVER && wait > late && self.model.past[act - 1].is_none() {
                return Some((
                    act - 1 - first,
                    self.start[act] - late - (self.end[act - 1] - self.start[act - 1]),
                ));
            }
        }
        let (begin, end) = (self.start[first], self.end[acts.end - 1]);
        let last = acts.len() - 1;
        for link in &self.model.links[task] {
            let known = link.least > -NEVER && (self.placed[link.other] || link.other == task);
            if known && link.here == Edge::End && end < self.at(link) + link.least {
                return Some((last, self.at(link) + link.least - (end - self.start[acts.end - 1])));
            }
        }
        if self.model.past[first].is_some() {
            return None;
        }
        if let Some(at) = self.service_objection(task, begin) {
            return Some((0, at));
        }
        for &hold in &self.model.takes[task] {
            let what = &self.model.problem.holds[hold];
            let length = if what.to_task == task {
                Some(end - begin)
            } else if self.placed[what.to_task] {
                Some((self.end[self.model.first[what.to_task + 1] - 1] - begin).max(0))
            } else {
                None
            };
            let of = self.model.problem.kit[what.kit].count;
            let at = self.pools[what.kit].free_from(begin, length, self.kit_need(task, hold), of);
            if at > begin {
                return Some((0, at));
            }
        }
        None
    }

    /// When a side may stop at the earliest, if `begin` is too early for it.
    fn service_objection(&self, task: usize, begin: Time) -> Option<Time> {
        let problem = self.model.problem;
        let what = &problem.tasks[task];
        let side = what.side.filter(|_| what.ends_service)?;
        for rule in problem.serving.iter().filter(|rule| rule.machine == problem.sides[side].machine) {
            let until = Time::from(rule.until_s);
            if begin >= until {
                continue;
            }
            let sides =
                (0..problem.sides.len()).filter(|&other| problem.sides[other].machine == rule.machine);
            let all = sides.clone().count();
            let stopped = sides.filter(|&other| other != side && self.stops_before(other, until)).count();
            if !self.stops_before(side, until) && stopped + 1 + rule.keep as usize > all {
                return Some(until);
            }
        }
        None
    }

    fn stops_before(&self, side: usize, until: Time) -> bool {
        let tasks = self.model.problem.tasks.iter().enumerate();
        let mut ending = tasks.filter(|(_, task)| task.ends_service && task.side == Some(side));
        ending.any(|(task, _)| {
            let first = self.model.first[task];
            (self.placed[task] || self.model.past[first].is_some()) && self.start[first] < until
        })
    }

    /// Whether the times keep every maximum; asks for a push where that may help, else counts the fault.
    fn limits(&mut self, task: usize) -> Result<(), Stuck> {
        let acts = self.model.acts_of(task);
        let (begin, end) = (self.start[acts.start], self.end[acts.end - 1]);
        let begun = self.model.past[acts.start].is_some();
        let mut fault = 0;
        for link in &self.model.links[task] {
            if link.most >= NEVER || !(self.placed[link.other] || link.other == task) {
                continue;
            }
            let here = if link.here == Edge::Begin { begin } else { end };
            let limit = self.at(link) + link.most;
            if here <= limit {
                continue;
            }
            let other_first = self.model.first[link.other];
            let other_begun = self.model.past[other_first].is_some();
            if link.other != task && !other_begun && self.pushes_left > 0 {
                return Err(Stuck::Push { other: link.other, by: here - limit });
            }
            fault += here - limit;
        }
        let due = self.model.problem.tasks[task].due_s.map_or(NEVER, Time::from).min(self.model.deadline);
        fault += (end - due).max(0);
        for act in acts.skip(1) {
            let late = self.model.acts[act].late;
            if late < NEVER && self.model.past[act].is_none() {
                fault += (self.start[act] - self.end[act - 1] - late).max(0);
            }
        }
        let _ = begun;
        if fault > 0 {
            self.broken.push((task, fault));
        }
        Ok(())
    }

    /// Puts the task's things into bays and kit; else the phase that has to begin later, and when.
    fn settle(&mut self, task: usize) -> Result<(), (usize, Time)> {
        let first = self.model.first[task];
        let last = self.model.first[task + 1] - 1;
        let uses = &self.model.problem.tasks[task].rooms;
        let kept: Vec<bool> =
            uses.iter().map(|used| self.model.past[first + used.from_phase].is_some()).collect();
        for used in uses {
            for bay in &mut self.rooms[used.room] {
                bay.remove(task);
            }
        }
        for (index, used) in uses.iter().enumerate() {
            let from = self.start[first + used.from_phase];
            let next = first + used.to_phase + 1;
            let to = if next <= last { self.start[next] } else { self.end[last] };
            let stay = Stay { from, to, units: used.units, class: used.class, task };
            if kept[index] {
                let bay = self.bays[task][index];
                self.stay(task, index, bay, from, to);
                continue;
            }
            let capacity = self.model.problem.rooms[used.room].units;
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
                for used in uses {
                    for bay in &mut self.rooms[used.room] {
                        bay.remove(task);
                    }
                }
                return Err((used.from_phase, later));
            };
            self.bays[task][index] = number as u32;
            self.rooms[used.room][number].stays.push(stay);
        }
        if self.model.past[first].is_none() {
            for &hold in &self.model.takes[task] {
                let giver = self.model.problem.holds[hold].to_task;
                let to = if self.placed[giver] { self.end[self.model.first[giver + 1] - 1] } else { NEVER };
                self.take(hold, self.start[first], to);
            }
        }
        for &hold in &self.model.gives[task] {
            for taken in &mut self.pools[self.model.problem.holds[hold].kit].taken {
                if taken.hold == hold {
                    taken.to = self.end[last];
                }
            }
        }
        Ok(())
    }

    /// Each person's night.
    pub fn days(&self) -> &[Day] {
        &self.days
    }
}

/// Calls with every crew of `count` people.
fn each_crew(able: &[usize], count: usize, call: &mut impl FnMut(Crew)) {
    fn go(able: &[usize], count: usize, crew: Crew, call: &mut impl FnMut(Crew)) {
        if count == 0 {
            call(crew);
            return;
        }
        for (index, &person) in able.iter().enumerate() {
            if able.len() - index >= count {
                go(&able[index + 1..], count - 1, crew | 1 << person, call);
            }
        }
    }
    go(able, count, 0, call);
}

/// Tasks whose predecessors are placed, by rank; those that wait for kit set aside.
struct Queue<'m> {
    model: &'m Model<'m>,
    rank: Vec<usize>,
    waits: Vec<usize>,
    ready: BinaryHeap<Reverse<(usize, usize)>>,
    parked: Vec<usize>,
}

impl<'m> Queue<'m> {
    fn new(model: &'m Model<'m>, placed: &[bool], genes: &Genes) -> Self {
        let mut waits = model.waits_for.clone();
        for (task, followers) in model.followers.iter().enumerate() {
            if placed[task] {
                for &after in followers {
                    waits[after] -= 1;
                }
            }
        }
        // A task under way comes before everything: what it occupies is taken until it is placed.
        let begun = |task: usize| model.past[model.first[task]].is_some();
        let rank: Vec<usize> =
            (0..model.tasks()).map(|task| if begun(task) { 0 } else { genes.rank[task] + 1 }).collect();
        let open = (0..model.tasks()).filter(|&task| !placed[task] && (waits[task] == 0 || begun(task)));
        let ready = open.map(|task| Reverse((rank[task], task))).collect();
        Self { model, rank, waits, ready, parked: Vec::new() }
    }

    fn pop(&mut self, has_kit: impl Fn(usize) -> bool) -> Option<usize> {
        while let Some(Reverse((_, task))) = self.ready.pop() {
            if has_kit(task) {
                return Some(task);
            }
            self.parked.push(task);
        }
        None
    }

    fn placed(&mut self, task: usize, gives_kit: bool) {
        for &after in &self.model.followers[task] {
            self.waits[after] = self.waits[after].saturating_sub(1);
            if self.waits[after] == 0 && self.model.past[self.model.first[after]].is_none() {
                self.ready.push(Reverse((self.rank[after], after)));
            }
        }
        if gives_kit {
            for task in self.parked.drain(..) {
                self.ready.push(Reverse((self.rank[task], task)));
            }
        }
    }
}
