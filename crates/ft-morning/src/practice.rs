//! Practice: what can be practised, how it went, and when to do it again.

use std::collections::BTreeMap;

use ft_pages as pages;
use ft_record::{Event, Fact, Practice};

use crate::site::Site;

const DAY_MS: i64 = 86_400_000;
/// Days until the next session after one, two, three … sessions passed one after another; the last for all later ones.
/// Source: none, our choice: growing intervals, as spaced repetition has them.
const AGAIN_DAYS: [i64; 5] = [2, 7, 21, 60, 120];

/// Practice sessions of one person, by machine and procedure, in order of time. A fold over events.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Sessions {
    by: BTreeMap<(String, String), Vec<(i64, Practice)>>,
}

impl Sessions {
    /// Takes in an event; one of somebody else, or about something else, changes nothing.
    pub fn apply(&mut self, event: &Event, who: &str) {
        let (Fact::Practised { session }, Some(machine)) = (&event.fact, &event.machine) else { return };
        if session.who != who {
            return;
        }
        let all = self.by.entry((machine.clone(), session.procedure.clone())).or_default();
        let at = all.partition_point(|(at_ms, _)| *at_ms <= event.at_ms);
        all.insert(at, (event.at_ms, session.clone()));
    }
}

/// The page of practice, what is due first. `procedures`: by machine, what its file has.
pub fn practice(
    site: &Site<'_>,
    procedures: &[(String, Vec<String>)],
    sessions: &Sessions,
    now_ms: i64,
) -> pages::PracticeView {
    let mut courses = Vec::new();
    for (machine, names) in procedures {
        for procedure in names {
            let of = sessions.by.get(&(machine.clone(), procedure.clone()));
            courses.push(course(site, machine, procedure, of.map_or(&[], Vec::as_slice), now_ms));
        }
    }
    courses.sort_by_key(|course| !course.is_due);
    pages::PracticeView { courses }
}

fn course(
    site: &Site<'_>,
    machine: &str,
    procedure: &str,
    sessions: &[(i64, Practice)],
    now_ms: i64,
) -> pages::Course {
    let called = match procedure {
        "closing" => site.say("closing", "cierre"),
        "opening" => site.say("opening", "apertura"),
        other => other,
    };
    let label = format!("{}: {called}", site.label(machine));
    let last = sessions.last();
    let told = last.map(|(at_ms, session)| {
        let slips: u32 = session.slips.values().sum();
        let how = if session.passed {
            site.say("passed", "superado")
        } else {
            site.say("not passed", "no superado")
        };
        format!(
            "{}: {how}, {slips} {} {} {}. {} {}",
            site.clock(*at_ms),
            site.say("slips in", "errores en"),
            session.moves,
            site.say("moves", "movimientos"),
            site.say("Again:", "Otra vez:"),
            site.clock(again_ms(sessions)).split(' ').next().unwrap_or_default()
        )
    });
    pages::Course {
        machine: machine.to_owned(),
        procedure: procedure.to_owned(),
        label,
        told,
        repeat: last.map(|(_, session)| worst(session)).unwrap_or_default(),
        is_due: again_ms(sessions) <= now_ms,
    }
}

/// When the next session is due: at once after one that was not passed; later and later after those that were.
fn again_ms(sessions: &[(i64, Practice)]) -> i64 {
    let Some((at_ms, _)) = sessions.last() else { return i64::MIN };
    let passed = sessions.iter().rev().take_while(|(_, session)| session.passed).count();
    match passed.checked_sub(1) {
        None => *at_ms,
        Some(index) => at_ms + AGAIN_DAYS[index.min(AGAIN_DAYS.len() - 1)] * DAY_MS,
    }
}

/// The steps with most slips, at most five.
fn worst(session: &Practice) -> Vec<String> {
    let mut steps: Vec<(&String, &u32)> = session.slips.iter().collect();
    steps.sort_by(|one, other| other.1.cmp(one.1).then(one.0.cmp(other.0)));
    steps.into_iter().take(5).map(|(step, _)| step.clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn session(day: i64, passed: bool) -> (i64, Practice) {
        let practice = Practice {
            who: "Teo".into(),
            procedure: "closing".into(),
            moves: 40,
            slips: BTreeMap::from([("A".into(), 1), ("B".into(), 3)]),
            passed,
        };
        (day * DAY_MS, practice)
    }

    #[test]
    fn intervals_grow_with_what_is_passed_and_begin_anew_with_what_is_not() {
        assert_eq!(again_ms(&[]), i64::MIN);
        assert_eq!(again_ms(&[session(10, true)]), 12 * DAY_MS);
        assert_eq!(again_ms(&[session(10, true), session(12, true)]), 19 * DAY_MS);
        assert_eq!(again_ms(&[session(10, true), session(12, false)]), 12 * DAY_MS);
        assert_eq!(again_ms(&[session(1, true), session(2, false), session(3, true)]), 5 * DAY_MS);
        assert_eq!(worst(&session(1, false).1), ["B", "A"]);
    }
}
