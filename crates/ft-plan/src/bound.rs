//! Not earlier than: what no plan can beat, and why.
//!
//! Two arguments. The longest chain of phases and lags; and, for every group of people or room that some work cannot do
//! without, that what begins after `head` and is followed by `tail` has to pass through it in between.

use ft_night::Edge;

use crate::model::{FULL_LOAD, Model, NEVER, Time};

/// What is known before any search.
pub struct Bounds {
    /// Earliest begin of each act.
    pub head: Vec<Time>,
    /// Seconds that must follow the begin of each act, itself among them, at least.
    pub tail: Vec<Time>,
    /// Seconds that must follow the end of each act at least, however long it takes.
    pub after: Vec<Time>,
    /// No plan ends earlier.
    pub ends_at: Time,
    /// Why no plan exists at all, if that is so.
    pub conflict: Vec<String>,
}

/// An arc: `to` begins at least `least` after `from` begins; counted from the end of `from`, where it is as short as can
/// be, if `from_end`.
struct Arc {
    from: usize,
    to: usize,
    least: Time,
    from_end: bool,
}

/// Works out the bounds: the least of those of all choices of which sides go on serving.
///
/// Cost: the number of acts cubed at worst for each choice, of which there are at most [`MAX_CHOICES`].
pub fn bounds(model: &Model) -> Bounds {
    let each = serving_choices(model).into_iter().map(|until| bounds_of(model, &until));
    each.min_by_key(|bounds| (!bounds.conflict.is_empty(), bounds.ends_at)).expect("there is always a choice")
}

/// More choices than this are not looked at one by one; the serving rules are then left out of the bounds.
const MAX_CHOICES: usize = 64;

/// For every choice of the sides that keep serving: until when each side serves at least.
fn serving_choices(model: &Model) -> Vec<Vec<Time>> {
    let problem = &model.problem;
    let own: Vec<Time> = problem.sides.iter().map(|side| Time::from(side.serves_until_s)).collect();
    let mut choices = vec![own.clone()];
    for rule in problem.serving.iter().filter(|rule| rule.keep > 0) {
        let sides: Vec<usize> =
            (0..own.len()).filter(|&side| problem.sides[side].machine == rule.machine).collect();
        let mut next = Vec::new();
        for choice in &choices {
            for kept in 0_u32..1 << sides.len().min(8) {
                if kept.count_ones() == rule.keep.min(sides.len() as u32) {
                    let mut until = choice.clone();
                    for (_, &side) in
                        sides.iter().enumerate().filter(|(position, _)| kept >> position & 1 == 1)
                    {
                        until[side] = until[side].max(Time::from(rule.until_s));
                    }
                    next.push(until);
                }
            }
        }
        if next.is_empty() || next.len() > MAX_CHOICES {
            return vec![own];
        }
        choices = next;
    }
    choices
}

fn bounds_of(model: &Model, until: &[Time]) -> Bounds {
    let conflict = impossible_alone(model);
    let count = model.acts.len();
    if !conflict.is_empty() {
        return Bounds {
            head: vec![0; count],
            tail: vec![0; count],
            after: vec![0; count],
            ends_at: 0,
            conflict,
        };
    }
    let arcs = arcs(model);
    let mut out = Bounds {
        head: (0..count).map(|act| release(model, act, until)).collect(),
        tail: model.acts.iter().map(|act| act.shortest).collect(),
        after: vec![0; count],
        ends_at: 0,
        conflict,
    };
    let onward: Vec<_> = arcs.iter().map(|arc| (arc.from, arc.to, arc.least)).collect();
    let back: Vec<_> = arcs.iter().map(|arc| (arc.to, arc.from, arc.least)).collect();
    let forward = settle(&mut out.head, &onward);
    let backward = settle(&mut out.tail, &back);
    if !(forward && backward) {
        out.conflict.push("some lags ask for more time between two steps than others allow".to_owned());
        return out;
    }
    for arc in &arcs {
        let length = if arc.from_end { model.acts[arc.from].shortest } else { longest(model, arc.from) };
        out.after[arc.from] = out.after[arc.from].max(out.tail[arc.to] + arc.least - length);
    }
    let chain = (0..count).map(|act| out.head[act] + out.tail[act]).max().unwrap_or(0);
    let past = model.past.iter().flatten().map(|past| past.end).max().unwrap_or(0);
    out.ends_at = chain.max(past).max(people(model, &out)).max(rooms(model, &out));
    for act in 0..count {
        let task = &model.problem.tasks[model.acts[act].task];
        let last = act + 1 == model.first[model.acts[act].task + 1];
        let due = task.due_s.map_or(NEVER, Time::from);
        let end = out.head[act] + model.acts[act].shortest;
        if last && end > due && model.past[act].is_none() {
            out.conflict.push(format!(
                "step {} ends at {end} s at the earliest, {} s too late",
                model.acts[act].task,
                end - due
            ));
        }
    }
    if out.ends_at > model.deadline {
        let over = out.ends_at - model.deadline;
        out.conflict.push(format!("nothing ends before {} s, {over} s after the time asked", out.ends_at));
    }
    out
}

