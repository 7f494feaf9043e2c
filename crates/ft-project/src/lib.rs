//! A project: activities of fixed length, lags between their begins, resources that they share.
//!
//! The form in which the public scheduling sets come, and in which a night is seen when its walking and its choices of
//! people are left out: what holds for the project holds for the night.

mod formats;
mod generate;
mod hunt;
mod lists;
mod search;
mod two;

pub use formats::{parse_sch, parse_sm};
pub use search::{Search, search};

/// A project of activities `0..lengths.len()`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Project {
    /// Length of each activity.
    pub lengths: Vec<u32>,
    /// `(from, to, lag)`: `to` begins at least `lag` after `from` begins. A greatest lag is a negative one the other way.
    pub lags: Vec<(usize, usize, i64)>,
    /// How much of each resource there is.
    pub capacities: Vec<u32>,
    /// For each activity what it uses while it lasts: resource and amount, amounts above 0.
    pub uses: Vec<Vec<(usize, u32)>>,
}

/// Begin of each activity.
pub type Starts = Vec<u32>;

impl Project {
    /// Whether there is nothing but "after the end of": no lag that is not the length of its first activity.
    pub fn is_plain(&self) -> bool {
        self.lags.iter().all(|&(from, to, lag)| from < to && lag == i64::from(self.lengths[from]))
    }

    /// When the last activity ends.
    pub fn ends_at(&self, starts: &[u32]) -> u32 {
        starts.iter().zip(&self.lengths).map(|(start, length)| start + length).max().unwrap_or(0)
    }

    /// Earliest begin of each activity by the lags alone; `None` where they contradict each other.
    pub fn earliest(&self) -> Option<Vec<i64>> {
        longest(self.lengths.len(), &self.lags)
    }

    /// Earliest end by lags alone, and by each resource's work; `None` where the lags contradict each other.
    pub fn lower_bound(&self) -> Option<u32> {
        let early = self.earliest()?;
        let chain = early
            .iter()
            .zip(&self.lengths)
            .map(|(&start, &length)| start + i64::from(length))
            .max()
            .unwrap_or(0);
        let mut bound = u32::try_from(chain).unwrap_or(u32::MAX);
        for (resource, &capacity) in self.capacities.iter().enumerate() {
            let work = |activity: usize| {
                let amount = self.uses[activity]
                    .iter()
                    .filter(|used| used.0 == resource)
                    .map(|used| u64::from(used.1));
                amount.sum::<u64>() * u64::from(self.lengths[activity])
            };
            let work: u64 = (0..self.lengths.len()).map(work).sum();
            bound = bound.max(u32::try_from(work.div_ceil(u64::from(capacity.max(1)))).unwrap_or(u32::MAX));
        }
        Some(bound)
    }

    /// What is wrong with a schedule, one sentence each: the plain checker of the benchmark.
    pub fn problems(&self, starts: &[u32]) -> Vec<String> {
        let mut found = Vec::new();
        if starts.len() != self.lengths.len() {
            return vec![format!("{} begins for {} activities", starts.len(), self.lengths.len())];
        }
        for &(from, to, lag) in &self.lags {
            if i64::from(starts[to]) < i64::from(starts[from]) + lag {
                found.push(format!(
                    "{to} begins {} after {from} begins, at least {lag} are needed",
                    starts[to]
                ));
            }
        }
        for (resource, &capacity) in self.capacities.iter().enumerate() {
            for &at in starts {
                let here = (0..starts.len())
                    .filter(|&one| starts[one] <= at && at < starts[one] + self.lengths[one]);
                let used: u32 = here
                    .flat_map(|one| &self.uses[one])
                    .filter(|used| used.0 == resource)
                    .map(|used| used.1)
                    .sum();
                if used > capacity {
                    found.push(format!(
                        "{used} of resource {resource} are used at {at}, there are {capacity}"
                    ));
                }
            }
        }
        found
    }
}

/// Longest paths from time 0; `None` where a circle of lags is positive.
fn longest(count: usize, lags: &[(usize, usize, i64)]) -> Option<Vec<i64>> {
    let mut early = vec![0; count];
    for _ in 0..=count {
        let mut changed = false;
        for &(from, to, lag) in lags {
            if early[to] < early[from] + lag {
                early[to] = early[from] + lag;
                changed = true;
            }
        }
        if !changed {
            return Some(early);
        }
    }
    None
}
