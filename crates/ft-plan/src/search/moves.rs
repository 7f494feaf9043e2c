//! Small changes of a sequence. Most of them touch what holds the end back: on the chain of pieces that wait for each
//! other, somebody's turn is exchanged, or somebody else does it.

use crate::build::{Crew, members};
use crate::rng::Rng;
use crate::search::frame::Frame;
use crate::search::sequence::Sequence;
use crate::search::state::Waits;

/// What the changes go by.
pub struct Moves {
    /// Which pieces come after which, directly or not, whatever is in the loads.
    reach: Vec<Vec<bool>>,
    people: usize,
}

impl Moves {
    /// The changes of this frame's sequences.
    pub fn new(frame: &Frame) -> Self {
        let pieces = &frame.model.pieces;
        let mut reach = vec![vec![false; pieces.len()]; pieces.len()];
        for (from, reach) in reach.iter_mut().enumerate() {
            let mut open = vec![from];
            while let Some(piece) = open.pop() {
                for &after in &pieces[piece].followers {
                    if !std::mem::replace(&mut reach[after], true) {
                        open.push(after);
                    }
                }
            }
        }
        Self { reach, people: frame.model.problem.people.len() }
    }

    /// Changes a sequence a little. `chain` holds the end back. False where nothing was changed.
    pub fn change(
        &self,
        frame: &Frame,
        next: &mut Sequence,
        chain: &[(usize, Waits)],
        rng: &mut Rng,
    ) -> bool {
        match rng.below(16) {
            0..=4 => self.on_chain(frame, next, chain, rng),
            5 | 6 => self.off_chain(frame, next, chain, rng),
            7 | 8 => Self::anywhere(next, rng),
            9 => Self::swap_anywhere(next, rng),
            10 => {
                let piece = next.order[rng.below(next.order.len())];
                self.other_crew(frame, next, piece, rng)
            }
            11 | 12 => swap_crews(frame, next, rng),
            13 => swap_loads(frame, next, rng),
            _ if frame.is_open && frame.items.len() > 1 => regroup(frame, next, rng),
            _ => Self::anywhere(next, rng),
        }
    }

    /// Exchanges a turn on the chain, or hands one of the two to somebody else.
    fn on_chain(&self, frame: &Frame, next: &mut Sequence, chain: &[(usize, Waits)], rng: &mut Rng) -> bool {
        let turn = |&(piece, waits): &(usize, Waits)| match waits {
            Waits::Turn(before) => Some((before, piece)),
            _ => None,
        };
        let count = chain.iter().filter_map(turn).count();
        if count == 0 {
            return false;
        }
        let Some((before, piece)) = chain.iter().filter_map(turn).nth(rng.below(count)) else { return false };
        match rng.below(if self.people > 1 { 6 } else { 3 }) {
            0 | 1 => self.ahead(frame, next, piece, before),
            2 => self.behind(next, before, piece),
            3 => self.other_crew(frame, next, piece, rng),
            4 => self.other_crew(frame, next, before, rng),
            _ => self.other_crew(frame, next, piece, rng) && self.ahead(frame, next, piece, before),
        }
    }

    /// Moves a piece, with all that it needs, before another.
    fn ahead(&self, frame: &Frame, next: &mut Sequence, piece: usize, before: usize) -> bool {
        let at = |wanted: usize| next.order.iter().position(|&other| other == wanted);
        let (Some(to), Some(from)) = (at(before), at(piece)) else { return false };
        if from <= to {
            return false;
        }
        let task = frame.model.pieces[piece].task;
        let needs = |other: usize| {
            self.reach[other][piece]
                || frame.load(task).is_some_and(|load| {
                    let items = (0..next.load.len()).filter(|&item| next.load[item] == load);
                    let mut after = items.flat_map(|item| &frame.items[item].after);
                    after.any(|&task| {
                        let last = frame.last_piece(task);
                        last == other || self.reach[other][last]
                    })
                })
        };
        if needs(before) {
            return false;
        }
        let moved: Vec<usize> =
            next.order[to..=from].iter().copied().filter(|&other| other == piece || needs(other)).collect();
        next.order[to..=from].sort_by_key(|other| !moved.contains(other));
        true
    }

