//! Whether what a mapping names is there in the kitchen.

use std::collections::{BTreeMap, BTreeSet};

use ft_diag::{Problem, nearest};

use super::ReadMapping;

/// What there is in the kitchen.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Places {
    /// Its places.
    pub places: BTreeSet<String>,
    /// Its machines, each with its vessels.
    pub machines: BTreeMap<String, BTreeSet<String>>,
}

/// What the mapping names and the kitchen does not have: nobody would look for those readings there.
pub fn check_places(read: &ReadMapping, places: &Places) -> Vec<Problem> {
    let mut problems = Vec::new();
    for (probe, span) in read.mapping.probes.iter().zip(&read.spans) {
        let mut miss = |what: &str, name: &str, known: &mut dyn Iterator<Item = &String>| {
            let known: Vec<&str> = known.map(String::as_str).collect();
            let remedy = match nearest(name, known.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None if known.is_empty() => format!("it has no {what}"),
                None => format!("write one of: {}", known.join(", ")),
            };
            let message = format!("probe `{}`: there is no {what} `{name}` in this kitchen", probe.name);
            problems.push(Problem::error("P0008", span.clone(), message).with_remedy(remedy));
        };
        if let Some(place) = probe.place.as_ref().filter(|place| !places.places.contains(*place)) {
            miss("place", place, &mut places.places.iter());
        }
        let Some(machine) = &probe.machine else { continue };
        match (places.machines.get(machine), &probe.vessel) {
            (None, _) => miss("machine", machine, &mut places.machines.keys()),
            (Some(vessels), Some(vessel)) if !vessels.contains(vessel) => {
                miss("vessel", vessel, &mut vessels.iter());
            }
            (Some(_), _) => {}
        }
    }
    problems
}
