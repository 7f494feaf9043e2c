//! A genetic search with two populations, one of schedules pushed early and one of schedules pushed late.
//!
//! After Debels and Vanhoucke 2007, Operations Research 55:457, in its outline: parents pushed one way give children
//! pushed the other way, so that every generated schedule is also a pass of justification; the father keeps the stretch
//! of time in which he uses the resources best, the mother orders what comes before and after it. Figures of tuning are
//! our own.

use crate::Project;
use crate::generate::{Layout, Profile};
use crate::hunt::Hunt;

/// Runs until the hunt is over; `schedules` are what it may spend.
pub fn run(project: &Project, schedules: u64, hunt: &mut Hunt) {
    let mirrored = mirror(project);
    let layouts = [Layout::new(project), Layout::new(&mirrored)];
    let mut run = Run { project, profile: layouts[0].profile(), layouts, hunt };
    // Who does not know how long there is begins with few, which are soon good, and goes on with more, which end better.
    let most = size(schedules, project.lengths.len());
    let mut size = if schedules == u64::MAX { FIRST.min(most) } else { most };
    while !run.hunt.is_over(1) {
        run.grow(size);
        size = (2 * size).min(most);
    }
}

/// How far a key moves when it moves, in time units.
const REACH: usize = 8;

/// Members of each population in the first of several lives.
const FIRST: usize = 30;

/// Members of each population: few where few schedules are granted, so that they have time to grow.
fn size(schedules: u64, activities: usize) -> usize {
    ((schedules as f64 * 60.0 / activities.max(1) as f64).sqrt()).clamp(8.0, 230.0) as usize
}

/// The same project with time running backwards.
fn mirror(project: &Project) -> Project {
    let back = |&(from, to, _): &(usize, usize, i64)| (to, from, i64::from(project.lengths[to]));
    Project { lags: project.lags.iter().map(back).collect(), ..project.clone() }
}

/// A schedule in the time of its own population: begins counted from its first.
struct Member {
    starts: Vec<u32>,
    end: u32,
}

struct Run<'a, 'b> {
    project: &'a Project,
    /// Forward and mirrored.
    layouts: [Layout<'a>; 2],
    profile: Profile,
    hunt: &'a mut Hunt<'b>,
}

impl Run<'_, '_> {
    /// One life of the two populations, until nothing better has come for long.
    fn grow(&mut self, size: usize) {
        let tails = self.layouts[0].tails();
        let mut early: Vec<Member> = Vec::with_capacity(size);
        for index in 0..size {
            if self.hunt.is_over(1) {
                return;
            }
            let list = self.sample(&tails, if index == 0 { 1 } else { 3 });
            early.push(self.generate(0, &list));
        }
        let mut late: Vec<Member> = Vec::with_capacity(size);
        for parent in &early {
            if self.hunt.is_over(1) {
                return;
            }
            let keys = backward(parent, self.project);
            let list = ordered(&keys);
            late.push(self.generate(1, &list));
        }
        let mut idle = 0;
        while idle < 60 && !self.hunt.is_over(1) {
            let before = self.hunt.ends_at();
            self.breed(1, &late, &mut early);
            self.breed(0, &early, &mut late);
            idle = if self.hunt.ends_at() < before { 0 } else { idle + 1 };
        }
    }

    /// Each parent of one population fathers a child for the same place of the other.
    fn breed(&mut self, from: usize, parents: &[Member], children: &mut [Member]) {
        let count = parents.len();
        let least = children.iter().map(|child| child.end).min().unwrap_or(0);
        for (place, child) in children.iter_mut().enumerate() {
            if self.hunt.is_over(1) {
                return;
            }
            let (one, other) = (self.hunt.below(count), self.hunt.below(count));
            let partner = if parents[one].end <= parents[other].end { one } else { other };
            let (father, mother) = if self.hunt.below(2) == 0 { (place, partner) } else { (partner, place) };
            let keys = self.cross(&parents[father], &parents[mother]);
            let list = ordered(&keys);
            let born = self.generate(1 - from, &list);
            let is_let_in = child.end > least && self.hunt.below(10) < 3;
            if born.end <= child.end || is_let_in {
                *child = born;
            }
        }
    }

