//! Rules about people: how many, who, skilled, present, and with time to walk.

use ft_night::Assignment;

use crate::{Rule, View, Violation, violation};

pub fn check(view: &View, found: &mut Vec<Violation>) {
    for (one, is_done) in view.each() {
        if !is_done {
            crew(view, one, found);
        }
    }
    for person in 0..view.problem.people.len() {
        walking(view, person, found);
    }
}

fn crew(view: &View, one: &Assignment, found: &mut Vec<Violation>) {
    let problem = view.problem;
    let phase = &problem.tasks[one.task].phases[one.phase];
    let ascending = one.people.windows(2).all(|pair| pair[0] < pair[1]);
    let known = one.people.iter().all(|&person| person < problem.people.len());
    if one.people.len() != phase.people as usize || !ascending || !known || one.place != phase.place {
        let what = format!(
            "phase {} by {:?} at place {}, needs {} people at place {}",
            one.phase, one.people, one.place, phase.people, phase.place
        );
        found.push(violation(Rule::Crew, &[one.task], what));
        return;
    }
    if phase.same_people && phase.people > 0 {
        let before =
            view.by_phase[one.task][..one.phase].iter().rev().find(|before| !before.people.is_empty());
        if before.is_some_and(|before| before.people != one.people) {
            let what = format!("phase {} by {:?}, who did not do the phase before it", one.phase, one.people);
            found.push(violation(Rule::Crew, &[one.task], what));
        }
    }
    for &index in &one.people {
        let person = &problem.people[index];
        if phase.skill.is_some_and(|skill| !person.skills.contains(&skill)) {
            let what = format!("{} lacks the skill for phase {}", person.name, one.phase);
            found.push(violation(Rule::Skill, &[one.task], what));
        }
        if one.start_s < person.from_s || person.to_s.is_some_and(|to| one.end_s > to) {
            let what = format!(
                "{} is here from {} to {:?}, phase {} goes from {} to {}",
                person.name, person.from_s, person.to_s, one.phase, one.start_s, one.end_s
            );
            found.push(violation(Rule::Presence, &[one.task], what));
        }
    }
}

/// What one person does, in time order, with whether it is history. A phase of no length sorts before one that
/// begins at the same second.
fn day_of<'a>(view: &'a View, person: usize) -> Vec<(&'a Assignment, bool)> {
    let mut day: Vec<_> = view.each().filter(|(one, _)| one.people.contains(&person)).collect();
    day.sort_by_key(|(one, _)| (one.start_s, one.end_s, one.task, one.phase));
    day
}

fn walking(view: &View, person: usize, found: &mut Vec<Violation>) {
    let problem = view.problem;
    let day = day_of(view, person);
    if let (Some(&(first, false)), Some(stand)) = (day.first(), problem.people[person].starts_at) {
        let there = u64::from(problem.people[person].from_s) + u64::from(problem.walk(stand, first.place));
        if u64::from(first.start_s) < there {
            let what = format!(
                "{} is not there before {there}, begins at {}",
                problem.people[person].name, first.start_s
            );
            found.push(violation(Rule::Walking, &[first.task], what));
        }
    }
    for pair in day.windows(2) {
        let [(before, before_done), (after, after_done)] = [pair[0], pair[1]];
        let there = u64::from(before.end_s) + u64::from(problem.walk(before.place, after.place));
        if u64::from(after.start_s) < there && !(before_done && after_done) {
            let what = format!(
                "{} is not there before {there}, begins at {}",
                problem.people[person].name, after.start_s
            );
            found.push(violation(Rule::Walking, &[before.task, after.task], what));
        }
    }
}

/// Seconds walked and habits broken, summed over people, as `Score` defines them.
pub fn walking_and_breaks(view: &View, card_tasks: usize) -> (u64, u32) {
    let problem = view.problem;
    let (mut walking, mut breaks) = (0, 0);
    for (index, person) in problem.people.iter().enumerate() {
        let day = day_of(view, index);
        if let (Some((first, _)), Some(stand)) = (day.first(), person.starts_at) {
            walking += u64::from(problem.walk(stand, first.place));
        }
        for pair in day.windows(2) {
            walking += u64::from(problem.walk(pair[0].0.place, pair[1].0.place));
        }
        let card: Vec<usize> =
            day.iter().map(|(one, _)| one.task).filter(|&task| task < card_tasks).collect();
        breaks += card.windows(2).filter(|pair| pair[1] < pair[0]).count() as u32;
        let sides: Vec<usize> = card.iter().filter_map(|&task| problem.tasks[task].side).collect();
        breaks += match person.keeps_side {
            Some(side) => sides.iter().filter(|&&other| other != side).count() as u32,
            None => sides.windows(2).filter(|pair| pair[0] != pair[1]).count() as u32,
        };
    }
    (walking, breaks)
}
