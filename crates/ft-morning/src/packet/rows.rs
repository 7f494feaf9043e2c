//! Rows of a packet: each out of what one fold says.

use std::collections::{BTreeMap, BTreeSet};

use ft_form::Form;
use ft_lots::{Due, Held};
use ft_paper::packet::{self, Deviation, Holds, PartSeen, Person, Reading};
use ft_people::People;
use ft_record::fold::{self, Night as Folded};
use ft_record::{Event, Fact, PartRef, Stored};
use ft_release::{Decision, Expected, Reason};

use super::Night;
use crate::release::evidence;
use crate::site::{Site, litres};

pub(super) fn release(site: &Site<'_>, decision: &Decision, said: Option<&str>, of: &str) -> packet::Release {
    packet::Release {
        of: format!("{of} · {}", site.clock(decision.at_ms)),
        may_serve: if decision.may_serve { Holds::Yes } else { Holds::No },
        reasons: decision.reasons.iter().map(|reason| line(site, reason)).collect(),
        would_help: decision.standing().map(|reason| site.pick(&reason.yes_when, "").to_owned()).collect(),
        signed: said.unwrap_or_default().to_owned(),
    }
}

fn line(site: &Site<'_>, reason: &Reason) -> packet::Reason {
    packet::Reason {
        holds: Holds::No,
        says: site.pick(&reason.sentence, &reason.key).to_owned(),
        evidence: reason.evidence.iter().filter_map(|one| evidence(site, one)).collect::<Vec<_>>().join("\n"),
        rule: reason.text.as_ref().map(|text| text.says.clone()).unwrap_or_default(),
        overridden: reason
            .overridden
            .as_ref()
            .map(|one| format!("{}: {}", one.by, one.because))
            .unwrap_or_default(),
    }
}

/// A run's events folded on the forms that they were made with.
fn folded(night: &Night, run: Option<&str>, machine: &str, form: &Form) -> Option<Folded> {
    let run = run?;
    let of_run = |stored: &&Stored| stored.event.id == run || stored.event.run.as_deref() == Some(run);
    let events: Vec<Stored> = night.events.iter().filter(of_run).cloned().collect();
    Some(fold::run(&BTreeMap::from([(machine.to_owned(), form)]), &events))
}

/// Each part: whether it lay in its slot at the end of the closing, and whether it is back on the machine.
pub(super) fn parts(
    site: &Site<'_>,
    night: &Night,
    expected: &Expected,
    decision: &Decision,
) -> Vec<PartSeen> {
    let name = &expected.machine;
    let machine = site.machines.iter().find(|place| place.name == name).map(|place| place.machine);
    let closing = folded(night, decision.closing.as_deref(), name, &expected.closing.form);
    let opening = folded(night, decision.opening.as_deref(), name, &expected.opening.form);
    let value = |folded: &Option<Folded>, form: &Form, var: Option<usize>| {
        let state = &folded.as_ref()?.machines.get(name)?.state;
        Some(form.value_name(var?, *state.vals.get(var?)?))
    };
    let told = |part: &PartRef| {
        let now = |folded: &Option<Folded>| folded.as_ref()?.parts.get(name)?.get(part).cloned();
        now(&opening).or_else(|| now(&closing))
    };
    let line = |part: &ft_release::Part| {
        let in_closing = value(&closing, &expected.closing.form, part.closing);
        let in_opening = value(&opening, &expected.opening.form, part.opening);
        let known = told(&part.part);
        let is_missing = known.as_ref().is_some_and(|now| now.missing)
            || [&in_closing, &in_opening].into_iter().flatten().any(|value| value == "missing");
        let slot = machine.and_then(|machine| {
            machine.parts.iter().find(|known| known.named.name == part.part.part)?.slot.clone()
        });
        PartSeen {
            slot: slot.unwrap_or_else(|| "–".to_owned()),
            part: format!("{} · {}", site.label(name), site.pick(&part.label, &part.part.part)),
            there: match (is_missing, &in_closing, &in_opening) {
                (true, _, _) => Holds::No,
                (false, Some(value), _) if value == "in slot" => Holds::Yes,
                (false, _, Some(value)) if value == "fitted" => Holds::Yes,
                _ => Holds::Unknown,
            },
            state: [
                in_closing.map(|value| (site.say("closing", "cierre"), value)),
                in_opening.map(|value| (site.say("opening", "apertura"), value)),
            ]
            .into_iter()
            .flatten()
            .map(|(run, value)| format!("{run}: {}", state(site, &value)))
            .collect::<Vec<_>>()
            .join(", "),
            seen: known
                .and_then(|now| {
                    let at = site.clock(now.seen_at_ms?);
                    Some(format!("{at} {}", now.seen_by.unwrap_or_default()).trim_end().to_owned())
                })
                .unwrap_or_default(),
        }
    };
    expected.parts.iter().map(line).collect()
}

