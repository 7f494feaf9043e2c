//! Parts as they are shown: what is looked at before it goes in, what comes due, what to order.

use std::collections::BTreeMap;

use ft_machine::{Lubricant, Machine, Named};
use ft_pages as pages;
use ft_record::{Event, Fact, PartRef};
use ft_wear::view::{DueView, PartView, WearView, picture};

use crate::site::{Place, Site};

const CAUTION_ES: &str = "Una curva de vida habla de piezas como las del registro. Primero van el intervalo del \
     fabricante y lo que se ve al revisar: esto puede acortar un intervalo, nunca alargarlo, y una pieza gastada o \
     dañada se cambia tenga la edad que tenga.";

/// What was last seen of each part of a machine since a moment. A fold over events.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Inspections {
    by: BTreeMap<PartRef, (i64, Option<String>, bool)>,
}

impl Inspections {
    /// Takes in an event of the machine.
    pub fn apply(&mut self, event: &Event) {
        let (part, good) = match &event.fact {
            Fact::PartInspected { part, good, .. } => (part, *good),
            // A spare is looked at like any part.
            Fact::PartReplaced { part, .. } => {
                self.by.remove(part);
                return;
            }
            _ => return,
        };
        let newer = self.by.get(part).is_none_or(|(at_ms, ..)| *at_ms <= event.at_ms);
        if newer {
            self.by.insert(part.clone(), (event.at_ms, event.person.clone(), good));
        }
    }
}

/// The page of parts of a machine. `wear`: what is known of replacements; `may`: tell of parts, say what a change costs.
pub fn parts(
    site: &Site<'_>,
    of: &Place<'_>,
    fitted: &[String],
    seen: &Inspections,
    wear: Option<&WearView>,
    (may_write, may_lead): (bool, bool),
) -> pages::PartsView {
    let machine = of.machine;
    let is_own = |kind: &&PartView| machine.parts.iter().any(|part| part.named.name == kind.part);
    let kinds: Vec<&PartView> = wear.iter().flat_map(|view| &view.parts).filter(is_own).collect();
    let mut due: Vec<(i64, pages::DueLine)> =
        kinds.iter().flat_map(|kind| due_lines(site, of.name, kind)).collect();
    due.sort_by_key(|(left, _)| *left);
    pages::PartsView {
        inspect: inspect(site, machine, fitted, seen),
        due: due.into_iter().map(|(_, line)| line).collect(),
        orders: kinds.iter().filter_map(|kind| order(site, kind)).collect(),
        lives: kinds.iter().map(|kind| life(site, kind)).collect(),
        kinds: machine.parts.iter().map(|part| part.named.name.clone()).collect(),
        left_out: wear.map(|view| view.left_out.clone()).unwrap_or_default(),
        caution: match wear {
            Some(view) if !kinds.is_empty() => site.say(&view.caution, CAUTION_ES).to_owned(),
            Some(_) | None => site
                .say(
                    "The equipment's own instructions say what is lubricated with what, and when a part is changed.",
                    "Las instrucciones del equipo dicen qué se lubrica, con qué y cuándo se cambia una pieza.",
                )
                .to_owned(),
        },
        may_write,
        may_lead,
    }
}

