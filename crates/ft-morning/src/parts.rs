//! Parts as they are shown: what is looked at before it goes in, what comes due, what to order.

use std::collections::BTreeMap;

use ft_machine::{Lubricant, Machine, Named};
use ft_pages as pages;
use ft_record::{Event, Fact, PartRef};
use ft_wear::view::{DueView, PartView, WearView, picture};

use crate::site::Site;

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

/// The page of parts of a machine. `wear`: what the record of replacements says, if there is one.
pub fn parts(
    site: &Site<'_>,
    machine: &Machine,
    fitted: &[String],
    seen: &Inspections,
    wear: Option<&WearView>,
    may_write: bool,
) -> pages::PartsView {
    let kinds = wear.map(|view| view.parts.as_slice()).unwrap_or_default();
    let mut due: Vec<(i64, pages::DueLine)> = kinds.iter().flat_map(|kind| due_lines(site, kind)).collect();
    due.sort_by_key(|(left, _)| *left);
    pages::PartsView {
        inspect: inspect(site, machine, fitted, seen),
        due: due.into_iter().map(|(_, line)| line).collect(),
        orders: kinds.iter().filter_map(|kind| order(site, kind)).collect(),
        lives: kinds.iter().map(|kind| life(site, kind)).collect(),
        caution: match wear {
            Some(view) => site.say(&view.caution, CAUTION_ES).to_owned(),
            None => site
                .say(
                    "The equipment's own instructions say what is lubricated with what, and when a part is changed.",
                    "Las instrucciones del equipo dicen qué se lubrica, con qué y cuándo se cambia una pieza.",
                )
                .to_owned(),
        },
        may_write,
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

fn due_lines(site: &Site<'_>, kind: &PartView) -> Vec<(i64, pages::DueLine)> {
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
    kind.due.iter().map(line).collect()
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
    told.push(kind.why.clone());
    pages::LifeLine { part: kind.part.clone(), told, picture: picture(kind) }
}