/// Phases that nobody can do and things that fit nowhere.
fn impossible_alone(model: &Model) -> Vec<String> {
    let problem = &model.problem;
    let mut conflict = Vec::new();
    for (index, act) in model.acts.iter().enumerate() {
        if act.able.len() < act.people && model.past[index].is_none() {
            let what = format!(
                "step {} needs {} people who can do it, there are {}",
                act.task,
                act.people,
                act.able.len()
            );
            conflict.push(what);
        }
    }
    for (index, task) in problem.tasks.iter().enumerate() {
        for used in &task.rooms {
            let room = &problem.rooms[used.room];
            let begun = model.past[model.first[index] + used.from_phase].is_some();
            if !begun && (room.bays == 0 || used.units > room.units) {
                conflict
                    .push(format!("step {index} needs {} units of a bay, it has {}", used.units, room.units));
            }
        }
    }
    for hold in &problem.holds {
        let begun = model.past[model.first[hold.from_task]].is_some();
        if hold.count > problem.kit[hold.kit].count && !begun && lasts(model, hold) {
            let (task, count, of) = (hold.from_task, hold.count, problem.kit[hold.kit].count);
            conflict.push(format!("step {task} needs {count} of a kit of {of}"));
        }
    }
    conflict
}

/// Whether a hold surely takes its kit for a while: it may come back at the very instant at which it is taken.
fn lasts(model: &Model, hold: &ft_night::Hold) -> bool {
    let takes_time = |task: usize| model.acts_of(task).any(|act| model.acts[act].shortest > 0);
    let follows = |lag: &ft_night::Lag| {
        (lag.from.task, lag.to.task) == (hold.from_task, hold.to_task)
            && lag.from.edge == Edge::End
            && lag.min_s >= 0
    };
    takes_time(hold.from_task) && (hold.from_task == hold.to_task || model.problem.lags.iter().any(follows))
}

fn release(model: &Model, act: usize, until: &[Time]) -> Time {
    if let Some(past) = &model.past[act] {
        return past.start;
    }
    let task = &model.problem.tasks[model.acts[act].task];
    let side = task.side.filter(|_| task.ends_service).map_or(0, |side| until[side]);
    let able = &model.acts[act].able;
    let mut from: Vec<Time> =
        able.iter().map(|&person| Time::from(model.problem.people[person].from_s)).collect();
    from.sort_unstable();
    let here = if model.acts[act].people == 0 {
        0
    } else {
        from.get(model.acts[act].people - 1).copied().unwrap_or(0)
    };
    model.now.max(Time::from(task.release_s)).max(side).max(here)
}

fn longest(model: &Model, act: usize) -> Time {
    model.acts[act].length.iter().copied().max().unwrap_or(0)
}

fn arcs(model: &Model) -> Vec<Arc> {
    let mut arcs = Vec::new();
    let span = |act: usize| model.past[act].as_ref().map(|past| past.end - past.start);
    let short = |act: usize| span(act).unwrap_or_else(|| model.acts[act].shortest);
    let long = |act: usize| span(act).unwrap_or_else(|| longest(model, act));
    for act in 0..model.acts.len() {
        if model.acts[act].phase == 0 {
            continue;
        }
        arcs.push(Arc { from: act - 1, to: act, least: short(act - 1), from_end: true });
        let late = model.acts[act].late;
        if late < NEVER && model.past[act - 1].is_none() && !model.acts[act].shares_room {
            arcs.push(Arc { from: act, to: act - 1, least: -late - long(act - 1), from_end: false });
        }
    }
    let last = |task: usize| model.first[task + 1] - 1;
    for lag in &model.problem.lags {
        let point = |point: ft_night::Point| match point.edge {
            Edge::Begin => (model.first[point.task], 0, 0),
            Edge::End => (last(point.task), short(last(point.task)), long(last(point.task))),
        };
        let ((from, from_short, from_long), (to, to_short, to_long)) = (point(lag.from), point(lag.to));
        if from == to {
            continue;
        }
        let from_end = lag.from.edge == Edge::End;
        arcs.push(Arc { from, to, least: from_short + lag.min_s - to_long, from_end });
        if let Some(max) = lag.max_s
            && model.past[from].is_none()
        {
            let from_end = lag.to.edge == Edge::End;
            arcs.push(Arc { from: to, to: from, least: to_short - max - from_long, from_end });
        }
    }
    for hold in model.problem.holds.iter().filter(|hold| hold.from_task != hold.to_task) {
        let (from, to) = (model.first[hold.from_task], last(hold.to_task));
        arcs.push(Arc { from, to, least: -long(to), from_end: false });
        if Model::is_instant(&model.problem, hold) && model.past[from].is_none() {
            arcs.push(Arc { from: to, to: from, least: short(to), from_end: true });
        }
    }
    arcs
}

