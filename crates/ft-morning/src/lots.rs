//! Lots, traces and glasses as they are shown.

use std::collections::BTreeMap;

use ft_lots::{CAUTION, GlassView, Held, InventoryView, Share, Shortfall, TraceView};
use ft_pages as pages;

use crate::growth::{Kept, sentences};
use crate::site::{Site, litres};

/// Said with every date and trace, in Spanish.
const CAUTION_ES: &str = "Fechas y partes se siguen de lo registrado y de recipientes que se dan por mezclados. Una \
     fecha que ha llegado se cumple, diga lo que diga una predicción. Primero van la norma local, la etiqueta y sus \
     propios ojos.";

/// Said with every prediction, in Spanish.
const GROWTH_ES: &str = "Una predicción baja no da permiso: no anula ningún límite rebasado ni alarga ninguna fecha. No \
     sabe nada de toxinas, de película en la máquina ni de lo que traen las manos. Aconseja; deciden la norma local, las \
     instrucciones del equipo y una persona cualificada.";

/// The page of lots. `kept`: what the temperatures mean, by place; `duties`: what else is due today; `may`: tell of
/// lots, call a lot back.
pub fn lots(
    site: &Site<'_>,
    inventory: &InventoryView,
    kept: &BTreeMap<String, Kept>,
    (places, duties): (Vec<String>, Vec<String>),
    (may_write, may_recall): (bool, bool),
) -> pages::LotsView {
    pages::LotsView {
        today: inventory.today.clone(),
        held: inventory.held.iter().map(|held| line(site, held, kept)).collect(),
        duties,
        vessels: vessels(site),
        products: products(site),
        places,
        shortfalls: inventory.shortfalls.iter().map(|one| shortfall(site, one)).collect(),
        prints: true,
        may_write,
        may_recall,
        caution: if kept.is_empty() {
            site.say(CAUTION, CAUTION_ES).to_owned()
        } else {
            format!("{} {}", site.say(CAUTION, CAUTION_ES), site.say(ft_growth::report::CAUTION, GROWTH_ES))
        },
    }
}

/// Vessels that hold product, as the record names them.
fn vessels(site: &Site<'_>) -> Vec<(String, String)> {
    let mut all = Vec::new();
    for place in &site.machines {
        for vessel in place.machine.vessels.iter().filter(|vessel| vessel.holds.is_some() && !vessel.kit) {
            let of = |side: Option<&ft_machine::Named>| {
                ft_lots::vessel(place.name, &vessel.named.name, side.map(|side| side.name.as_str()))
            };
            let sides = &place.machine.sides;
            let names = if vessel.named.per_side && !sides.is_empty() {
                sides.iter().map(|side| of(Some(side))).collect()
            } else {
                vec![of(None)]
            };
            all.extend(names.into_iter().map(|name| (name.clone(), site.place(&name))));
        }
    }
    all
}

fn products(site: &Site<'_>) -> Vec<(String, String)> {
    let of = site.machines.iter().flat_map(|place| &place.machine.products);
    let all: BTreeMap<String, String> = of
        .map(|product| {
            let name = &product.named.name;
            (name.clone(), site.pick(&product.named.label, name).to_owned())
        })
        .collect();
    all.into_iter().collect()
}

fn line(site: &Site<'_>, held: &Held, kept: &BTreeMap<String, Kept>) -> pages::HeldLine {
    let kind = match held.kind {
        "vessel" => site.say("in the machine", "en la máquina"),
        "kept" => site.say("kept from a machine", "guardado de una máquina"),
        "made" => site.say("made here", "hecho aquí"),
        "delivered" => site.say("delivered", "entregado"),
        _ => site.say("never received", "nunca recibido"),
    };
    let mut facts = vec![kind.to_owned(), litres(held.contents.litres)];
    facts.extend(held.stored.clone());
    if let (Some(lot), Some(days)) = (&held.contents.oldest_lot, held.contents.oldest_days) {
        facts.push(format!("{} {lot}, {}", site.say("oldest:", "más antiguo:"), age(site, days)));
    }
    if let Some(days) = held.contents.mean_days {
        facts.push(format!("{} {}", site.say("mean age:", "edad media:"), age(site, days)));
    }
    pages::HeldLine {
        label: site.place(&held.place),
        is_vessel: held.kind == "vessel",
        facts,
        last_day: held.by_ms.map(|by_ms| site.until(by_ms)).or_else(|| held.last_day.clone()),
        decides: match &held.decided_by_lot {
            Some(lot) if *lot != held.place => format!("{lot}: {}", held.decides),
            Some(_) | None => held.decides.clone(),
        },
        due: match held.due {
            ft_lots::Due::Now => pages::Due::Now,
            ft_lots::Due::Today => pages::Due::Today,
            ft_lots::Due::Later => pages::Due::Later,
        },
        advice: kept.get(&held.place).map(|kept| sentences(site, kept)).unwrap_or_default(),
        shares: held.contents.shares.iter().map(|one| share(site, one)).collect(),
        place: held.place.clone(),
    }
}