    /// Moves a piece, with all that waits for it, behind another.
    fn behind(&self, next: &mut Sequence, piece: usize, after: usize) -> bool {
        let at = |wanted: usize| next.order.iter().position(|&other| other == wanted);
        let (Some(from), Some(to)) = (at(piece), at(after)) else { return false };
        if from >= to || self.reach[piece][after] {
            return false;
        }
        let reach = &self.reach[piece];
        next.order[from..=to].sort_by_key(|&other| other == piece || reach[other]);
        true
    }

    /// Moves a piece of the chain not far away; sometimes somebody else then does it.
    fn off_chain(&self, frame: &Frame, next: &mut Sequence, chain: &[(usize, Waits)], rng: &mut Rng) -> bool {
        if chain.is_empty() {
            return false;
        }
        let (piece, _) = chain[rng.below(chain.len())];
        let Some(from) = next.order.iter().position(|&other| other == piece) else { return false };
        let to = near(next.order.len(), from, rng);
        next.order.remove(from);
        next.order.insert(to, piece);
        let is_handed_on = rng.below(2) == 0 && self.other_crew(frame, next, piece, rng);
        from != to || is_handed_on
    }

    fn anywhere(next: &mut Sequence, rng: &mut Rng) -> bool {
        let from = rng.below(next.order.len());
        let to = near(next.order.len(), from, rng);
        let piece = next.order.remove(from);
        next.order.insert(to, piece);
        from != to
    }

    fn swap_anywhere(next: &mut Sequence, rng: &mut Rng) -> bool {
        let from = rng.below(next.order.len());
        let to = near(next.order.len(), from, rng);
        next.order.swap(from, to);
        from != to
    }

    /// Somebody else does what is attended of a piece: of each act one of those who do it changes.
    fn other_crew(&self, frame: &Frame, next: &mut Sequence, piece: usize, rng: &mut Rng) -> bool {
        let wish = rng.below(self.people);
        let mut is_changed = false;
        for act in frame.model.pieces[piece].acts.clone() {
            let what = &frame.model.acts[act];
            let bit: Crew = 1 << wish;
            if next.crew[act] == 0 || next.crew[act] & bit != 0 || !what.able.contains(&wish) {
                continue;
            }
            // Who goes is the lowest or the highest of them: with one person there is no difference.
            let goes =
                if rng.below(2) == 0 { next.crew[act].trailing_zeros() } else { next.crew[act].ilog2() };
            next.crew[act] = next.crew[act] & !(1 << goes) | bit;
            is_changed = true;
        }
        is_changed
    }
}

/// Two who each do a piece by themselves exchange them; sometimes the pieces exchange their turns, too.
///
/// Handed on one by one, the first would leave one of them with too much to do, and be refused.
fn swap_crews(frame: &Frame, next: &mut Sequence, rng: &mut Rng) -> bool {
    let from = rng.below(next.order.len());
    let to = near(next.order.len(), from, rng);
    let (one, other) = (next.order[from], next.order[to]);
    let who = |next: &Sequence, piece: usize| {
        let mut crews = frame.model.pieces[piece].acts.clone().map(|act| next.crew[act]);
        crews.find(|&crew| crew != 0).filter(|crew| crew.is_power_of_two())
    };
    let (Some(own), Some(theirs)) = (who(next, one), who(next, other)) else { return false };
    if own == theirs || !give(frame, next, one, theirs) || !give(frame, next, other, own) {
        return false;
    }
    if rng.below(2) == 0 {
        next.order.swap(from, to);
    }
    true
}