/// A part's state as people say it.
fn state(site: &Site<'_>, value: &str) -> String {
    let known = match value {
        "fitted" => site.say("on the machine", "en la máquina"),
        "in slot" => site.say("in its slot", "en su hueco"),
        "missing" => site.say("missing", "falta"),
        other => other,
    };
    known.to_owned()
}

pub(super) fn reading(site: &Site<'_>, taken: &fold::ReadingTaken) -> Reading {
    Reading {
        at: site.clock(taken.at_ms),
        what: match &taken.machine {
            Some(machine) => format!("{}: {}", site.label(machine), taken.of),
            None => site.place(&taken.of),
        },
        value: format!("{} {}", taken.value, taken.unit),
        limit: taken.within.clone().unwrap_or_default(),
        whose: String::new(),
        within: match taken.good {
            Some(true) => Holds::Yes,
            Some(false) => Holds::No,
            None => Holds::Unknown,
        },
        by: taken.by.clone().unwrap_or_else(|| {
            match taken.source {
                ft_record::ReadingSource::Hand => site.say("by hand", "a mano"),
                ft_record::ReadingSource::Probe => site.say("a probe", "una sonda"),
                ft_record::ReadingSource::File => site.say("a logger's file", "un archivo"),
            }
            .to_owned()
        }),
    }
}

pub(super) fn deviation(site: &Site<'_>, event: &Event) -> Option<Deviation> {
    let who = event.person.as_deref().unwrap_or("–");
    let machine = event.machine.as_deref().map(|name| format!("{}: ", site.label(name))).unwrap_or_default();
    let (what, because) = match &event.fact {
        Fact::Differed { event: Some(step), because, .. } => {
            (format!("{} «{step}»", site.say("it happened differently,", "fue distinto,")), because.as_str())
        }
        Fact::Differed { event: None, because, .. } => {
            (site.say("it was found otherwise", "se halló distinto").to_owned(), because.as_str())
        }
        Fact::Corrected { because, .. } => {
            (site.say("what was told was taken back", "se retiró lo anotado").to_owned(), because.as_str())
        }
        Fact::Overridden { reason, because } => (
            format!("{} {reason}", site.say("a reason was set aside:", "se apartó un motivo:")),
            because.as_str(),
        ),
        Fact::PartMissing { part, .. } => {
            (format!("{} {}", site.say("missing:", "falta:"), site.part(event.machine.as_deref(), part)), "")
        }
        Fact::PartFound { part, place } => (
            format!("{} {}", site.say("found:", "apareció:"), site.part(event.machine.as_deref(), part)),
            place.as_str(),
        ),
        Fact::FaultOpened { text } => (site.say("a fault", "una avería").to_owned(), text.as_str()),
        Fact::FaultClosed { text, .. } => {
            (site.say("a fault was mended", "se reparó una avería").to_owned(), text.as_str())
        }
        Fact::Recalled { lot, because } => {
            (format!("{} {lot}", site.say("called back: lot", "retirado: lote")), because.as_str())
        }
        _ => return None,
    };
    Some(Deviation {
        at: site.clock(event.at_ms),
        what: format!("{machine}{what} ({who})"),
        then: because.to_owned(),
    })
}

/// Steps that were told and could not have been, as far as nobody settled them.
pub(super) fn conflicts(site: &Site<'_>, night: &Night) -> Vec<Deviation> {
    let mut found = Vec::new();
    for (decision, expected, _) in &night.answers {
        for (run, work) in [(&decision.closing, &expected.closing), (&decision.opening, &expected.opening)] {
            let folded = folded(night, run.as_deref(), &expected.machine, &work.form);
            let of_machine = folded.iter().filter_map(|folded| folded.machines.get(&expected.machine));
            found.extend(of_machine.flat_map(|machine| &machine.conflicts).map(|conflict| Deviation {
                at: site.clock(conflict.at_ms),
                what: format!("{}: {}", site.label(&expected.machine), conflict.sentence),
                then: String::new(),
            }));
        }
    }
    found
}

