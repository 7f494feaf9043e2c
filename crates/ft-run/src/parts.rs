//! The parts of a machine that are followed: each with its slot on the tray.

use ft_compile::lower::{Key, text};
use ft_machine::{PartId, SideId};
use ft_record::PartRef;

use crate::machine::Live;

/// A part that is followed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Followed {
    /// The part.
    pub part: PartRef,
    /// What it is called, by language of the machine.
    pub labels: ft_machine::Words,
    /// Its slot on the tray, if the file names one.
    pub slot: Option<String>,
    /// The variable of the form that follows it.
    pub var: usize,
}

impl Live {
    /// The parts that the form follows, in the file's order; equal ones handled together are one.
    pub fn followed(&self) -> Vec<Followed> {
        let Some(machine) = self.ready.file.machine.as_ref() else { return Vec::new() };
        let mut out = Vec::new();
        for (var, key) in self.lowered.keys.iter().enumerate() {
            let Key::Part(part, side) = *key else { continue };
            let of = &machine.parts[part];
            let labels = machine.languages.iter();
            out.push(Followed {
                part: self.part_ref(part, side),
                labels: labels.map(|code| (code.clone(), self.part_label(part, side, code))).collect(),
                slot: of.slot.as_ref().map(|slot| match side {
                    Some(side) if machine.sides.len() > 1 => {
                        format!("{slot}·{}", machine.sides[side].name)
                    }
                    Some(_) | None => slot.clone(),
                }),
                var,
            });
        }
        out
    }

    /// A part as the record names it.
    pub fn part_ref(&self, part: PartId, side: Option<SideId>) -> PartRef {
        let machine = self.ready.file.machine.as_ref().expect("a machine that runs has a machine");
        PartRef {
            part: machine.parts[part].named.name.clone(),
            side: side.map(|side| machine.sides[side].name.clone()),
            number: None,
        }
    }

    /// What a part is called, with its side.
    pub fn part_label(&self, part: PartId, side: Option<SideId>, language: &str) -> String {
        let machine = self.ready.file.machine.as_ref().expect("a machine that runs has a machine");
        let name = text(&machine.parts[part].named, language);
        match side {
            Some(side) => format!("{name} ({})", text(&machine.sides[side], language)),
            None => name.to_owned(),
        }
    }
}

/// Where a slot lies among others, to sort by: A2 before A10, the left side before the right one.
pub fn slot_place(slot: &str) -> (String, u32, String) {
    let row: String = slot.chars().take_while(|letter| !letter.is_ascii_digit()).collect();
    let number: String = slot[row.len()..].chars().take_while(char::is_ascii_digit).collect();
    let side = slot[row.len() + number.len()..].to_owned();
    (row, number.parse().unwrap_or(0), side)
}

#[cfg(test)]
mod tests {
    use super::slot_place;

    #[test]
    fn slots_lie_in_their_order() {
        let mut slots = ["A10", "B1·left", "A2", "–", "A1", "B1·right"];
        slots.sort_by_key(|slot| slot_place(slot));
        assert_eq!(slots, ["A1", "A2", "A10", "B1·left", "B1·right", "–"]);
    }
}
