//! What a wash load is: a task made from a journey and the items that share it.

use serde::{Deserialize, Serialize};

use crate::problem::{Lag, Phase, Point, Problem, RoomUse, Task, Words};

/// Which items share a load: lists of positions in `wash.items`, loads in order.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Grouping(pub Vec<Vec<usize>>);

/// Why a grouping is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoadFault {
    /// An item is in no load, in two, or is not there.
    NotOnce(usize),
    /// A load has no item, or items of different journeys.
    Mixed(usize),
    /// A load is larger than its journey takes.
    TooLarge(usize),
}

/// What is wrong with a grouping; empty when it can be used.
pub fn group_faults(problem: &Problem, grouping: &Grouping) -> Vec<LoadFault> {
    let mut faults = Vec::new();
    let items = &problem.wash.items;
    let mut seen = vec![0_u32; items.len()];
    for (index, load) in grouping.0.iter().enumerate() {
        for &item in load {
            match seen.get_mut(item) {
                Some(count) => *count += 1,
                None => faults.push(LoadFault::NotOnce(item)),
            }
        }
        let known: Vec<_> = load.iter().filter_map(|&item| items.get(item)).collect();
        match known.first() {
            None => faults.push(LoadFault::Mixed(index)),
            Some(first) => {
                if known.iter().any(|item| item.journey != first.journey) {
                    faults.push(LoadFault::Mixed(index));
                } else if known.iter().map(|item| item.size).sum::<u32>()
                    > problem.wash.journeys[first.journey].units
                {
                    faults.push(LoadFault::TooLarge(index));
                }
            }
        }
    }
    for (item, &count) in seen.iter().enumerate() {
        if count != 1 {
            faults.push(LoadFault::NotOnce(item));
        }
    }
    faults
}

/// The grouping to start from: the card's, with every item that the card leaves out in a load of its own.
pub fn first_grouping(problem: &Problem) -> Grouping {
    let mut loads: Vec<Vec<usize>> = problem.wash.given.clone();
    for item in 0..problem.wash.items.len() {
        if !loads.iter().any(|load| load.contains(&item)) {
            loads.push(vec![item]);
        }
    }
    Grouping(loads)
}

/// As many parts of a load are named in its title.
const NAMED: usize = 3;

impl Problem {
    /// The problem with its loads turned into tasks and nothing left to group.
    ///
    /// Load `k` becomes task `self.tasks.len() + k`: its phases are the stages of the journey, each `each_s` longer for
    /// every item; a stage with a room fills one bay with the sum of the items' sizes. The load begins after all
    /// tasks that its items wait for and ends before all tasks that wait for them.
    ///
    /// `grouping` must be one in which [`group_faults`] finds nothing.
    #[must_use]
    pub fn with_loads(&self, grouping: &Grouping) -> Problem {
        let mut out = self.clone();
        for load in &grouping.0 {
            let task = out.tasks.len();
            out.tasks.push(self.load_task(load));
            for &item in load {
                let item = &self.wash.items[item];
                for &after in &item.after {
                    let max_s = item.within_s.map(i64::from);
                    out.lags.push(lag(Point::end(after), Point::begin(task), max_s, &item.title));
                }
                for &before in &item.before {
                    out.lags.push(lag(Point::end(task), Point::begin(before), None, &item.title));
                }
            }
        }
        out.wash = crate::WashWork::default();
        out
    }

    fn load_task(&self, load: &[usize]) -> Task {
        let journey = &self.wash.journeys[self.wash.items[load[0]].journey];
        let units = load.iter().map(|&item| self.wash.items[item].size).sum();
        let mut task = Task { title: self.load_title(load), ..Task::default() };
        for (index, stage) in journey.stages.iter().enumerate() {
            let hands_s = stage.phase.hands_s + stage.each_s * load.len() as u32;
            task.phases.push(Phase { hands_s, ..stage.phase });
            if let Some(room) = stage.room {
                task.rooms.push(RoomUse {
                    room,
                    units,
                    class: journey.class,
                    from_phase: index,
                    to_phase: index,
                });
            }
        }
        task
    }

    /// A load's name: its journey and the first of what is in it.
    fn load_title(&self, load: &[usize]) -> Words {
        let items = || load.iter().map(|&item| &self.wash.items[item]);
        let journey = &self.wash.journeys[self.wash.items[load[0]].journey];
        let mut title = Words::new();
        for (language, name) in &journey.title {
            let parts: Vec<&str> =
                items().filter_map(|item| item.title.get(language)).map(String::as_str).collect();
            let first = parts.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
            let title_text = match (parts.len().saturating_sub(NAMED), language.as_str()) {
                (0, _) => format!("{name}: {first}"),
                (more, "es") => format!("{name}: {first} y {more} más"),
                (more, _) => format!("{name}: {first} and {more} more"),
            };
            title.insert(language.clone(), title_text);
        }
        title
    }
}

fn lag(from: Point, to: Point, max_s: Option<i64>, because: &Words) -> Lag {
    Lag { from, to, min_s: 0, max_s, because: because.clone() }
}