/// Who did how much, as what they signed, and whether they might do alone what they did.
pub(super) fn crew(site: &Site<'_>, night: &Night, people: &People) -> Vec<Person> {
    let settings = ft_people::Settings::default();
    let mut skills: BTreeMap<(&str, &str), &str> = BTreeMap::new();
    for (_, expected, _) in &night.answers {
        for work in [&expected.closing, &expected.opening] {
            for (event, skill) in &work.skills {
                skills.insert((&expected.machine, &work.form.events[*event].name), skill);
            }
        }
    }
    let mut by: BTreeMap<&str, (usize, BTreeSet<String>, bool, i64)> = BTreeMap::new();
    for event in night.events.iter().map(|stored| &stored.event) {
        let Some(who) = event.person.as_deref() else { continue };
        let entry = by.entry(who).or_insert((0, BTreeSet::new(), true, event.at_ms));
        entry.3 = event.at_ms;
        match &event.fact {
            Fact::Happened { event: step } => {
                entry.0 += 1;
                let skill =
                    event.machine.as_deref().and_then(|machine| skills.get(&(machine, step.as_str())));
                if let Some(skill) = skill {
                    entry.1.insert(format!("{} «{skill}»", site.say("did what needs", "hizo lo que exige")));
                    entry.2 &= people.may_alone(who, skill, event.at_ms, settings).may;
                }
            }
            Fact::Signed { r#as } => {
                let word = match r#as {
                    ft_record::SignedAs::Closer => site.say("signed the closing", "firmó el cierre"),
                    ft_record::SignedAs::Opener => site.say("signed the opening", "firmó la apertura"),
                    ft_record::SignedAs::Lead => site.say("signed as lead", "firmó como responsable"),
                    ft_record::SignedAs::Watcher => site.say("signed as watcher", "firmó como testigo"),
                };
                entry.1.insert(word.to_owned());
            }
            _ => {}
        }
    }
    by.into_iter()
        .map(|(who, (count, did, may, at_ms))| {
            let steps = match count {
                0 => None,
                1 => Some(site.say("1 step", "1 paso").to_owned()),
                count => Some(format!("{count} {}", site.say("steps", "pasos"))),
            };
            Person {
                name: who.to_owned(),
                role: people
                    .roles(who, at_ms)
                    .iter()
                    .map(|role| site.role(*role))
                    .collect::<Vec<_>>()
                    .join(", "),
                did: steps.into_iter().chain(did).collect::<Vec<_>>().join("; "),
                may: if may { Holds::Yes } else { Holds::No },
            }
        })
        .collect()
}

/// One line for each person over all nights; who once might not is told as one who might not.
pub(super) fn merge_people(people: &mut Vec<Person>) {
    let mut merged: Vec<Person> = Vec::new();
    for person in people.drain(..) {
        match merged.iter_mut().find(|known| known.name == person.name) {
            Some(known) => {
                known.did = format!("{}\n{}", known.did, person.did);
                if person.may == Holds::No {
                    known.may = Holds::No;
                }
            }
            None => merged.push(person),
        }
    }
    *people = merged;
}

pub(super) fn held_lot(site: &Site<'_>, held: &Held) -> packet::Lot {
    let shares: Vec<String> = held
        .contents
        .shares
        .iter()
        .map(|share| format!("{} {}", ft_pages::percent(share.share), share.lot))
        .collect();
    let product = held.contents.shares.first().and_then(|share| share.product.as_deref());
    packet::Lot {
        code: site.place(&held.place),
        product: product.map(|product| site.product(product)).unwrap_or_default(),
        history: format!("{}: {}", litres(held.contents.litres), shares.join(", ")),
        discard_by: discard_by(site, held),
        share: String::new(),
        in_date: in_date(held),
    }
}

pub(super) fn discard_by(site: &Site<'_>, held: &Held) -> String {
    match held.by_ms {
        Some(by_ms) => format!("{} ({})", site.until(by_ms), held.decides),
        None => format!("{} ({})", site.say("now", "ahora"), held.decides),
    }
}

pub(super) fn in_date(held: &Held) -> Holds {
    match held.due {
        Due::Now => Holds::No,
        Due::Today | Due::Later => Holds::Yes,
    }
}
