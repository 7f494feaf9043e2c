//! The problem laid out for sequences: every load that there may be is a task of its own, full or empty.
//!
//! What a load holds is a decision, so its lengths, its room and what it waits for follow from its items; everything
//! else is fixed and worked out once.

use ft_night::{Edge, Grouping, Item, Point, Problem};

use crate::bound::Bounds;
use crate::model::{Cuts, Model, Time};

/// Loads of a journey that there may be beyond the fewest that hold its items.
const SPARE_LOADS: usize = 4;

/// The problem laid out.
pub struct Frame {
    /// The card's tasks, then one for each load, without the lags of its items.
    pub model: Model,
    /// Loads come after so many tasks.
    pub card_tasks: usize,
    /// What is to be washed.
    pub items: Vec<Item>,
    /// For each load its journey.
    pub journey: Vec<usize>,
    /// The most that one load of each journey takes.
    pub units: Vec<u32>,
    /// Whether items may change their load.
    pub is_open: bool,
    /// For each piece those that are placed before it, whatever is in the loads.
    pub before: Vec<Vec<usize>>,
    /// For each piece the items whose load must have ended before it begins.
    pub awaits: Vec<Vec<usize>>,
    /// For each act its hand seconds without any item, and those for each item.
    hands: Vec<(u32, u32)>,
    /// Seconds that must follow the end of each act at least, whatever is in the loads.
    pub after: Vec<Time>,
}

impl Frame {
    /// Lays out a problem. `loads` is the grouping that the search begins with: load for load the first loads of the
    /// frame; and the one that stands if `is_open` is false.
    pub fn new(problem: &Problem, loads: &Grouping, floor: &Bounds, is_open: bool, cuts: Cuts) -> Self {
        let slots = if is_open { slots(problem, loads) } else { loads.0.clone() };
        let items = problem.wash.items.clone();
        let journey: Vec<usize> = slots.iter().map(|slot| items[slot[0]].journey).collect();
        let mut whole = problem.with_loads(&Grouping(slots));
        whole.lags.truncate(problem.lags.len());
        let model = Model::with_cuts(whole, cuts);
        let card_tasks = problem.tasks.len();
        let hands = |act: &crate::model::Act| match act.task.checked_sub(card_tasks) {
            None => (problem.tasks[act.task].phases[act.phase].hands_s, 0),
            Some(load) => {
                let stage = &problem.wash.journeys[journey[load]].stages[act.phase];
                (stage.phase.hands_s, stage.each_s)
            }
        };
        let hands = model.acts.iter().map(hands).collect();
        let mut before = vec![Vec::new(); model.pieces.len()];
        for (piece, what) in model.pieces.iter().enumerate() {
            what.followers.iter().for_each(|&after| before[after].push(piece));
        }
        let mut awaits = vec![Vec::new(); model.pieces.len()];
        for (index, item) in items.iter().enumerate() {
            item.before.iter().for_each(|&task| awaits[model.first_piece[task]].push(index));
        }
        let units = problem.wash.journeys.iter().map(|journey| journey.units).collect();
        let after = after(&model, &journey, &items, floor, card_tasks);
        Self { model, card_tasks, items, journey, units, is_open, before, awaits, hands, after }
    }

    /// The load that a task is, if it is one.
    pub fn load(&self, task: usize) -> Option<usize> {
        task.checked_sub(self.card_tasks)
    }

    /// The pieces of a load.
    pub fn pieces_of(&self, load: usize) -> std::ops::Range<usize> {
        let task = self.card_tasks + load;
        self.model.first_piece[task]..self.model.first_piece[task + 1]
    }

    /// The piece with which a task ends.
    pub fn last_piece(&self, task: usize) -> usize {
        self.model.piece_at(Point { task, edge: Edge::End })
    }

    /// Seconds that an act takes one of those who do it, with so many items in its load.
    pub fn length(&self, act: usize, person: usize, items: usize) -> Time {
        let what = &self.model.acts[act];
        if what.task < self.card_tasks {
            return what.length[person];
        }
        let (empty, each) = self.hands[act];
        let hands = empty + each * items as u32;
        let paced = if what.people == 0 { hands } else { self.model.problem.people[person].paced(hands) };
        Time::from(paced) + Time::from(self.model.problem.tasks[what.task].phases[what.phase].wait_s)
    }
}

/// The loads to begin with, and for each journey as many more as there may be, each laid out with one item.
fn slots(problem: &Problem, loads: &Grouping) -> Vec<Vec<usize>> {
    let mut slots = loads.0.clone();
    let wash = &problem.wash;
    for (index, journey) in wash.journeys.iter().enumerate() {
        let own = || (0..wash.items.len()).filter(|&item| wash.items[item].journey == index);
        let Some(sample) = own().next() else { continue };
        let size: u32 = own().map(|item| wash.items[item].size).sum();
        let fewest = size.div_ceil(journey.units.max(1)) as usize;
        let have = slots.iter().filter(|slot| wash.items[slot[0]].journey == index).count();
        let most = own().count().min(fewest + SPARE_LOADS);
        slots.extend((have..most).map(|_| vec![sample]));
    }
    slots
}

/// What must follow each act: for a load, the least of what follows any item of its journey that is washed by itself.
///
/// `floor` has the acts of the card, and then those of either one load for each item or of the loads that stand.
fn after(model: &Model, journey: &[usize], items: &[Item], floor: &Bounds, card_tasks: usize) -> Vec<Time> {
    let card = model.first[card_tasks];
    if floor.after.len() == model.acts.len() {
        return floor.after.clone();
    }
    let mut first = card;
    let mut least: std::collections::BTreeMap<(usize, usize), Time> = std::collections::BTreeMap::new();
    let stages = |index: usize| {
        let load = journey.iter().position(|&own| own == index);
        load.map_or(0, |load| model.acts_of(card_tasks + load).len())
    };
    for item in items {
        for phase in 0..stages(item.journey) {
            let after = floor.after.get(first).copied().unwrap_or(0);
            first += 1;
            let least = least.entry((item.journey, phase)).or_insert(after);
            *least = after.min(*least);
        }
    }
    let of = |act: usize| {
        let what = &model.acts[act];
        match what.task.checked_sub(card_tasks) {
            None => floor.after[act],
            Some(load) => least.get(&(journey[load], what.phase)).copied().unwrap_or(0),
        }
    };
    (0..model.acts.len()).map(of).collect()
}