    /// Keys for the other direction of time.
    fn cross(&mut self, father: &Member, mother: &Member) -> Vec<i64> {
        let (low, high) = self.peak(father);
        let lengths = &self.project.lengths;
        let far = i64::from(father.end) + i64::from(mother.end);
        let mut keys: Vec<i64> = (0..lengths.len())
            .map(|one| {
                let end = |member: &Member| i64::from(member.starts[one] + lengths[one]);
                let by_father = end(father);
                if by_father < i64::from(low) {
                    end(mother) - far
                } else if by_father > i64::from(high) {
                    end(mother) + far
                } else {
                    by_father
                }
            })
            .collect();
        self.mutate(&mut keys, father.end == mother.end && father.starts == mother.starts);
        // The latest end comes first when time runs the other way.
        for key in &mut keys {
            *key = -*key;
        }
        keys
    }

    /// The stretch of time, of a drawn length, in which the father's activities use most of the resources.
    fn peak(&mut self, father: &Member) -> (u32, u32) {
        let end = father.end.max(4);
        let width = end / 4 + self.hunt.below(end as usize / 2 + 1) as u32;
        let layout = &self.layouts[0];
        let mut load = vec![0.0_f64; end as usize + 1];
        for (one, &start) in father.starts.iter().enumerate() {
            for time in start..start + self.project.lengths[one] {
                load[time as usize] += layout.weight[one];
            }
        }
        let mut sum: f64 = load[..width as usize].iter().sum();
        let (mut best, mut low) = (sum, 0);
        for from in 1..=end - width {
            sum += load[(from + width - 1) as usize] - load[from as usize - 1];
            if sum > best {
                (best, low) = (sum, from);
            }
        }
        (low, low + width)
    }

    /// Moves a few keys a little, more where both parents are the same.
    fn mutate(&mut self, keys: &mut [i64], twins: bool) {
        let rate = if twins { 10 } else { 40 };
        for key in keys.iter_mut() {
            if self.hunt.below(rate) == 0 {
                *key += self.hunt.below(2 * REACH + 1) as i64 - REACH as i64;
            }
        }
    }

    /// A schedule by the list, in which what must come before is placed before.
    fn generate(&mut self, way: usize, list: &[usize]) -> Member {
        let mut starts = vec![0; list.len()];
        let list = self.layouts[way].feasible(list);
        let end = self.layouts[way].forward(&list, &mut starts, &mut self.profile);
        self.hunt.spend(1);
        let lengths = &self.project.lengths;
        let begin = |(&start, &length): (&u32, &u32)| if way == 0 { start } else { end - start - length };
        self.hunt.keep(end, starts.iter().zip(lengths).map(begin));
        Member { starts, end }
    }

    /// A list that keeps to precedence: of `tries` ready activities drawn the one with the longest tail.
    fn sample(&mut self, tails: &[i64], tries: usize) -> Vec<usize> {
        let count = tails.len();
        let mut waits: Vec<usize> = self.layouts[0].before.iter().map(Vec::len).collect();
        let mut ready: Vec<usize> = (0..count).filter(|&one| waits[one] == 0).collect();
        let mut list = Vec::with_capacity(count);
        while !ready.is_empty() {
            let index = if tries == 1 {
                (0..ready.len()).min_by_key(|&index| -tails[ready[index]]).unwrap_or(0)
            } else {
                (0..tries)
                    .map(|_| self.hunt.below(ready.len()))
                    .min_by_key(|&index| -tails[ready[index]])
                    .unwrap_or(0)
            };
            let activity = ready.swap_remove(index);
            list.push(activity);
            for &one in &self.layouts[0].after[activity] {
                waits[one] -= 1;
                if waits[one] == 0 {
                    ready.push(one);
                }
            }
        }
        list
    }
}

/// Keys by which the mirrored scheme takes the latest end first.
fn backward(member: &Member, project: &Project) -> Vec<i64> {
    member.starts.iter().zip(&project.lengths).map(|(&start, &length)| -i64::from(start + length)).collect()
}

/// Activities by key.
fn ordered(keys: &[i64]) -> Vec<usize> {
    let mut list: Vec<usize> = (0..keys.len()).collect();
    list.sort_by_key(|&one| (keys[one], one));
    list
}
