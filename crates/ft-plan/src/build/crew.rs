//! Who does a phase: the crew that is done with it first.

use crate::build::day::Busy;
use crate::build::{Crew, Night, members};
use crate::model::Time;

impl Night<'_> {
    /// Puts a crew to work.
    pub fn seat(&mut self, act: usize, start: Time, crew: Crew) {
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
    pub fn meet(&self, act: usize, crew: Crew, at: Time) -> Option<(Time, Time)> {
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
    pub fn choose(&self, act: usize, at: Time, favour: Option<usize>) -> Option<(Time, Crew)> {
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
