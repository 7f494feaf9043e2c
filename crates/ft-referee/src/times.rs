//! Rules about time alone: lengths, order of phases, lags, releases, dues, serving.

use ft_night::{Assignment, Edge, Point};

use crate::{Rule, View, Violation, violation};

pub fn check(view: &View, found: &mut Vec<Violation>) {
    for (one, is_done) in view.each() {
        if is_done { history(view, one, found) } else { fresh(view, one, found) }
    }
    for task in 0..view.by_phase.len() {
        phase_order(view, task, found);
        due(view, task, found);
    }
    lags(view, found);
    serving(view, found);
}

fn history(view: &View, one: &Assignment, found: &mut Vec<Violation>) {
    let went = view.problem.done.iter().any(|done| {
        let same = done.task == one.task && done.phase == one.phase;
        same && done.start_s == one.start_s && done.end_s == one.end_s && done.people == one.people
    });
    if !went {
        let what = format!("phase {} is not planned as it went", one.phase);
        found.push(violation(Rule::History, &[one.task], what));
    }
}

/// Length, present and release of a phase that has not begun.
fn fresh(view: &View, one: &Assignment, found: &mut Vec<Violation>) {
    let task = &view.problem.tasks[one.task];
    let phase = &task.phases[one.phase];
    let people = one.people.iter().filter_map(|&person| view.problem.people.get(person));
    let hands_s = people.map(|person| person.paced(phase.hands_s)).max().unwrap_or(phase.hands_s);
    let needs = u64::from(hands_s) + u64::from(phase.wait_s);
    if u64::from(one.start_s) + needs != u64::from(one.end_s) {
        let what = format!("phase {} goes from {} to {}, needs {needs} s", one.phase, one.start_s, one.end_s);
        found.push(violation(Rule::Length, &[one.task], what));
    }
    let earliest = task.release_s.max(view.problem.now_s);
    if one.start_s < earliest {
        let what = format!("phase {} begins at {}, not before {earliest}", one.phase, one.start_s);
        found.push(violation(Rule::Release, &[one.task], what));
    }
}

fn phase_order(view: &View, task: usize, found: &mut Vec<Violation>) {
    for phase in 1..view.by_phase[task].len() {
        if view.is_done[task][phase] {
            continue;
        }
        let before = i64::from(view.by_phase[task][phase - 1].end_s);
        let starts = i64::from(view.by_phase[task][phase].start_s);
        let late = view.problem.tasks[task].phases[phase].late_s;
        if starts < before || late.is_some_and(|late| starts > before + i64::from(late)) {
            let what =
                format!("phase {phase} begins at {starts}, {} s after the phase before it", starts - before);
            found.push(violation(Rule::PhaseOrder, &[task], what));
        }
    }
}

fn due(view: &View, task: usize, found: &mut Vec<Violation>) {
    if view.has_ended(task) {
        return;
    }
    let dues = [view.problem.tasks[task].due_s, view.problem.deadline_s];
    for due in dues.into_iter().flatten() {
        if view.end(task) > i64::from(due) {
            found.push(violation(Rule::Due, &[task], format!("ends at {}, due at {due}", view.end(task))));
        }
    }
}

fn lags(view: &View, found: &mut Vec<Violation>) {
    let at = |point: Point| match point.edge {
        Edge::Begin => (view.begin(point.task), view.has_begun(point.task)),
        Edge::End => (view.end(point.task), view.has_ended(point.task)),
    };
    for (index, lag) in view.problem.lags.iter().enumerate() {
        let ((from, from_done), (to, to_done)) = (at(lag.from), at(lag.to));
        if from_done && to_done {
            continue;
        }
        let gap = to - from;
        if gap < lag.min_s || lag.max_s.is_some_and(|max| gap > max) {
            let what = format!(
                "lag {index}: {gap} s between {from} and {to}, asked {} to {:?}",
                lag.min_s, lag.max_s
            );
            found.push(violation(Rule::Lag, &[lag.from.task, lag.to.task], what));
        }
    }
}

/// A side is out of service from the begin of its first task that ends service.
fn serving(view: &View, found: &mut Vec<Violation>) {
    let stops = |side: usize| {
        let ending = view
            .problem
            .tasks
            .iter()
            .enumerate()
            .filter(|(_, task)| task.ends_service && task.side == Some(side));
        ending.map(|(index, _)| (view.begin(index), index)).min()
    };
    for (index, side) in view.problem.sides.iter().enumerate() {
        if let Some((stop, task)) = stops(index)
            && stop < i64::from(side.serves_until_s)
            && !view.has_begun(task)
        {
            let what = format!("side {index} stops at {stop}, serves until {}", side.serves_until_s);
            found.push(violation(Rule::Serving, &[task], what));
        }
    }
    for rule in &view.problem.serving {
        let sides =
            (0..view.problem.sides.len()).filter(|&side| view.problem.sides[side].machine == rule.machine);
        let all: Vec<Option<(i64, usize)>> = sides.map(stops).collect();
        let early: Vec<usize> = all
            .iter()
            .flatten()
            .filter(|(stop, _)| *stop < i64::from(rule.until_s))
            .map(|&(_, task)| task)
            .collect();
        let serve = all.len() - early.len();
        if serve < rule.keep as usize && early.iter().any(|&task| !view.has_begun(task)) {
            let what = format!(
                "{serve} sides of machine {} serve until {}, not {}",
                rule.machine, rule.until_s, rule.keep
            );
            found.push(violation(Rule::Serving, &early, what));
        }
    }
}
