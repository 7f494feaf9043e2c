//! A genetic search over activity lists in which every child is justified, for plain projects.
//!
//! After the hybrid genetic algorithm of Valls, Ballestin and Quintanilla 2008, European Journal of Operational
//! Research 185:495, in its outline: lists crossed at two points, children justified, a second population grown from
//! the neighbourhood of the best.

use crate::generate::Layout;
use crate::{Project, Starts};

/// What a search found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Search {
    /// Begin of each activity.
    pub starts: Starts,
    /// When the last ends.
    pub ends_at: u32,
    /// Schedules generated: forward, backward and forward again count three.
    pub schedules: u64,
}

struct Member {
    list: Vec<usize>,
    end: u32,
}

/// Searches until `schedules` are generated, `floor` is reached, or `stop` says so. The project must be plain.
pub fn search(project: &Project, schedules: u64, floor: u32, seed: u64, stop: &dyn Fn() -> bool) -> Search {
    assert!(project.is_plain(), "the serial scheme knows no greatest lags");
    let mut run = Run::new(project, schedules, floor, seed, stop);
    let size = (schedules / 60).clamp(12, 60) as usize;
    let mut around: Option<Vec<usize>> = None;
    while !run.is_over() {
        let mut members = run.population(size, around.as_deref());
        let mut idle = 0;
        while !run.is_over() && idle < 12 * size {
            let before = run.best_end;
            run.breed(&mut members);
            idle = if run.best_end < before { 0 } else { idle + 1 };
        }
        around = if around.is_none() { Some(run.best_list.clone()) } else { None };
    }
    Search { ends_at: run.best_end, starts: run.best, schedules: run.spent }
}

struct Run<'a> {
    layout: Layout<'a>,
    profile: crate::generate::Profile,
    starts: Vec<u32>,
    best: Vec<u32>,
    best_list: Vec<usize>,
    best_end: u32,
    spent: u64,
    limit: u64,
    floor: u32,
    stopped: bool,
    stop: &'a dyn Fn() -> bool,
    random: u64,
    /// Latest begin by the lags alone, relative.
    slack: Vec<i64>,
}

impl<'a> Run<'a> {
    fn new(project: &'a Project, limit: u64, floor: u32, seed: u64, stop: &'a dyn Fn() -> bool) -> Self {
        let layout = Layout::new(project);
        let count = project.lengths.len();
        let mut tail = vec![0_i64; count];
        for activity in (0..count).rev() {
            let after = layout.after[activity].iter().map(|&one| tail[one]).max().unwrap_or(0);
            tail[activity] = after + i64::from(project.lengths[activity]);
        }
        Self {
            profile: layout.profile(),
            layout,
            starts: vec![0; count],
            best: vec![0; count],
            best_list: (0..count).collect(),
            best_end: u32::MAX,
            spent: 0,
            limit,
            floor,
            stopped: false,
            stop,
            random: seed,
            slack: tail,
        }
    }

    fn is_over(&self) -> bool {
        self.best_end <= self.floor
            || (self.best_end < u32::MAX && (self.stopped || self.spent + 3 > self.limit))
    }

    fn below(&mut self, count: usize) -> usize {
        self.random = self.random.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.random;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((u128::from(z ^ (z >> 31)) * count as u128) >> 64) as usize
    }

    /// Generates and justifies; the list comes back in the order of the begins.
    fn value(&mut self, mut list: Vec<usize>) -> Member {
        let end = self.layout.forward(&list, &mut self.starts, &mut self.profile);
        self.keep(&list, end);
        let end = self.layout.justify(&mut list, &mut self.starts, end, &mut self.profile);
        self.keep(&list, end);
        self.spent += 3;
        self.stopped = self.stopped || (self.stop)();
        Member { list, end }
    }

    fn keep(&mut self, list: &[usize], end: u32) {
        if end < self.best_end {
            self.best_end = end;
            self.best.copy_from_slice(&self.starts);
            self.best_list = list.to_vec();
        }
    }

