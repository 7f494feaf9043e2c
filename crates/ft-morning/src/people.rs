//! People as they are shown.

use std::collections::BTreeMap;

use ft_machine::Named;
use ft_pages as pages;
use ft_people::{PeopleView, PersonView, SkillView, Why};
use ft_record::Role;

use crate::site::Site;

/// How long somebody's hands need against what is usual here, 1 as long, by name.
pub type Lengths = BTreeMap<String, f64>;

/// Who looks, and what they may.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Looks<'a> {
    me: &'a str,
    is_lead: bool,
    is_trainer: bool,
}

/// The page of people. Who is neither lead nor trainer sees themselves alone. `lengths` is `None` where they are not
/// used; `links`: until when each inspector's link is open, and its token.
pub fn people(
    site: &Site<'_>,
    view: &PeopleView,
    skills: &[Named],
    (me, roles): (&str, &[Role]),
    lengths: Option<&Lengths>,
    links: Vec<(String, String)>,
) -> pages::PeopleView {
    let looks = Looks {
        me,
        is_lead: roles.contains(&Role::Lead),
        is_trainer: roles.iter().any(|role| matches!(role, Role::Lead | Role::Trainer)),
    };
    let seen = view.people.iter().filter(|person| looks.is_trainer || person.name == looks.me);
    pages::PeopleView {
        people: seen.map(|one| person(site, one, skills, &looks, lengths)).collect(),
        may_lead: looks.is_lead,
        may_train: looks.is_trainer,
        lengths_used: lengths.is_some(),
        rules: rules(site, view),
        links: if looks.is_lead { links } else { Vec::new() },
    }
}

fn rules(site: &Site<'_>, view: &PeopleView) -> Vec<String> {
    let mut rules = Vec::new();
    if view.practice_needed {
        rules.push(
            site.say(
                "Alone after a practice session that was passed,",
                "A solas tras una práctica superada,",
            )
            .to_owned(),
        );
    }
    rules.push(format!(
        "{} {} {}",
        site.say("done under watch", "hecho bajo supervisión"),
        view.watched_needed,
        site.say(
            "times; or when a trainer or lead confirms it.",
            "veces; o cuando lo confirma quien enseña o dirige."
        )
    ));
    rules.push(format!(
        "{} {} {}",
        site.say("It lapses after", "Caduca tras"),
        view.lapses_days,
        site.say("days without doing it.", "días sin hacerlo.")
    ));
    rules
}

fn person(
    site: &Site<'_>,
    of: &PersonView,
    skills: &[Named],
    looks: &Looks<'_>,
    lengths: Option<&Lengths>,
) -> pages::PersonLine {
    // Of how long steps take, nobody sees but the person: it is for planning, never for ranking.
    let own = (looks.me == of.name).then(|| lengths.and_then(|all| all.get(&of.name))).flatten();
    let label = |skill: &SkillView| {
        let known = skills.iter().find(|known| known.name == skill.skill);
        known.map_or(skill.skill.as_str(), |known| site.pick(&known.label, &known.name)).to_owned()
    };
    pages::PersonLine {
        name: of.name.clone(),
        roles: of.roles.iter().map(|role| word(*role).to_owned()).collect(),
        language: of.language.clone(),
        skills: of
            .skills
            .iter()
            .map(|skill| pages::SkillLine {
                skill: skill.skill.clone(),
                label: label(skill),
                is_alone: skill.alone,
                why: why(site, &skill.why),
            })
            .collect(),
        practice: format!(
            "{} {} / {}",
            site.say("Practice passed:", "Prácticas superadas:"),
            of.practice.0,
            of.practice.1
        ),
        lengths: own.map(|pace| {
            format!(
                "{} {:.0} % {}",
                site.say("Your steps take", "Sus pasos duran el"),
                pace * 100.0,
                site.say("of what they usually take here.", "de lo que suelen durar aquí.")
            )
        }),
    }
}

fn word(role: Role) -> &'static str {
    match role {
        Role::Closer => "closer",
        Role::Opener => "opener",
        Role::Lead => "lead",
        Role::Trainer => "trainer",
        Role::Inspector => "inspector",
    }
}

fn why(site: &Site<'_>, why: &Why) -> String {
    match why {
        Why::Confirmed => {
            site.say("confirmed by a trainer or lead", "lo confirmó quien enseña o dirige").to_owned()
        }
        Why::Learnt => {
            site.say("practised, and done under watch", "practicado y hecho bajo supervisión").to_owned()
        }
        Why::Unknown => site.say("does not work here", "no trabaja aquí").to_owned(),
        Why::Withdrawn => site.say("taken back", "retirado").to_owned(),
        Why::NotPractised => {
            site.say("no practice of it passed yet", "ninguna práctica de esto superada todavía").to_owned()
        }
        Why::NotWatched { done, needed } => {
            format!("{} {done} / {needed}", site.say("done under watch:", "hecho bajo supervisión:"))
        }
        Why::Lapsed { days, after } => format!(
            "{} {days} {} {after}",
            site.say("lapsed:", "caducado:"),
            site.say("days since the last time, more than", "días desde la última vez, más de")
        ),
    }
}
