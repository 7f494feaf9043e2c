//! The inspection packet of a night, of several nights, or of a lot, out of the record.

mod rows;

use std::collections::BTreeMap;

use ft_lots::{Held, InventoryView, Lot, TraceView};
use ft_paper::packet::{self, Deviation, Holds, Packet, Record};
use ft_people::People;
use ft_record::{Stored, fold};
use ft_release::{Decision, Expected};

use crate::site::{Site, litres};

/// A night: what was done, and whether the machines might serve after it.
#[derive(Debug, Clone)]
pub struct Night {
    /// What it is called.
    pub title: String,
    /// The events of its closing, of its opening, and of whatever else belongs to it.
    pub events: Vec<Stored>,
    /// The answer for each machine with what it should have gone through, and who released or refused it, in words.
    pub answers: Vec<(Decision, Expected, Option<String>)>,
}

/// What every packet has.
#[derive(Debug, Clone, Copy)]
pub struct Frame<'a> {
    /// What the kitchen is called.
    pub kitchen: &'a str,
    /// When it was made, milliseconds since 1970.
    pub made_ms: i64,
    /// The record that it comes from: as many events, the hash of the last one and the site's public key, hex.
    pub record: (u64, &'a str, &'a str),
}

/// The packet of nights, the last one first to be read about; with `inventory`, what was held at the end of the last.
pub fn nights(
    site: &Site<'_>,
    frame: &Frame<'_>,
    nights: &[Night],
    inventory: &InventoryView,
    people: &People,
) -> Packet {
    let about = match nights {
        [] => String::new(),
        [one] => one.title.clone(),
        [first, .., last] => format!("{} – {}", first.title, last.title),
    };
    let mut packet = empty(site, frame, about);
    let is_one = nights.len() == 1;
    for night in nights {
        let title = |machine: &str| {
            if is_one { site.label(machine) } else { format!("{} · {}", night.title, site.label(machine)) }
        };
        for (decision, expected, said) in &night.answers {
            packet.releases.push(rows::release(site, decision, said.as_deref(), &title(&decision.machine)));
            let seen = rows::parts(site, night, expected, decision);
            // Over several nights, what was not there is what there is to see.
            packet.parts.extend(seen.into_iter().filter(|part| is_one || part.there != Holds::Yes));
        }
        let folded = fold::run(&BTreeMap::new(), &night.events);
        packet.readings.extend(folded.readings.iter().map(|taken| rows::reading(site, taken)));
        packet
            .deviations
            .extend(night.events.iter().filter_map(|stored| rows::deviation(site, &stored.event)));
        packet.deviations.extend(rows::conflicts(site, night));
        packet.people.extend(rows::crew(site, night, people));
    }
    rows::merge_people(&mut packet.people);
    packet.lots = inventory.held.iter().map(|held| rows::held_lot(site, held)).collect();
    let events = || nights.iter().flat_map(|night| &night.events);
    let clock =
        |stored: Option<&Stored>| stored.map(|stored| site.clock(stored.event.at_ms)).unwrap_or_default();
    let (from, until) = (clock(events().next()), clock(events().last()));
    packet.record = Some(record(site, frame, format!("{from} – {until}")));
    packet
}

/// The packet of a lot: where it came from, where it went, and in which glasses it was.
pub fn lot(
    site: &Site<'_>,
    frame: &Frame<'_>,
    view: &TraceView,
    lot: Option<&Lot>,
    held: Option<&Held>,
) -> Packet {
    let mut packet = empty(site, frame, format!("{} {}", site.say("Lot", "Lote"), view.lot));
    let product = view.product.as_deref().map(|product| site.product(product)).unwrap_or_default();
    let own = packet::Lot {
        code: view.lot.clone(),
        product: product.clone(),
        history: history(site, view, lot),
        discard_by: held.map(|held| rows::discard_by(site, held)).unwrap_or_default(),
        share: litres(view.in_litres),
        in_date: match (&view.recalled, held) {
            (Some(_), _) => Holds::No,
            (None, Some(held)) => rows::in_date(held),
            (None, None) => Holds::Unknown,
        },
    };
    packet.lots.push(own);
    packet.lots.extend(view.served.iter().map(|line| packet::Lot {
        code: view.lot.clone(),
        product: product.clone(),
        history: format!(
            "{} {}, {} – {}: {} {} {}",
            site.say("served from", "servido de"),
            site.place(&line.place),
            site.clock(line.from_ms),
            site.clock(line.until_ms),
            litres(line.litres),
            site.say("of", "de"),
            litres(line.of_litres)
        ),
        share: ft_pages::percent(line.share),
        // Whether a glass was in date is asked of its night: every part of it counts, not this lot alone.
        in_date: Holds::Unknown,
        ..packet::Lot::default()
    }));
    if let Some(because) = &view.recalled {
        packet.deviations.push(Deviation {
            at: String::new(),
            what: format!("{}: {because}", site.say("Called back", "Retirado")),
            then: view
                .hold_now
                .iter()
                .map(|(place, amount)| {
                    format!("{} {}: {}", site.say("hold", "retener"), site.place(place), litres(*amount))
                })
                .collect::<Vec<_>>()
                .join("; "),
        });
    }
    packet.record = Some(record(site, frame, site.say("the whole record", "todo el registro").to_owned()));
    packet
}

fn empty(site: &Site<'_>, frame: &Frame<'_>, about: String) -> Packet {
    Packet {
        kitchen: frame.kitchen.to_owned(),
        about,
        made: format!(
            "{} {}, {}",
            site.say("Made", "Hecho el"),
            site.clock(frame.made_ms),
            site.say(
                "from the record. It shows what was told; it does not see the machine.",
                "con lo registrado. Muestra lo que se anotó; no ve la máquina."
            )
        ),
        language: site.language.code().to_owned(),
        ..Packet::default()
    }
}

fn history(site: &Site<'_>, view: &TraceView, lot: Option<&Lot>) -> String {
    let begun = lot
        .and_then(Lot::begun_ms)
        .map(|begun_ms| format!("{} {}", site.say("here since", "aquí desde"), site.clock(begun_ms)));
    let spans = view.places.iter().map(|span| {
        let until =
            span.until_ms.map_or_else(|| site.say("now", "ahora").to_owned(), |until| site.clock(until));
        format!("{}: {} – {until}", site.place(&span.place), site.clock(span.from_ms))
    });
    begun.into_iter().chain(spans).collect::<Vec<_>>().join("\n")
}

fn record(site: &Site<'_>, frame: &Frame<'_>, span: String) -> Record {
    let (events, hash, key) = frame.record;
    Record {
        span,
        events,
        hash: hash.to_owned(),
        key: key.to_owned(),
        verify: vec![
            site.say(
                "Get the whole record as a file: from the link that you were given, or with `fulltray record export`.",
                "Descargue el registro completo: del enlace que se le dio, o con `fulltray record export`.",
            )
            .to_owned(),
            format!(
                "{} fulltray record verify record.jsonl --key {key}",
                site.say("On any machine:", "En cualquier equipo:")
            ),
            site.say(
                "It names the first event that was changed, left out or put in, or says that the chain holds, with how \
                 many events and the last hash; compare both with the ones above. What was told later comes after them.",
                "Dice cuál es el primer suceso cambiado, quitado o añadido, o que la cadena se sostiene, con cuántos \
                 sucesos y el último resumen; compárelos con los de arriba. Lo anotado más tarde viene detrás.",
            )
            .to_owned(),
        ],
    }
}
