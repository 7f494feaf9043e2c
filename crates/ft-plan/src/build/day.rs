//! What the people, bays and kit do over the night: sorted lists of what is taken when, with search for gaps.

use crate::model::{NEVER, Time};

/// A stretch of one person's night.
#[derive(Debug, Clone, Copy)]
pub struct Busy {
    pub start: Time,
    pub end: Time,
    pub place: usize,
    pub act: usize,
}

/// One person's night, sorted by time, nothing overlapping.
#[derive(Debug, Clone, Default)]
pub struct Day {
    pub busy: Vec<Busy>,
    pub from: Time,
    pub to: Time,
    pub starts_at: Option<usize>,
}

impl Day {
    /// The first instant from `at` on at which this person can be at `place` for `length` seconds, with the walk from
    /// what is before and to what comes after; and how many seconds of walking that adds. `None`: not tonight.
    pub fn gap(
        &self,
        at: Time,
        length: Time,
        place: usize,
        walk: &impl Fn(usize, usize) -> Time,
    ) -> Option<(Time, Time)> {
        let mut index = self.busy.partition_point(|busy| busy.end <= at);
        // A stretch that ends by `at` may still be too far away to walk from; the loop looks at it as `before`.
        loop {
            let before = if index == 0 { None } else { self.busy.get(index - 1) };
            let after = self.busy.get(index);
            let (free_from, origin) = match before {
                Some(busy) => (busy.end, Some(busy.place)),
                None => (self.from, self.starts_at),
            };
            let there = origin.map_or(0, |origin| walk(origin, place));
            let start = at.max(free_from + there);
            let onward = after.map_or(0, |busy| walk(place, busy.place));
            let limit = after.map_or(self.to, |busy| busy.start);
            if start + length + onward <= limit && start + length <= self.to {
                let direct = match (origin, after) {
                    (Some(origin), Some(busy)) => walk(origin, busy.place),
                    _ => 0,
                };
                return Some((start, there + onward - direct));
            }
            after?;
            index += 1;
        }
    }

    /// Puts a stretch where a gap was found.
    pub fn insert(&mut self, busy: Busy) {
        let index = self.busy.partition_point(|other| (other.start, other.end) <= (busy.start, busy.end));
        self.busy.insert(index, busy);
    }

    /// Takes a stretch out again.
    pub fn remove(&mut self, act: usize) {
        if let Some(index) = self.busy.iter().rposition(|busy| busy.act == act) {
            self.busy.remove(index);
        }
    }
}

/// A stay in a bay.
#[derive(Debug, Clone, Copy)]
pub struct Stay {
    pub from: Time,
    pub to: Time,
    pub units: u32,
    pub class: Option<usize>,
    pub task: usize,
    /// Which of the task's rooms.
    pub used: usize,
}

/// What one bay holds over the night.
#[derive(Debug, Clone, Default)]
pub struct Bay {
    pub stays: Vec<Stay>,
}

impl Bay {
    /// `None` where a stay fits; else the first later instant at which it is worth trying.
    pub fn clash(&self, stay: &Stay, capacity: u32) -> Option<Time> {
        if stay.units > capacity {
            return Some(NEVER);
        }
        let meets = |other: &&Stay| other.from < stay.to && stay.from < other.to;
        let kinds =
            |other: &&Stay| other.class.is_some() && stay.class.is_some() && other.class != stay.class;
        let foreign = self.stays.iter().filter(meets).filter(kinds).map(|other| other.to).min();
        let fullest = |at: Time| {
            let here = self.stays.iter().filter(|other| other.from <= at && at < other.to);
            here.map(|other| other.units).sum::<u32>() + stay.units > capacity
        };
        let instants = self.stays.iter().filter(meets).map(|other| other.from.max(stay.from));
        let mut over = instants.filter(|&at| fullest(at));
        let is_over = over.next().is_some();
        if foreign.is_none() && !is_over {
            return None;
        }
        let next = self.stays.iter().filter(meets).map(|other| other.to).min().unwrap_or(NEVER);
        Some(next.max(stay.from + 1))
    }

    /// Whether what stays for good leaves room for so much of a kind.
    pub fn leaves(&self, units: u32, class: Option<usize>, capacity: u32) -> bool {
        let mut sum = units;
        for other in self.stays.iter().filter(|other| other.to >= NEVER) {
            if other.class.is_some() && class.is_some() && other.class != class {
                return false;
            }
            sum += other.units;
        }
        sum <= capacity
    }

    /// Says until when a stay lasts.
    pub fn leave(&mut self, task: usize, used: usize, to: Time) {
        for stay in self.stays.iter_mut().filter(|stay| stay.task == task && stay.used == used) {
            stay.to = to;
        }
    }

    /// Takes out one stay of a task.
    pub fn remove(&mut self, task: usize, used: usize) {
        self.stays.retain(|stay| stay.task != task || stay.used != used);
    }
}

/// Kit that is taken from begin to end; `to` is [`NEVER`] until the giver is placed.
#[derive(Debug, Clone, Copy)]
pub struct Taken {
    pub hold: usize,
    pub from: Time,
    pub to: Time,
    pub count: u32,
}

/// What is taken of one pool of kit.
#[derive(Debug, Clone, Default)]
pub struct Pool {
    pub taken: Vec<Taken>,
}

impl Pool {
    /// First instant from `at` on at which `count` more can be taken until `at + length` (or for good).
    /// [`NEVER`] when what is taken for good leaves too few.
    pub fn free_from(&self, at: Time, length: Option<Time>, count: u32, of: u32) -> Time {
        let mut at = at;
        loop {
            let to = length.map_or(NEVER, |length| at + length);
            let over = |instant: Time| {
                let here = self.taken.iter().filter(|taken| taken.from <= instant && instant < taken.to);
                here.map(|taken| taken.count).sum::<u32>() + count > of
            };
            let meets = |taken: &&Taken| taken.from < to && at < taken.to;
            let clash = self
                .taken
                .iter()
                .filter(meets)
                .map(|taken| taken.from.max(at))
                .chain([at])
                .find(|&instant| over(instant));
            if clash.is_none() {
                return at;
            }
            let next = self.taken.iter().filter(meets).map(|taken| taken.to).min().unwrap_or(NEVER);
            if next >= NEVER {
                return NEVER;
            }
            at = next.max(at + 1);
        }
    }

    /// Whether what is taken for good leaves at least `count`.
    pub fn leaves(&self, count: u32, of: u32) -> bool {
        self.taken.iter().filter(|taken| taken.to >= NEVER).map(|taken| taken.count).sum::<u32>() + count
            <= of
    }
}