fn share(site: &Site<'_>, of: &Share) -> pages::ShareLine {
    pages::ShareLine {
        lot: of.lot.clone(),
        product: of.product.as_deref().map(|product| site.product(product)),
        share: of.share,
        age: of.age_days.map(|days| age(site, days)),
        is_recalled: of.recalled,
    }
}

fn age(site: &Site<'_>, days: f64) -> String {
    if days < 2.0 {
        format!("{:.0} h", days * 24.0)
    } else {
        format!("{days:.1} {}", site.say("days", "días"))
    }
}

fn shortfall(site: &Site<'_>, of: &Shortfall) -> String {
    let (drawn, held) = (litres(of.drawn_litres), litres(of.held_litres));
    format!(
        "{} · {}: {drawn} {} {held}",
        site.clock(of.at_ms),
        site.place(&of.place),
        site.say("drawn, and the books held", "sacados, y constaban")
    )
}

/// The page of a lot. `may_recall`: whether this person may call it back.
pub fn trace(site: &Site<'_>, view: &TraceView, made_of: &[Share], may_recall: bool) -> pages::TraceView {
    let sum = |english, spanish, amount| (site.say(english, spanish).to_owned(), litres(amount));
    pages::TraceView {
        lot: view.lot.clone(),
        product: view.product.as_deref().map(|product| site.product(product)),
        recalled: view.recalled.clone(),
        sums: vec![
            sum("came in", "entró", view.in_litres),
            sum("of it served", "servido de él", view.served_litres),
            sum("of it thrown away", "desechado de él", view.away_litres),
            sum("of it still here", "queda de él", view.held_litres),
            sum("served with some of it in", "servido con algo de él", view.touched_litres),
        ],
        hold_now: view.hold_now.iter().map(|(place, amount)| (site.place(place), litres(*amount))).collect(),
        places: view
            .places
            .iter()
            .map(|span| {
                let until = span.until_ms.map(|until| site.clock(until));
                let until = until.unwrap_or_else(|| site.say("now", "ahora").to_owned());
                (site.place(&span.place), format!("{} – {until}", site.clock(span.from_ms)))
            })
            .collect(),
        served: view
            .served
            .iter()
            .map(|line| pages::ServedLine {
                night: line.night.clone(),
                place: site.place(&line.place),
                hours: hours(site, line.from_ms, line.until_ms),
                of: litres(line.of_litres),
                litres: litres(line.litres),
                share: line.share,
            })
            .collect(),
        made_of: made_of.iter().map(|one| share(site, one)).collect(),
        may_recall,
        caution: site.say(CAUTION, CAUTION_ES).to_owned(),
    }
}

/// When a serving was: since the one before it out of the same vessel; the first since nobody knows when.
fn hours(site: &Site<'_>, from_ms: i64, until_ms: i64) -> String {
    let (from, until) = (site.clock(from_ms), site.clock(until_ms));
    if from_ms == until_ms {
        format!("{} {until}", site.say("until", "hasta"))
    } else if from.get(..10) == until.get(..10) {
        format!("{from} – {}", site.time(until_ms))
    } else {
        format!("{from} – {until}")
    }
}

/// The page of a glass.
pub fn glass(site: &Site<'_>, view: &GlassView) -> pages::GlassView {
    pages::GlassView {
        label: site.place(&view.place),
        at: site.clock(view.at_ms),
        shares: view.contents.shares.iter().map(|one| share(site, one)).collect(),
        caution: site.say(CAUTION, CAUTION_ES).to_owned(),
    }
}