    /// Lists sampled by regret on the latest begin; or, around a list, by taking from it in order with skips.
    fn population(&mut self, size: usize, around: Option<&[usize]>) -> Vec<Member> {
        let mut members = Vec::with_capacity(size);
        for index in 0..size {
            if self.is_over() && !members.is_empty() {
                break;
            }
            let priority: Vec<i64> = match around {
                None => self.slack.iter().map(|tail| -tail).collect(),
                Some(list) => {
                    let mut place = vec![0; list.len()];
                    for (position, &activity) in list.iter().enumerate() {
                        place[activity] = position as i64;
                    }
                    place
                }
            };
            let list = self.sample(&priority, if index == 0 { 1 } else { 3 });
            let member = self.value(list);
            members.push(member);
        }
        members.sort_by_key(|member| member.end);
        members
    }

    /// A list that keeps to precedence: of `tries` ready activities drawn the one of least priority value.
    fn sample(&mut self, priority: &[i64], tries: usize) -> Vec<usize> {
        let count = priority.len();
        let mut waits: Vec<usize> = self.layout.before.iter().map(Vec::len).collect();
        let mut ready: Vec<usize> = (0..count).filter(|&one| waits[one] == 0).collect();
        let mut list = Vec::with_capacity(count);
        while !ready.is_empty() {
            let least = |choices: &mut dyn Iterator<Item = usize>| {
                choices.min_by_key(|&index| priority[ready[index]]).unwrap_or(0)
            };
            let index = if tries == 1 {
                least(&mut (0..ready.len()))
            } else {
                let drawn: Vec<usize> = (0..tries).map(|_| self.below(ready.len())).collect();
                least(&mut drawn.into_iter())
            };
            let activity = ready.swap_remove(index);
            list.push(activity);
            for &one in &self.layout.after[activity] {
                waits[one] -= 1;
                if waits[one] == 0 {
                    ready.push(one);
                }
            }
        }
        list
    }

    /// One child of two good parents takes the place of the worst, if it is better and new.
    fn breed(&mut self, members: &mut Vec<Member>) {
        let size = members.len();
        let pick = |run: &mut Self| run.below(size).min(run.below(size));
        let (mother, father) = (pick(self), pick(self));
        let mut child = self.cross(&members[mother].list, &members[father].list);
        self.mutate(&mut child);
        let child = self.value(child);
        let place = members.partition_point(|member| member.end <= child.end);
        let twin = members[..place]
            .iter()
            .rev()
            .take_while(|member| member.end == child.end)
            .any(|member| member.list == child.list);
        if place < size && !twin {
            members.pop();
            members.insert(place, child);
        } else if place == size && !twin && self.below(4) == 0 {
            members.pop();
            members.push(child);
        }
    }

    /// Two points: before the first and after the second in the mother's order, between them in the father's.
    fn cross(&mut self, mother: &[usize], father: &[usize]) -> Vec<usize> {
        let count = mother.len();
        let (one, other) = (self.below(count), self.below(count));
        let (low, high) = (one.min(other), one.max(other));
        let mut child = mother[..low].to_vec();
        let mut is_in = vec![false; count];
        for &activity in &child {
            is_in[activity] = true;
        }
        for &activity in father {
            if child.len() > high {
                break;
            }
            if !std::mem::replace(&mut is_in[activity], true) {
                child.push(activity);
            }
        }
        child.extend(mother.iter().filter(|&&activity| !is_in[activity]));
        child
    }

    /// Neighbours in the list that do not depend on each other change places now and then.
    fn mutate(&mut self, list: &mut [usize]) {
        for index in 1..list.len() {
            if self.below(20) == 0 && !self.layout.before[list[index]].contains(&list[index - 1]) {
                list.swap(index - 1, index);
            }
        }
    }
}
