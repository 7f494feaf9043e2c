//! Lives of parts out of the record's own replacements.

use std::collections::{BTreeMap, BTreeSet};

use ft_record::{Event, Fact, PartRef};
use ft_wear::End;
use ft_wear::record::{Record, Replacement};
use jiff::Timestamp;
use jiff::tz::TimeZone;

/// A replacement: when, the event's id, and whether the part that came out had failed.
type Told = (i64, String, bool);

/// A fold of replacements: each place of a part, with the days on which a new one went in.
///
/// The life of what was in before the first replacement is not known and is left out: the day on which it was fitted is
/// not on record. What is still in counts as a life that has not ended.
#[derive(Debug, Clone, Default)]
pub struct Replacements {
    /// By machine and part, sorted by time.
    told: BTreeMap<(String, PartRef), Vec<Told>>,
    corrected: BTreeSet<String>,
}

impl Replacements {
    /// Takes in an event, in any order.
    pub fn apply(&mut self, event: &Event) {
        match (&event.fact, &event.machine) {
            (Fact::PartReplaced { part, failed, .. }, Some(machine)) => {
                let list = self.told.entry((machine.clone(), part.clone())).or_default();
                let at = list.partition_point(|(at_ms, ..)| *at_ms <= event.at_ms);
                list.insert(at, (event.at_ms, event.id.clone(), *failed));
            }
            (Fact::Corrected { of, .. }, _) => {
                self.corrected.insert(of.clone());
            }
            _ => {}
        }
    }

    /// Lives, as a table of the past gives them too.
    pub fn record(&self, zone: &TimeZone) -> Record {
        let day = |at_ms: i64| {
            zone.to_datetime(Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH)).date()
        };
        let mut replacements = Vec::new();
        for ((machine, part), list) in &self.told {
            let stands: Vec<_> = list.iter().filter(|(_, id, _)| !self.corrected.contains(id)).collect();
            for (index, (fitted, ..)) in stands.iter().enumerate() {
                let side = part.side.as_ref().map(|side| format!(" {side}")).unwrap_or_default();
                let number = part.number.map(|number| format!(" {number}")).unwrap_or_default();
                replacements.push(Replacement {
                    part: part.part.clone(),
                    place: format!("{machine}{side}{number}"),
                    fitted: day(*fitted),
                    removed: stands.get(index + 1).map(|(at_ms, _, failed)| {
                        (day(*at_ms), if *failed { End::Failed } else { End::Unfailed })
                    }),
                });
            }
        }
        Record { rows: replacements.len(), replacements, problems: Vec::new() }
    }
}
