//! Practice: what can be practised, how it went, and when to do it again.

use std::collections::BTreeMap;

use ft_pages as pages;
use ft_practice::again::again;
use ft_record::{Event, Fact, Practice};

use crate::site::Site;

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
    let next = again(sessions);
    let told = sessions.last().zip(next.as_ref()).map(|((at_ms, session), next)| {
        let slips: u32 = session.slips.values().sum();
        let how = if session.passed {
            site.say("passed", "superado")
        } else {
            site.say("not passed", "no superado")
        };
        let slips = match slips {
            0 => site.say("no slip", "ningún error").to_owned(),
            1 => site.say("1 slip", "1 error").to_owned(),
            more => format!("{more} {}", site.say("slips", "errores")),
        };
        format!(
            "{}: {how}, {slips} {} {} {}. {} {}",
            site.clock(*at_ms),
            site.say("in", "en"),
            session.moves,
            site.say("moves", "movimientos"),
            site.say("Again:", "Otra vez:"),
            site.clock(next.due_ms).split(' ').next().unwrap_or_default()
        )
    });
    pages::Course {
        machine: machine.to_owned(),
        procedure: procedure.to_owned(),
        label,
        told,
        is_due: next.as_ref().is_none_or(|next| next.due_ms <= now_ms),
        repeat: next.map(|next| next.repeat).unwrap_or_default(),
    }
}
