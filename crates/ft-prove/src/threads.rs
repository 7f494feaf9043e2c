//! Threads of a slice that are alike: sides, people, parts. Exchanging what has happened in two of them changes
//! nothing that a question can see, so of all the states that differ only so, one is enough.

use crate::bits::Bits;
use crate::slice::{Question, Slice};
use crate::states::has;

impl Slice {
    /// Groups of threads that may be exchanged: by group, by thread, its local events in the card's order.
    pub(crate) fn threads(&self, questions: &[Question], sure: &Bits) -> Vec<Vec<Vec<usize>>> {
        let mut groups: Vec<Vec<Vec<usize>>> = Vec::new();
        for thread in self.components() {
            // Longer threads would not fit the key that they are sorted by.
            if thread.len() > 64 {
                continue;
            }
            match groups.iter_mut().find(|group| self.alike(&group[0], &thread, questions, sure)) {
                Some(group) => group.push(thread),
                None => groups.push(vec![thread]),
            }
        }
        groups.retain(|group| group.len() > 1);
        groups
    }

    /// The events in threads that no order ties together.
    fn components(&self) -> Vec<Vec<usize>> {
        let size = self.events.len();
        let mut of: Vec<usize> = (0..size).collect();
        for event in 0..size {
            for before in self.moves[event].before.iter() {
                let (from, to) = (of[event].max(of[before]), of[event].min(of[before]));
                if from != to {
                    of.iter_mut().filter(|name| **name == from).for_each(|name| *name = to);
                }
            }
        }
        let mut threads = vec![Vec::new(); size];
        for event in 0..size {
            threads[of[event]].push(event);
        }
        threads.retain(|thread| !thread.is_empty());
        threads
    }

    fn alike(&self, a: &[usize], b: &[usize], questions: &[Question], sure: &Bits) -> bool {
        let inside = |thread: &[usize], event: usize| {
            thread.iter().map(|&first| self.moves[event].before.has(first)).collect::<Vec<_>>()
        };
        a.len() == b.len()
            && a.iter().zip(b).all(|(&x, &y)| {
                let (mx, my) = (&self.moves[x], &self.moves[y]);
                mx.guard == my.guard
                    && mx.effects == my.effects
                    && mx.cases == my.cases
                    && mx.never == my.never
                    && sure.has(x) == sure.has(y)
                    && inside(a, x) == inside(b, y)
                    && questions.iter().all(|question| {
                        question.must.has(x) == question.must.has(y)
                            && question.must_not.has(x) == question.must_not.has(y)
                    })
            })
    }
}

/// Sorts the threads of a group by what has happened in them; says whether that changed anything.
pub(crate) fn exchange(state: &mut [u64], group: &[Vec<usize>], keys: &mut Vec<u64>) -> bool {
    keys.clear();
    for thread in group {
        let mut key = 0;
        for (at, &event) in thread.iter().enumerate() {
            key |= u64::from(has(state, event)) << at;
        }
        keys.push(key);
    }
    if keys.is_sorted() {
        return false;
    }
    keys.sort_unstable();
    for (thread, key) in group.iter().zip(keys.iter()) {
        for (at, &event) in thread.iter().enumerate() {
            state[event / 64] &= !(1 << (event % 64));
            state[event / 64] |= (key >> at & 1) << (event % 64);
        }
    }
    true
}