/// Two loads of as many pieces exchange all their turns; half of the time those who do them go with the turn.
///
/// Stage by stage they would stand in each other's way at every sink.
fn swap_loads(frame: &Frame, next: &mut Sequence, rng: &mut Rng) -> bool {
    let loads = frame.journey.len();
    if loads < 2 {
        return false;
    }
    let (one, other) = (rng.below(loads), rng.below(loads));
    let (ones, others) = (frame.pieces_of(one), frame.pieces_of(other));
    let is_full = |load: &usize| next.load.contains(load);
    if one == other || ones.len() != others.len() || !is_full(&one) || !is_full(&other) {
        return false;
    }
    for piece in &mut next.order {
        if ones.contains(piece) {
            *piece = *piece - ones.start + others.start;
        } else if others.contains(piece) {
            *piece = *piece - others.start + ones.start;
        }
    }
    if rng.below(2) == 0 {
        let acts = |load: usize| frame.model.acts_of(frame.card_tasks + load);
        for (act, same) in acts(one).zip(acts(other)) {
            let can = |act: usize, crew: Crew| {
                members(crew).all(|person| frame.model.acts[act].able.contains(&person))
            };
            if can(act, next.crew[same]) && can(same, next.crew[act]) {
                next.crew.swap(act, same);
            }
        }
    }
    true
}

/// One person does all of a piece that needs one. False where they cannot.
fn give(frame: &Frame, next: &mut Sequence, piece: usize, crew: Crew) -> bool {
    for act in frame.model.pieces[piece].acts.clone().filter(|&act| frame.model.acts[act].people == 1) {
        if !frame.model.acts[act].able.contains(&(crew.trailing_zeros() as usize)) {
            return false;
        }
        next.crew[act] = crew;
    }
    true
}

/// A position not far away.
fn near(count: usize, from: usize, rng: &mut Rng) -> usize {
    let reach = 1 + rng.below(count.min(20));
    if rng.below(2) == 0 { from.saturating_sub(reach) } else { (from + reach).min(count - 1) }
}

/// Moves an item to another load, exchanges two, or puts one load into another.
fn regroup(frame: &Frame, next: &mut Sequence, rng: &mut Rng) -> bool {
    let item = rng.below(next.load.len());
    let from = next.load[item];
    let journey = frame.journey[from];
    let size = |load: usize, next: &Sequence| -> u32 {
        let own = next.load.iter().zip(&frame.items).filter(|(own, _)| **own == load);
        own.map(|(_, item)| item.size).sum()
    };
    let loads: Vec<usize> =
        (0..frame.journey.len()).filter(|&load| load != from && frame.journey[load] == journey).collect();
    if loads.is_empty() {
        return false;
    }
    let to = loads[rng.below(loads.len())];
    let mut load = next.load.clone();
    match rng.below(4) {
        0 => load.iter_mut().filter(|own| **own == from).for_each(|own| *own = to),
        1 => {
            let others: Vec<usize> = (0..load.len()).filter(|&other| load[other] == to).collect();
            if !others.is_empty() {
                load[others[rng.below(others.len())]] = from;
            }
            load[item] = to;
        }
        _ => load[item] = to,
    }
    std::mem::swap(&mut next.load, &mut load);
    if size(from, next).max(size(to, next)) > frame.units[journey] {
        next.load = load;
        return false;
    }
    fill(frame, next, from, to);
    true
}

/// A load that was empty comes where the other comes; one that now is leaves the order.
fn fill(frame: &Frame, next: &mut Sequence, from: usize, to: usize) {
    let is_in = |next: &Sequence, load: usize| next.order.contains(&frame.pieces_of(load).start);
    if !is_in(next, to) {
        let pairs = frame.pieces_of(from).zip(frame.pieces_of(to));
        for (old, new) in pairs {
            let at = next.order.iter().position(|&piece| piece == old).map_or(next.order.len(), |at| at + 1);
            next.order.insert(at, new);
            for (old, new) in frame.model.pieces[old].acts.clone().zip(frame.model.pieces[new].acts.clone()) {
                next.crew[new] = next.crew[old];
            }
        }
    }
    if !next.load.contains(&from) {
        let gone = frame.pieces_of(from);
        next.order.retain(|piece| !gone.contains(piece));
    }
}
