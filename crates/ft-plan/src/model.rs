//! A problem laid out for search: loads already tasks, phases numbered through, lags by task.

use ft_night::{Edge, Problem};

/// Seconds, with room for the far future.
pub type Time = i64;
/// Later than any night.
pub const NEVER: Time = Time::MAX / 4;

/// A phase.
pub struct Act {
    pub task: usize,
    pub phase: usize,
    pub people: usize,
    pub place: usize,
    /// Seconds for each person of the crew; one entry (the length) where it runs unattended.
    pub length: Vec<Time>,
    /// Who may do it, ascending.
    pub able: Vec<usize>,
    /// Seconds after the phase before at most.
    pub late: Time,
    pub same_people: bool,
    /// What of it is shared with other parts, where it is the stage of a part whose load is not yet known.
    pub share: Option<Share>,
    /// Whether it may share its time in a room with others, so that bounds may not add them up.
    pub shares_room: bool,
    /// Room that it begins to occupy: positions in the task's rooms.
    pub rooms: Vec<usize>,
}

impl Act {
    /// Seconds that it takes at least, whoever does it.
    pub fn shortest(&self) -> Time {
        if self.people == 0 {
            return self.length[0];
        }
        let mut able: Vec<Time> = self.able.iter().map(|&person| self.length[person]).collect();
        able.sort_unstable();
        able.get(self.people - 1).copied().unwrap_or(NEVER)
    }
}

/// A full load, in the measure of [`Share::size`]: divisible by all that a load usually takes, and sizes are rounded
/// down.
pub const FULL_LOAD: Time = 5_040_000;

/// How a stage of a part costs time when parts share loads.
pub struct Share {
    /// Stage and journey, numbered through.
    pub pool: usize,
    /// How much of a load the part fills, in [`FULL_LOAD`]ths.
    pub size: Time,
    /// Seconds for each person that the part costs by itself.
    pub own: Vec<Time>,
    /// Seconds for each person that every load costs.
    pub common: Vec<Time>,
}

/// A lag seen from one of its two tasks.
#[derive(Clone, Copy)]
pub struct Link {
    pub other: usize,
    /// The end of this task that it speaks of.
    pub here: Edge,
    /// The end of the other task.
    pub there: Edge,
    /// `here` comes at least so many seconds after `there` (may be negative).
    pub least: Time,
    /// `here` comes at most so many seconds after `there`.
    pub most: Time,
}

/// What already happened of a phase.
#[derive(Clone)]
pub struct Past {
    pub start: Time,
    pub end: Time,
    pub people: Vec<usize>,
    pub bays: Vec<u32>,
}

/// The problem laid out.
pub struct Model<'a> {
    /// The problem with its loads as tasks.
    pub problem: &'a Problem,
    pub acts: Vec<Act>,
    /// `first[task]..first[task + 1]` are the acts of a task.
    pub first: Vec<usize>,
    pub links: Vec<Vec<Link>>,
    /// Tasks that must be placed before, and how many those are for each.
    pub followers: Vec<Vec<usize>>,
    pub waits_for: Vec<usize>,
    /// Holds that a task takes and gives back.
    pub takes: Vec<Vec<usize>>,
    pub gives: Vec<Vec<usize>>,
    pub past: Vec<Option<Past>>,
    pub now: Time,
    pub deadline: Time,
}

impl<'a> Model<'a> {
    /// Lays out a problem without wash work (`Problem::with_loads` has been applied).
    pub fn new(problem: &'a Problem) -> Self {
        let tasks = problem.tasks.len();
        let mut acts = Vec::new();
        let mut first = vec![0];
        for (task, what) in problem.tasks.iter().enumerate() {
            for phase in 0..what.phases.len() {
                acts.push(act(problem, task, phase));
            }
            keep_crews_able(&mut acts[first[task]..]);
            first.push(acts.len());
        }
        let mut past = vec![None; acts.len()];
        for done in &problem.done {
            past[first[done.task] + done.phase] = Some(Past {
                start: Time::from(done.start_s),
                end: Time::from(done.end_s),
                people: done.people.clone(),
                bays: done.bays.clone(),
            });
        }
        let mut takes = vec![Vec::new(); tasks];
        let mut gives = vec![Vec::new(); tasks];
        for (index, hold) in problem.holds.iter().enumerate() {
            takes[hold.from_task].push(index);
            gives[hold.to_task].push(index);
        }
        let followers = followers(problem);
        let mut waits_for = vec![0; tasks];
        for &after in followers.iter().flatten() {
            waits_for[after] += 1;
        }
        Self {
            links: links(problem),
            followers,
            waits_for,
            takes,
            gives,
            past,
            now: Time::from(problem.now_s),
            deadline: problem.deadline_s.map_or(NEVER, Time::from),
            problem,
            acts,
            first,
        }
    }

