//! The rules of a plan as arcs: what each phase waits for, given who does what in which order.
//!
//! A plan fixes more than times: who follows whom, which load has which bay when, whose bucket comes from whom. These
//! arcs keep all of that and forget the times, so that the chain that holds the end back can be read off, and the night
//! can be played again with other lengths.

use ft_night::{Edge, Plan, Problem};

/// Why a phase waits for another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Because {
    /// The phase before it in the same step.
    PhaseBefore,
    /// A lag between two steps: its position in the problem with loads.
    Lag(usize),
    /// The other has this kit.
    Kit(usize),
    /// The other is still in this room.
    Room(usize),
    /// This person does the other phase before.
    Person(usize),
    /// It may not begin earlier: release, serving, the present, or somebody who has not come.
    Clock,
}

/// `to` begins at least `least_s` after an end of `from`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Arc {
    /// Position in the plan's assignments.
    pub from: usize,
    /// Whether counted from the end of `from` (else from its begin).
    pub from_end: bool,
    /// Position in the plan's assignments.
    pub to: usize,
    /// Whether it is the end of `to` that waits (else its begin).
    pub to_end: bool,
    /// Seconds between.
    pub least_s: i64,
    /// Why.
    pub because: Because,
}

/// The arcs of a plan. `whole` is the problem with the plan's loads.
pub fn arcs(whole: &Problem, plan: &Plan) -> Vec<Arc> {
    let at = positions(whole, plan);
    let mut arcs = Vec::new();
    for row in &at {
        for pair in row.windows(2) {
            arcs.push(after(pair[0], pair[1], 0, Because::PhaseBefore));
        }
    }
    let last = |task: usize| at[task][at[task].len() - 1];
    for (index, lag) in whole.lags.iter().enumerate() {
        let (from_end, to_end) = (lag.from.edge == Edge::End, lag.to.edge == Edge::End);
        let from = if from_end { last(lag.from.task) } else { at[lag.from.task][0] };
        let to = if to_end { last(lag.to.task) } else { at[lag.to.task][0] };
        arcs.push(Arc { from, from_end, to, to_end, least_s: lag.min_s, because: Because::Lag(index) });
    }
    people(whole, plan, &mut arcs);
    rooms(whole, plan, &at, &mut arcs);
    kit(whole, plan, &at, &mut arcs);
    arcs
}

fn after(from: usize, to: usize, least_s: i64, because: Because) -> Arc {
    Arc { from, from_end: true, to, to_end: false, least_s, because }
}

/// Position of each phase of each task in the plan's assignments.
pub fn positions(whole: &Problem, plan: &Plan) -> Vec<Vec<usize>> {
    let mut at: Vec<Vec<usize>> = whole.tasks.iter().map(|task| vec![0; task.phases.len()]).collect();
    for (position, one) in plan.assignments.iter().enumerate() {
        at[one.task][one.phase] = position;
    }
    at
}

fn people(whole: &Problem, plan: &Plan, arcs: &mut Vec<Arc>) {
    for person in 0..whole.people.len() {
        let mut day: Vec<usize> = (0..plan.assignments.len())
            .filter(|&one| plan.assignments[one].people.contains(&person))
            .collect();
        day.sort_by_key(|&one| (plan.assignments[one].start_s, plan.assignments[one].end_s));
        for pair in day.windows(2) {
            let walk = whole.walk(plan.assignments[pair[0]].place, plan.assignments[pair[1]].place);
            arcs.push(after(pair[0], pair[1], i64::from(walk), Because::Person(person)));
        }
    }
}

/// Whoever comes into a bay waits for all who have left it.
fn rooms(whole: &Problem, plan: &Plan, at: &[Vec<usize>], arcs: &mut Vec<Arc>) {
    struct Stay {
        room: usize,
        bay: u32,
        begin: usize,
        /// The assignment that frees the bay, and whether by its end.
        leaves: (usize, bool),
        from_s: u32,
        to_s: u32,
    }
    let mut stays = Vec::new();
    for (task, what) in whole.tasks.iter().enumerate() {
        for (index, used) in what.rooms.iter().enumerate() {
            let begin = at[task][used.from_phase];
            let position =
                what.rooms[..index].iter().filter(|other| other.from_phase == used.from_phase).count();
            let bay = plan.assignments[begin].bays.get(position).copied().unwrap_or(0);
            let next = at[task].get(used.to_phase + 1);
            let leaves = next.map_or((at[task][at[task].len() - 1], true), |&next| (next, false));
            let one = &plan.assignments[leaves.0];
            let to_s = if leaves.1 { one.end_s } else { one.start_s };
            stays.push(Stay {
                room: used.room,
                bay,
                begin,
                leaves,
                from_s: plan.assignments[begin].start_s,
                to_s,
            });
        }
    }
    for early in &stays {
        for late in &stays {
            let same = early.room == late.room && early.bay == late.bay && early.begin != late.begin;
            if same && early.to_s <= late.from_s && early.from_s < late.to_s {
                let because = Because::Room(early.room);
                arcs.push(Arc { from_end: early.leaves.1, ..after(early.leaves.0, late.begin, 0, because) });
            }
        }
    }
}

/// Gives each piece of kit to its holders one after the other; each waits for the one before.
fn kit(whole: &Problem, plan: &Plan, at: &[Vec<usize>], arcs: &mut Vec<Arc>) {
    for (kit, pool) in whole.kit.iter().enumerate() {
        let taken_at = |hold: &ft_night::Hold| plan.assignments[at[hold.from_task][0]].start_s;
        let giver = |hold: &ft_night::Hold| at[hold.to_task][at[hold.to_task].len() - 1];
        let mut holds: Vec<_> = whole.holds.iter().filter(|hold| hold.kit == kit).collect();
        holds.sort_by_key(|hold| taken_at(hold));
        let mut pieces: Vec<Option<usize>> = vec![None; pool.count as usize];
        for hold in holds {
            let free = |piece: &Option<usize>| piece.map_or(0, |giver| plan.assignments[giver].end_s);
            // The piece that came back last leaves the others free for longest before: fewest arcs that bind.
            for _ in 0..hold.count {
                let usable = (0..pieces.len()).filter(|&piece| free(&pieces[piece]) <= taken_at(hold));
                let Some(piece) = usable.min_by_key(|&piece| free(&pieces[piece])) else { break };
                if let Some(before) = pieces[piece] {
                    arcs.push(after(before, at[hold.from_task][0], 0, Because::Kit(kit)));
                }
                pieces[piece] = Some(giver(hold));
            }
        }
    }
}

/// Seconds before which an assignment may not begin whatever the others do. `stops` says whether it is the one that
/// takes its side out of service after a serving rule's hour.
pub fn clock_s(whole: &Problem, plan: &Plan, position: usize) -> u32 {
    let one = &plan.assignments[position];
    let task = &whole.tasks[one.task];
    let mut clock = task.release_s.max(whole.now_s);
    for &person in &one.people {
        clock = clock.max(whole.people[person].from_s);
    }
    if let Some(side) = task.side.filter(|_| task.ends_service && one.phase == 0) {
        clock = clock.max(whole.sides[side].serves_until_s);
        let machine = whole.sides[side].machine;
        let kept = whole.serving.iter().filter(|rule| rule.machine == machine && rule.until_s <= one.start_s);
        clock = clock.max(kept.map(|rule| rule.until_s).max().unwrap_or(0));
    }
    clock
}