/// Seals and lubricated parts, and what touches food: what is looked at before it goes in, in the file's order.
fn inspect(
    site: &Site<'_>,
    machine: &Machine,
    fitted: &[String],
    seen: &Inspections,
) -> Vec<pages::InspectLine> {
    let mut lines = Vec::new();
    let is_there =
        |named: &Named| named.only_with.is_none_or(|option| fitted.contains(&machine.options[option].name));
    for part in machine.parts.iter().filter(|part| is_there(&part.named)) {
        if part.of.is_none() && !part.food_contact && part.lubricant.is_none() {
            continue;
        }
        let sides: Vec<Option<&Named>> = if part.named.per_side && !machine.sides.is_empty() {
            machine.sides.iter().map(Some).collect()
        } else {
            vec![None]
        };
        for side in sides {
            let of = PartRef {
                part: part.named.name.clone(),
                side: side.map(|side| side.name.clone()),
                number: None,
            };
            let name = site.pick(&part.named.label, &part.named.name);
            let told = seen.by.get(&of);
            lines.push(pages::InspectLine {
                label: match side {
                    Some(side) => format!("{name} ({})", site.pick(&side.label, &side.name)),
                    None => name.to_owned(),
                },
                slot: part.slot.clone(),
                lubricant: match &part.lubricant {
                    Some(Lubricant::Kind(with)) => Some(with.clone()),
                    Some(Lubricant::Never) | None => None,
                },
                seen: told.map(|(at_ms, who, good)| {
                    (*good, format!("{} {}", site.clock(*at_ms), who.as_deref().unwrap_or("")))
                }),
                part: of.part,
                side: of.side,
                number: of.number,
            });
        }
    }
    lines
}

/// Parts of a kind that are in this machine: a place begins with the machine's name, unless a table of the past has
/// its own names for places.
fn due_lines(site: &Site<'_>, machine: &str, kind: &PartView) -> Vec<(i64, pages::DueLine)> {
    let is_elsewhere = |due: &&DueView| {
        site.machines.iter().any(|other| other.name != machine && due.place.starts_with(other.name))
    };
    let line = |due: &DueView| {
        let chance = due.failure_ahead.map(|chance| {
            format!("{:.0} % / {:.0} {}", chance * 100.0, kind.ahead_days, site.say("days", "días"))
        });
        let shown = pages::DueLine {
            part: kind.part.clone(),
            place: due.place.clone(),
            age: format!("{} {}", due.age_days, site.say("days", "días")),
            due: due.due.clone(),
            is_over: due.days_left.is_some_and(|left| left < 0),
            chance,
        };
        (due.days_left.unwrap_or(i64::MAX), shown)
    };
    kind.due.iter().filter(|due| !is_elsewhere(due)).map(line).collect()
}

fn order(site: &Site<'_>, kind: &PartView) -> Option<pages::OrderLine> {
    let spares = kind.spares.as_ref()?;
    Some(pages::OrderLine {
        part: kind.part.clone(),
        hold: spares.hold,
        order: spares.order,
        why: format!(
            "{:.1} {}; {:.0} % {}",
            spares.over_lead_time,
            site.say("expected to be used until a delivery", "se espera usar hasta una entrega"),
            spares.service * 100.0,
            site.say("that they are enough", "de que alcancen")
        ),
    })
}

fn life(site: &Site<'_>, kind: &PartView) -> pages::LifeLine {
    let mut told = vec![format!(
        "{} / {} {}",
        kind.failed,
        kind.seen,
        site.say("of those seen had failed.", "de las vistas habían fallado.")
    )];
    if let Some(age) = kind.change_at_days {
        told.push(format!(
            "{} {age:.0} {}",
            site.say("Change after", "Cambiar tras"),
            site.say("days.", "días.")
        ));
    }
    told.push(why(site, kind));
    pages::LifeLine { part: kind.part.clone(), told, picture: picture(kind) }
}

/// Why that age, or why none. The sentence of the figures is in English; in Spanish the figures alone are told.
fn why(site: &Site<'_>, kind: &PartView) -> String {
    match site.language {
        pages::Language::English => kind.why.clone(),
        pages::Language::Spanish => match (kind.change_at_days, &kind.weibull) {
            (Some(_), _) => {
                "La edad sale de los costes o del intervalo del fabricante, lo que sea antes.".to_owned()
            }
            (None, Some(fit)) => format!(
                "Forma {:.2} ({:.2} – {:.2}); si el intervalo contiene 1, el registro no muestra desgaste.",
                fit.shape[0], fit.shape[1], fit.shape[2]
            ),
            (None, None) => "Aún no hay bastantes vidas para decir una edad.".to_owned(),
        },
    }
}