/// Raises the values until every arc holds; false where that never ends.
fn settle(value: &mut [Time], arcs: &[(usize, usize, Time)]) -> bool {
    for _ in 0..=value.len() {
        let mut changed = false;
        for &(from, to, least) in arcs {
            if value[to] < value[from] + least {
                value[to] = value[from] + least;
                changed = true;
            }
        }
        if !changed {
            return true;
        }
    }
    false
}

/// Weight of a second of somebody at the usual pace; that of a slower person is less in proportion.
const USUAL_WEIGHT: Time = 100_000;

/// Work that only some people can do, against the time that they have.
///
/// Any weights of people's seconds give a bound: what the acts weigh at least, each done by the crew that weighs least,
/// must be had from the seconds of those who are here. Weights in inverse proportion to the paces of a group, and none
/// outside it, make hand work weigh the same whoever of the group does it, and what others could do weigh nothing.
fn people(model: &Model, bounds: &Bounds) -> Time {
    let mut groups: Vec<Vec<usize>> =
        model.acts.iter().filter(|act| act.people > 0).map(|act| act.able.clone()).collect();
    groups.push((0..model.problem.people.len()).collect());
    groups.sort();
    groups.dedup();
    let mut best = 0;
    for group in groups.iter().filter(|group| !group.is_empty()) {
        let mut weight = vec![0; model.problem.people.len()];
        for &person in group {
            weight[person] = USUAL_WEIGHT / Time::from(model.problem.people[person].paced(100)).max(1);
        }
        let acts: Vec<usize> = (0..model.acts.len())
            .filter(|&act| model.acts[act].people > 0 && model.past[act].is_none())
            .filter(|&act| weigh(model, act, &weight, model.acts[act].length.as_slice()) > 0)
            .collect();
        let work = |act: usize| match &model.acts[act].share {
            None => Work {
                alone: weigh(model, act, &weight, &model.acts[act].length),
                rate: rate(model, act, &weight),
                ..Work::default()
            },
            Some(share) => Work {
                alone: weigh(model, act, &weight, &share.own),
                rate: rate(model, act, &weight),
                shared: weigh(model, act, &weight, &share.common),
                pool: Some(share.pool),
                size: share.size,
            },
        };
        let end_for =
            |head, tail, work, best: Time| earliest_end(model, &weight, head, work, best - tail) + tail;
        best = best.max(through(&acts, bounds, work, end_for));
    }
    best
}

/// What an act of these lengths weighs at least, whoever does it.
fn weigh(model: &Model, act: usize, weight: &[Time], length: &[Time]) -> Time {
    let what = &model.acts[act];
    let mut each: Vec<Time> = what.able.iter().map(|&person| weight[person] * length[person]).collect();
    each.sort_unstable();
    each.iter().take(what.people).sum()
}

/// What a second of an act weighs at most, whoever does it.
fn rate(model: &Model, act: usize, weight: &[Time]) -> Time {
    let what = &model.acts[act];
    let mut each: Vec<Time> = what.able.iter().map(|&person| weight[person]).collect();
    each.sort_unstable();
    each.iter().rev().take(what.people).sum()
}

/// When people, from `head` on, have been here for seconds of so much weight at the earliest; nothing before `floor` is
/// looked for.
fn earliest_end(model: &Model, weight: &[Time], head: Time, work: Time, floor: Time) -> Time {
    let worked = |until: Time| -> Time {
        let here = |person: &ft_night::Person| {
            let to = person.to_s.map_or(until, |to| until.min(Time::from(to)));
            (to - Time::from(person.from_s).max(head)).max(0)
        };
        model.problem.people.iter().zip(weight).map(|(person, weight)| weight * here(person)).sum()
    };
    let mut low = head.max(floor);
    if worked(low) >= work {
        return low;
    }
    let mut high = low + NEVER / USUAL_WEIGHT / 1_000;
    if worked(high) < work {
        return NEVER / 2;
    }
    while low < high {
        let middle = low + (high - low) / 2;
        if worked(middle) >= work { high = middle } else { low = middle + 1 }
    }
    low
}

