//! When nothing fits: which wishes cannot be together, and by how much each would have to give way.

use ft_night::{Plan, Problem, Word};

use crate::{Budget, plan};

/// A wish that could be given up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wish {
    /// Everything has ended by the deadline.
    Deadline,
    /// A task ends when it is due: which.
    Due(usize),
    /// A lag's maximum: which lag.
    MaxLag(usize),
    /// A part's load begins in time: which item.
    Within(usize),
    /// A person leaves at their hour: who.
    Leaves(usize),
    /// A person comes only at their hour: who.
    Comes(usize),
    /// A serving rule: which.
    Serving(usize),
    /// A side serves until its hour: which.
    SideServes(usize),
    /// A task's release: which.
    Release(usize),
}

/// A wish of a conflict, and the least that helps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GiveUp {
    /// Which.
    pub wish: Wish,
    /// Seconds by which it would have to give way for the best plan found without it; `None` where giving up this one
    /// alone was not found to help.
    pub by_s: Option<i64>,
}

/// What cannot be together.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Conflict {
    /// A set of wishes that cannot all be kept, from which none can be left out.
    pub wishes: Vec<GiveUp>,
    /// Whether every step of the reduction was proved; otherwise a search that found nothing stood in for a proof.
    pub is_proved: bool,
}

/// Reduces the wishes of a problem without a plan to a set that still has none and from which nothing can be left out.
///
/// `None` where there is a plan, or where there is none even without any of the wishes. `budget` is for each of the
/// questions, about one for each wish.
pub fn smallest_conflict(problem: &Problem, budget: &Budget) -> Option<Conflict> {
    let all = wishes(problem);
    let mut is_proved = true;
    let mut fits = |kept: &[Wish]| {
        let found = plan(&with_only(problem, kept), budget);
        is_proved &= found.word != Word::OutOfTime;
        found.is_plan()
    };
    if fits(&all) || !fits(&[]) {
        return None;
    }
    // Whole stretches first, then single wishes: most of them have nothing to do with it.
    let mut kept = all;
    let mut stretch = kept.len().div_ceil(2);
    loop {
        let mut at = 0;
        while at < kept.len() {
            let mut fewer = kept.clone();
            fewer.drain(at..(at + stretch).min(kept.len()));
            if fits(&fewer) { at += stretch } else { kept = fewer }
        }
        if stretch == 1 {
            break;
        }
        stretch = stretch.div_ceil(2);
    }
    let give_up = |&wish: &Wish| {
        let others: Vec<Wish> = wishes(problem).into_iter().filter(|&other| other != wish).collect();
        let found = plan(&with_only(problem, &others), budget);
        let by_s = found.is_plan().then(|| {
            let enough = overstepped(problem, &found, wish);
            least_that_helps(enough, |by_s| plan(&relaxed(problem, wish, by_s), budget).is_plan())
        });
        GiveUp { wish, by_s }
    };
    Some(Conflict { wishes: kept.iter().map(give_up).collect(), is_proved })
}

/// Halves the stretch between what is too little and what is enough until it is a second wide.
fn least_that_helps(enough: i64, helps: impl Fn(i64) -> bool) -> i64 {
    let (mut too_little, mut enough) = (0, enough);
    while too_little + 1 < enough {
        let middle = too_little + (enough - too_little) / 2;
        if helps(middle) { enough = middle } else { too_little = middle }
    }
    enough
}

/// The problem in which one wish gives way by so many seconds.
fn relaxed(problem: &Problem, wish: Wish, by_s: i64) -> Problem {
    let mut out = problem.clone();
    let by = u32::try_from(by_s).unwrap_or(u32::MAX);
    let later = |at: &mut Option<u32>| *at = at.map(|at| at.saturating_add(by));
    match wish {
        Wish::Deadline => later(&mut out.deadline_s),
        Wish::Due(task) => later(&mut out.tasks[task].due_s),
        Wish::MaxLag(lag) => out.lags[lag].max_s = out.lags[lag].max_s.map(|max| max.saturating_add(by_s)),
        Wish::Within(item) => later(&mut out.wash.items[item].within_s),
        Wish::Leaves(person) => later(&mut out.people[person].to_s),
        Wish::Comes(person) => out.people[person].from_s = out.people[person].from_s.saturating_sub(by),
        Wish::Serving(rule) => out.serving[rule].until_s = out.serving[rule].until_s.saturating_sub(by),
        Wish::SideServes(side) => {
            out.sides[side].serves_until_s = out.sides[side].serves_until_s.saturating_sub(by);
        }
        Wish::Release(task) => out.tasks[task].release_s = out.tasks[task].release_s.saturating_sub(by),
    }
    out
}

