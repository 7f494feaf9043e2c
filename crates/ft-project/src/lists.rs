//! A genetic search over activity lists in which every child is justified, for plain projects.
//!
//! After the hybrid genetic algorithm of Valls, Ballestin and Quintanilla 2008, European Journal of Operational
//! Research 185:495, in its outline: lists crossed at two points, children justified, a second population grown from
//! the neighbourhood of the best.

use crate::Project;
use crate::generate::{Layout, Profile};
use crate::hunt::Hunt;

/// What a justified child costs: forward, backward, forward.
const CHILD: u64 = 3;

/// Runs until the hunt is over; `schedules` are what it may spend.
pub fn run(project: &Project, schedules: u64, hunt: &mut Hunt) {
    let mut run = Run::new(project, hunt);
    let size = (schedules / 60).clamp(12, 60) as usize;
    let mut around: Option<Vec<usize>> = None;
    while !run.hunt.is_over(CHILD) {
        let mut members = run.population(size, around.as_deref());
        let mut idle = 0;
        while !run.hunt.is_over(CHILD) && idle < 12 * size {
            let before = run.hunt.ends_at();
            run.breed(&mut members);
            idle = if run.hunt.ends_at() < before { 0 } else { idle + 1 };
        }
        around = if around.is_none() { Some(run.best_list.clone()) } else { None };
    }
}

struct Member {
    list: Vec<usize>,
    end: u32,
}

struct Run<'a, 'b> {
    layout: Layout<'a>,
    profile: Profile,
    starts: Vec<u32>,
    best_list: Vec<usize>,
    /// Longest way from the begin of each activity to the end of all.
    tails: Vec<i64>,
    hunt: &'a mut Hunt<'b>,
}

impl<'a, 'b> Run<'a, 'b> {
    fn new(project: &'a Project, hunt: &'a mut Hunt<'b>) -> Self {
        let layout = Layout::new(project);
        let tails = layout.tails();
        let count = project.lengths.len();
        Self {
            profile: layout.profile(),
            layout,
            starts: vec![0; count],
            best_list: (0..count).collect(),
            tails,
            hunt,
        }
    }

    /// Generates and justifies; the list comes back in the order of the begins.
    fn value(&mut self, mut list: Vec<usize>) -> Member {
        let end = self.layout.forward(&list, &mut self.starts, &mut self.profile);
        self.keep(&list, end);
        let end = self.layout.justify(&mut list, &mut self.starts, end, &mut self.profile);
        self.keep(&list, end);
        self.hunt.spend(CHILD);
        Member { list, end }
    }

    fn keep(&mut self, list: &[usize], end: u32) {
        if self.hunt.keep(end, self.starts.iter().copied()) {
            self.best_list = list.to_vec();
        }
    }

    /// Lists sampled by regret on the latest begin; or, around a list, by taking from it in order with skips.
    fn population(&mut self, size: usize, around: Option<&[usize]>) -> Vec<Member> {
        let mut members = Vec::with_capacity(size);
        for index in 0..size {
            if self.hunt.is_over(CHILD) && !members.is_empty() {
                break;
            }
            let priority: Vec<i64> = match around {
                None => self.tails.iter().map(|tail| -tail).collect(),
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
                let drawn: Vec<usize> = (0..tries).map(|_| self.hunt.below(ready.len())).collect();
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
        let pick = |run: &mut Self| run.hunt.below(size).min(run.hunt.below(size));
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
        } else if place == size && !twin && self.hunt.below(4) == 0 {
            members.pop();
            members.push(child);
        }
    }

    /// Two points: before the first and after the second in the mother's order, between them in the father's.
    fn cross(&mut self, mother: &[usize], father: &[usize]) -> Vec<usize> {
        let count = mother.len();
        let (one, other) = (self.hunt.below(count), self.hunt.below(count));
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
            if self.hunt.below(20) == 0 && !self.layout.before[list[index]].contains(&list[index - 1]) {
                list.swap(index - 1, index);
            }
        }
    }
}