    /// The acts of a task.
    pub fn acts_of(&self, task: usize) -> std::ops::Range<usize> {
        self.first[task]..self.first[task + 1]
    }

    /// Number of tasks, loads among them.
    pub fn tasks(&self) -> usize {
        self.first.len() - 1
    }

    /// Whether every phase of the task has begun.
    pub fn is_past(&self, task: usize) -> bool {
        self.acts_of(task).all(|act| self.past[act].is_some())
    }
}

/// Those who begin must be able to do every phase for which they stay.
fn keep_crews_able(acts: &mut [Act]) {
    for index in (1..acts.len()).rev() {
        if acts[index].same_people && acts[index].people > 0 {
            let able = acts[index].able.clone();
            if let Some(before) = acts[..index].iter_mut().rev().find(|act| act.people > 0) {
                before.able.retain(|person| able.contains(person));
            }
        }
    }
}

fn act(problem: &Problem, task: usize, phase: usize) -> Act {
    let what = &problem.tasks[task].phases[phase];
    let length = if what.people == 0 {
        vec![Time::from(what.hands_s) + Time::from(what.wait_s)]
    } else {
        problem
            .people
            .iter()
            .map(|person| Time::from(person.paced(what.hands_s)) + Time::from(what.wait_s))
            .collect()
    };
    let can = |person: &usize| what.skill.is_none_or(|skill| problem.people[*person].skills.contains(&skill));
    let rooms = problem.tasks[task].rooms.iter().enumerate().filter(|(_, used)| used.from_phase == phase);
    Act {
        task,
        phase,
        people: what.people as usize,
        place: what.place,
        length,
        able: (0..problem.people.len()).filter(can).collect(),
        late: if phase == 0 { NEVER } else { what.late_s.map_or(NEVER, Time::from) },
        same_people: what.same_people,
        share: None,
        shares_room: false,
        rooms: rooms.map(|(index, _)| index).collect(),
    }
}

fn links(problem: &Problem) -> Vec<Vec<Link>> {
    let mut links = vec![Vec::new(); problem.tasks.len()];
    for lag in &problem.lags {
        let (from, to) = (lag.from, lag.to);
        let most = lag.max_s.unwrap_or(NEVER);
        links[to.task].push(Link {
            other: from.task,
            here: to.edge,
            there: from.edge,
            least: lag.min_s,
            most,
        });
        let least = lag.max_s.map_or(-NEVER, |max| -max);
        links[from.task].push(Link {
            other: to.task,
            here: from.edge,
            there: to.edge,
            least,
            most: -lag.min_s,
        });
    }
    // Kit comes back after it was taken.
    for hold in problem.holds.iter().filter(|hold| hold.from_task != hold.to_task) {
        let (from, to) = (hold.from_task, hold.to_task);
        links[to].push(Link { other: from, here: Edge::End, there: Edge::Begin, least: 0, most: NEVER });
        links[from].push(Link { other: to, here: Edge::Begin, there: Edge::End, least: -NEVER, most: 0 });
    }
    links
}

/// Which tasks are placed only after which: along lags that do not allow the other order, and from taker to giver of
/// kit. An edge that would close a circle is left out; placing then looks both ways.
fn followers(problem: &Problem) -> Vec<Vec<usize>> {
    let mut followers: Vec<Vec<usize>> = vec![Vec::new(); problem.tasks.len()];
    let lags = problem.lags.iter().filter(|lag| lag.min_s >= 0).map(|lag| (lag.from.task, lag.to.task));
    let holds = problem.holds.iter().map(|hold| (hold.from_task, hold.to_task));
    for (from, to) in lags.chain(holds) {
        if from != to && !followers[from].contains(&to) && !reaches(&followers, to, from) {
            followers[from].push(to);
        }
    }
    followers
}

fn reaches(followers: &[Vec<usize>], from: usize, to: usize) -> bool {
    let mut seen = vec![false; followers.len()];
    let mut open = vec![from];
    while let Some(task) = open.pop() {
        if task == to {
            return true;
        }
        if !std::mem::replace(&mut seen[task], true) {
            open.extend(&followers[task]);
        }
    }
    false
}