/// Room against the time that it has.
fn rooms(model: &Model, bounds: &Bounds) -> Time {
    let mut best = 0;
    for (room, what) in model.problem.rooms.iter().enumerate() {
        let mut need = vec![(0, 0); model.acts.len()];
        for (task, uses) in model.problem.tasks.iter().enumerate().map(|(task, what)| (task, &what.rooms)) {
            for used in uses.iter().filter(|used| used.room == room) {
                for phase in used.from_phase..=used.to_phase {
                    let act = model.first[task] + phase;
                    if model.past[act].is_none() && !model.acts[act].shares_room {
                        need[act].0 += Time::from(used.units) * model.acts[act].shortest;
                        need[act].1 += Time::from(used.units);
                    }
                }
            }
        }
        let acts: Vec<usize> = (0..need.len()).filter(|&act| need[act].0 > 0).collect();
        let capacity = Time::from(what.bays) * Time::from(what.units);
        let end_for = |head: Time, tail, work: Time, _| head + (work + capacity - 1) / capacity.max(1) + tail;
        best = best.max(through(
            &acts,
            bounds,
            |act| Work { alone: need[act].0, rate: need[act].1, ..Work::default() },
            end_for,
        ));
    }
    best
}

/// What an act asks of a resource: some of its own, and some together with others of its pool.
#[derive(Clone, Copy, Default)]
struct Work {
    alone: Time,
    /// How much of it a second can take away at most.
    rate: Time,
    /// For each load, however much is in it.
    shared: Time,
    /// Which stage of which journey.
    pool: Option<usize>,
    /// Share of a full load, in [`FULL_LOAD`]ths.
    size: Time,
}

/// The greatest end that any window asks for: from `head` on, and until `tail` before the end, there is room for no less
/// than what can be done neither before nor after.
///
/// An act that can begin before `head` leaves in the window what it cannot have done by then; likewise one that can still
/// be going on in `tail`. Parts that lie in the window as a whole and whose loads are open are in at least as many loads
/// as their sizes fill, and every one of those loads lies in it too.
fn through(
    acts: &[usize],
    bounds: &Bounds,
    work: impl Fn(usize) -> Work,
    end_for: impl Fn(Time, Time, Time, Time) -> Time,
) -> Time {
    let mut by_tail: Vec<usize> = acts.to_vec();
    by_tail.sort_by_key(|&act| bounds.after[act]);
    let works: Vec<Work> = by_tail.iter().map(|&act| work(act)).collect();
    let after = |index: usize| bounds.after[by_tail[index]];
    let pools = works.iter().filter_map(|work| work.pool).max().map_or(0, |pool| pool + 1);
    let loads = |size: Time| (size + FULL_LOAD - 1) / FULL_LOAD;
    let mut heads: Vec<Time> = acts.iter().map(|&act| bounds.head[act]).collect();
    heads.sort_unstable();
    heads.dedup();
    let mut best = 0;
    for head in heads {
        let mut left = Vec::with_capacity(works.len());
        let (mut sum, mut filled) = (0, vec![0; pools]);
        for (&act, one) in by_tail.iter().zip(&works) {
            left.push((one.alone - (head - bounds.head[act]).max(0) * one.rate).max(0));
            if let Some(pool) = one.pool.filter(|_| bounds.head[act] >= head) {
                sum += (loads(filled[pool] + one.size) - loads(filled[pool])) * one.shared;
                filled[pool] += one.size;
            }
        }
        sum += left.iter().sum::<Time>();
        // From the longest window to the shorter ones; those that reach out of it, and what they still have in it.
        let (mut next, mut reaching): (usize, Vec<usize>) = (0, Vec::new());
        while next < works.len() {
            let tail = after(next);
            best = best.max(if sum > 0 { end_for(head, tail, sum, best) } else { 0 });
            while next < works.len() && after(next) == tail {
                let one = works[next];
                if let Some(pool) = one.pool.filter(|_| bounds.head[by_tail[next]] >= head) {
                    filled[pool] -= one.size;
                    sum -= (loads(filled[pool] + one.size) - loads(filled[pool])) * one.shared;
                }
                reaching.push(next);
                next += 1;
            }
            let step = if next < works.len() { after(next) - tail } else { 0 };
            reaching.retain(|&index| {
                let gone = left[index].min(step * works[index].rate);
                left[index] -= gone;
                sum -= gone;
                left[index] > 0
            });
        }
    }
    best
}
