//! What every search keeps: the best so far, what was spent, and chance.

use crate::Search;

/// One search under way.
pub struct Hunt<'a> {
    best: Search,
    limit: u64,
    floor: u32,
    is_stopped: bool,
    stop: &'a dyn Fn() -> bool,
    random: u64,
}

impl<'a> Hunt<'a> {
    pub fn new(limit: u64, floor: u32, seed: u64, stop: &'a dyn Fn() -> bool) -> Self {
        let best = Search { starts: Vec::new(), ends_at: u32::MAX, schedules: 0 };
        Self { best, limit, floor, is_stopped: false, stop, random: seed }
    }

    /// Whether `next` more schedules are too many, or nothing is left to look for; never before the first schedule.
    pub fn is_over(&self, next: u64) -> bool {
        self.best.ends_at <= self.floor
            || (self.best.ends_at < u32::MAX
                && (self.is_stopped || self.best.schedules.saturating_add(next) > self.limit))
    }

    /// When the best schedule ends.
    pub fn ends_at(&self) -> u32 {
        self.best.ends_at
    }

    /// Counts schedules and asks whether to stop.
    pub fn spend(&mut self, schedules: u64) {
        self.best.schedules += schedules;
        self.is_stopped = self.is_stopped || (self.stop)();
    }

    /// Keeps a schedule if none ended as early.
    pub fn keep(&mut self, end: u32, starts: impl Iterator<Item = u32>) -> bool {
        let is_better = end < self.best.ends_at;
        if is_better {
            self.best.ends_at = end;
            self.best.starts.clear();
            self.best.starts.extend(starts);
        }
        is_better
    }

    /// A number in `0..count` (`SplitMix64`).
    pub fn below(&mut self, count: usize) -> usize {
        self.random = self.random.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.random;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((u128::from(z ^ (z >> 31)) * count as u128) >> 64) as usize
    }

    /// What was found.
    pub fn told(self) -> Search {
        self.best
    }
}
