//! How much may be spent. Counted in schedules built, so that the same budget gives the same plan on any machine; a
//! clock is at most an outer limit, and it is the caller's.

/// What a search may spend.
#[derive(Clone, Copy)]
pub struct Budget<'a> {
    /// Schedules that may be built.
    pub work_units: u64,
    /// Seed of every choice that is left to chance.
    pub seed: u64,
    /// Asked now and then; `true` ends the search with what there is. With `None` the plan depends on nothing but
    /// problem, units and seed.
    pub stop: Option<&'a dyn Fn() -> bool>,
}

impl Budget<'_> {
    /// A budget in work units alone.
    pub fn units(work_units: u64, seed: u64) -> Self {
        Self { work_units, seed, stop: None }
    }
}

/// Counts what is spent.
pub struct Meter<'a> {
    budget: Budget<'a>,
    pub spent: u64,
    stopped: bool,
}

impl<'a> Meter<'a> {
    pub fn new(budget: Budget<'a>) -> Self {
        Self { budget, spent: 0, stopped: false }
    }

    pub fn spend(&mut self) {
        self.spent += 1;
        if !self.stopped
            && let Some(stop) = self.budget.stop
        {
            self.stopped = stop();
        }
    }

    pub fn is_over(&self) -> bool {
        self.stopped || self.spent >= self.budget.work_units
    }

    pub fn left(&self) -> u64 {
        if self.stopped { 0 } else { self.budget.work_units.saturating_sub(self.spent) }
    }
}
