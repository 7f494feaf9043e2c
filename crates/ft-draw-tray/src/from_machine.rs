//! The tray of a machine: its parts, down to the last ring, each as often as there are.

use ft_machine::{Machine, Named, OptionId, Part};
use ft_units::VolumeUnit;

use crate::{Lane, Outline, Slot, State, Tray};

/// The empty tray of a machine with these options fitted: one slot for each single part that has a slot.
///
/// Shared parts come first, then side by side; within each in the order of the machine file. Numbers count through.
pub fn tray(machine: &Machine, fitted: &[OptionId], language: &str) -> Tray {
    let here = |named: &Named| named.only_with.is_none_or(|option| fitted.contains(&option));
    let parts: Vec<&Part> =
        machine.parts.iter().filter(|part| part.slot.is_some() && here(&part.named)).collect();
    let mut number = 0;
    let mut slots = |per_side: bool, side: Option<&Named>| {
        let own = parts.iter().filter(|part| part.named.per_side == per_side);
        let mut slots = Vec::new();
        for part in own {
            for which in 1..=part.count {
                number += 1;
                slots.push(slot(part, number, which, side, language));
            }
        }
        slots
    };
    let shared = slots(false, None);
    let sides = machine
        .sides
        .iter()
        .filter(|side| here(side))
        .map(|side| Lane { title: text(side, language).to_owned(), slots: slots(true, Some(side)) })
        .filter(|lane| !lane.slots.is_empty())
        .collect();
    Tray { title: text(&machine.named, language).to_owned(), language: language.to_owned(), shared, sides }
}

fn slot(part: &Part, number: usize, which: u32, side: Option<&Named>, language: &str) -> Slot {
    Slot {
        number,
        part: part.named.name.clone(),
        label: text(&part.named, language).to_owned(),
        code: part.slot.clone().unwrap_or_default(),
        side: side.map(|side| side.name.clone()),
        nth: (which, part.count),
        outline: outline(part),
        scale: scale(part),
        state: State::Empty,
    }
}

fn outline(part: &Part) -> Outline {
    let names = std::iter::once(&part.named.name).chain(part.named.label.values());
    match names.into_iter().find_map(|name| Outline::of_name(name)) {
        Some(Outline::Blade) if part.sharp => Outline::RoundBlade,
        Some(outline) => outline,
        None if part.grooves.is_some() => Outline::Ring,
        None => Outline::Block,
    }
}

/// From the room that one of it takes in a sink: 0.02 L or less is drawn at 0.6, 1 L or more at full size. Source: none,
/// our choice; a picture at one scale would show a check ball as a dot.
fn scale(part: &Part) -> f64 {
    let litres = part.room.in_unit(VolumeUnit::Litre) / f64::from(part.count.max(1));
    match litres {
        litres if litres <= 0.02 => 0.6,
        litres if litres <= 0.05 => 0.7,
        litres if litres <= 0.1 => 0.78,
        litres if litres <= 0.3 => 0.86,
        litres if litres < 1.0 => 0.93,
        _ => 1.0,
    }
}

fn text<'a>(named: &'a Named, language: &str) -> &'a str {
    named.label.get(language).map_or(named.name.as_str(), String::as_str)
}