fn wishes(problem: &Problem) -> Vec<Wish> {
    let mut all = Vec::new();
    all.extend(problem.deadline_s.map(|_| Wish::Deadline));
    all.extend((0..problem.tasks.len()).filter(|&task| problem.tasks[task].due_s.is_some()).map(Wish::Due));
    all.extend((0..problem.lags.len()).filter(|&lag| problem.lags[lag].max_s.is_some()).map(Wish::MaxLag));
    let items = &problem.wash.items;
    all.extend((0..items.len()).filter(|&item| items[item].within_s.is_some()).map(Wish::Within));
    all.extend(
        (0..problem.people.len()).filter(|&person| problem.people[person].to_s.is_some()).map(Wish::Leaves),
    );
    all.extend(
        (0..problem.people.len()).filter(|&person| problem.people[person].from_s > 0).map(Wish::Comes),
    );
    all.extend((0..problem.serving.len()).map(Wish::Serving));
    all.extend(
        (0..problem.sides.len()).filter(|&side| problem.sides[side].serves_until_s > 0).map(Wish::SideServes),
    );
    all.extend((0..problem.tasks.len()).filter(|&task| problem.tasks[task].release_s > 0).map(Wish::Release));
    all
}

/// The problem with no other wishes than these.
fn with_only(problem: &Problem, kept: &[Wish]) -> Problem {
    let mut out = problem.clone();
    for wish in wishes(problem).into_iter().filter(|wish| !kept.contains(wish)) {
        match wish {
            Wish::Deadline => out.deadline_s = None,
            Wish::Due(task) => out.tasks[task].due_s = None,
            Wish::MaxLag(lag) => out.lags[lag].max_s = None,
            Wish::Within(item) => out.wash.items[item].within_s = None,
            Wish::Leaves(person) => out.people[person].to_s = None,
            Wish::Comes(person) => out.people[person].from_s = 0,
            Wish::Serving(rule) => out.serving[rule].keep = 0,
            Wish::SideServes(side) => out.sides[side].serves_until_s = 0,
            Wish::Release(task) => out.tasks[task].release_s = 0,
        }
    }
    out
}

/// By how many seconds a plan oversteps a wish; 0 where it keeps it.
fn overstepped(problem: &Problem, plan: &Plan, wish: Wish) -> i64 {
    let begin = |task: usize| plan.find(task, 0).map_or(0, |one| i64::from(one.start_s));
    let end = |task: usize| {
        let ends = plan.assignments.iter().filter(|one| one.task == task).map(|one| i64::from(one.end_s));
        ends.max().unwrap_or(0)
    };
    let of = |person: usize| plan.assignments.iter().filter(move |one| one.people.contains(&person));
    let stops = |side: usize| {
        let ending =
            problem.tasks.iter().enumerate().filter(|(_, task)| task.ends_service && task.side == Some(side));
        ending.map(|(task, _)| begin(task)).min().unwrap_or(i64::MAX)
    };
    let by = match wish {
        Wish::Deadline => i64::from(plan.score.ends_at_s) - i64::from(problem.deadline_s.unwrap_or(u32::MAX)),
        Wish::Due(task) => end(task) - i64::from(problem.tasks[task].due_s.unwrap_or(u32::MAX)),
        Wish::MaxLag(lag) => {
            let lag = &problem.lags[lag];
            let at = |point: ft_night::Point| match point.edge {
                ft_night::Edge::Begin => begin(point.task),
                ft_night::Edge::End => end(point.task),
            };
            at(lag.to) - at(lag.from) - lag.max_s.unwrap_or(i64::MAX)
        }
        Wish::Within(item) => {
            let load = plan.loads.0.iter().position(|load| load.contains(&item)).unwrap_or(0);
            let what = &problem.wash.items[item];
            let ready = what.after.iter().map(|&task| end(task)).min().unwrap_or(0);
            begin(problem.tasks.len() + load) - ready - i64::from(what.within_s.unwrap_or(u32::MAX))
        }
        Wish::Leaves(person) => {
            let to = i64::from(problem.people[person].to_s.unwrap_or(u32::MAX));
            of(person).map(|one| i64::from(one.end_s)).max().unwrap_or(0) - to
        }
        Wish::Comes(person) => {
            let first = of(person).map(|one| i64::from(one.start_s)).min().unwrap_or(i64::MAX);
            i64::from(problem.people[person].from_s) - first
        }
        Wish::Serving(rule) => {
            let rule = &problem.serving[rule];
            let sides = (0..problem.sides.len()).filter(|&side| problem.sides[side].machine == rule.machine);
            let mut stop: Vec<i64> = sides.map(stops).collect();
            stop.sort_unstable_by_key(|&stop| std::cmp::Reverse(stop));
            let kept = stop.get((rule.keep as usize).saturating_sub(1)).copied().unwrap_or(0);
            i64::from(rule.until_s) - kept
        }
        Wish::SideServes(side) => i64::from(problem.sides[side].serves_until_s) - stops(side),
        Wish::Release(task) => i64::from(problem.tasks[task].release_s) - begin(task),
    };
    by.max(0)
}
