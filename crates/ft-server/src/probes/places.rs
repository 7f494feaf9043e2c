//! Where probes are: what the kitchen has, and how it is called.

use std::collections::BTreeSet;

use ft_app::tonight::pick;
use ft_machine::Named;
use ft_pages::Language;
use ft_probe::{Places, Probe};

use crate::current::Current;

/// What a probe can stand at: the kitchen's places, its machines, and their vessels as the record names them.
pub fn places(current: &Current) -> Places {
    let run = &current.run;
    let mut places = Places {
        places: run.kitchen.places.iter().map(|place| place.name.clone()).collect(),
        machines: run.kitchen.machines.iter().map(|one| (one.named.name.clone(), BTreeSet::new())).collect(),
    };
    for live in &run.machines {
        let Some(machine) = live.ready.file.machine.as_ref() else { continue };
        let vessels = places.machines.entry(live.ready.name.clone()).or_default();
        for vessel in machine.vessels.iter().filter(|vessel| !vessel.kit) {
            if vessel.named.per_side {
                let sides = machine.sides.iter().map(|side| format!("{} ({})", vessel.named.name, side.name));
                vessels.extend(sides);
            } else {
                vessels.insert(vessel.named.name.clone());
            }
        }
    }
    places
}

/// Where a probe is, as the kitchen's and the machine's files call it; nothing where it is called so itself.
pub fn place(current: &Current, probe: &Probe, language: Language) -> String {
    let code = language.code();
    let called = |named: &Named| pick(&named.label, code).unwrap_or(&named.name).to_owned();
    let kitchen = &current.run.kitchen;
    let place = probe.place.as_ref().map(|name| {
        kitchen.places.iter().find(|place| place.name == *name).map_or_else(|| name.clone(), called)
    });
    let live = current.run.machines.iter().find(|live| Some(&live.ready.name) == probe.machine.as_ref());
    let machine =
        probe.machine.as_ref().map(|name| live.map_or(name.as_str(), |live| live.label(code)).to_owned());
    let vessel = probe.vessel.as_ref().map(|name| {
        let model = live.and_then(|live| live.ready.file.machine.as_ref());
        // One that is there on each side has its side in brackets.
        let (vessel, side) = match name.strip_suffix(')').and_then(|name| name.split_once(" (")) {
            Some((vessel, side)) => (vessel, Some(side)),
            None => (name.as_str(), None),
        };
        let found = model.and_then(|model| model.vessels.iter().find(|known| known.named.name == vessel));
        let Some((model, found)) = model.zip(found) else { return name.clone() };
        let side = side.map(|side| {
            model.sides.iter().find(|known| known.name == side).map_or_else(|| side.to_owned(), called)
        });
        let vessel = called(&found.named);
        side.map_or_else(|| vessel.clone(), |side| format!("{vessel} ({side})"))
    });
    let parts: Vec<String> = [place, machine, vessel].into_iter().flatten().collect();
    let text = parts.join(" · ");
    if text == probe.label(code) { String::new() } else { text }
}
