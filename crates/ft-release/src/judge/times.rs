//! Contact times, readings, and how long ago circuits were sanitised.

use std::collections::BTreeMap;

use ft_record::{Event, Fact};

use super::{Case, Side};
use crate::decision::{Code, Reason};
use crate::expected::{Limit, Measure};
use crate::morning::reading;
use crate::say::{in_language, reason, words};

/// The value of an inside that is clean enough.
const SANITISED: &str = "sanitised";

pub(super) fn judge(_case: &Case<'_>, side: &Side<'_>, reasons: &mut Vec<Reason>) {
    contacts(side, reasons);
    for measure in &side.work.measures {
        measured(side, measure, reasons);
    }
    others(side, reasons);
}

fn contacts(side: &Side<'_>, reasons: &mut Vec<Reason>) {
    let form = &side.work.form;
    for contact in &side.work.contacts {
        let (Some(from), Some(until)) =
            (side.played.by.get(&contact.from), side.played.by.get(&contact.until))
        else {
            continue;
        };
        let seconds = (until.at_ms - from.at_ms) as f64 / 1000.0;
        if contact.least_s <= seconds {
            continue;
        }
        let step = &form.events[contact.from].step;
        let least = contact.least_s;
        let told = reason(
            Code::ContactShort,
            format!("{}: {step}", side.named().0),
            words(
                format!("`{step}` stood {seconds:.0} s and needs {least:.0} s."),
                format!("«{step}» reposó {seconds:.0} s y necesita {least:.0} s."),
            ),
            words("Do it again for its whole time.", "Repítalo durante todo su tiempo."),
        );
        let told =
            told.by_event(from).by_event(until).found(format!("{seconds:.0} s"), format!("{least:.0} s"));
        reasons.push(told.says(contact.says.clone()));
    }
}

/// Readings of some names in a run, in the order in which they were merged.
fn readings<'a>(side: &Side<'a>, names: &[String]) -> Vec<&'a Event> {
    let of = |event: &&&Event| reading(event).is_some_and(|reading| names.contains(&reading.of));
    side.events.iter().filter(of).copied().collect()
}

/// Whether a reading is within a limit; what cannot be compared is not.
fn is_good(event: &Event, within: &str) -> bool {
    let Some(reading) = reading(event) else { return false };
    let holds = Limit::read(within).and_then(|limit| limit.holds(reading.value, &reading.unit));
    reading.good != Some(false) && holds == Some(true)
}

/// The reading that a step rests on is the last one before the step ended, or else the first after it; and what was
/// measured last must be good too.
fn measured(side: &Side<'_>, measure: &Measure, reasons: &mut Vec<Reason>) {
    let all = readings(side, &measure.names);
    let name = measure.names.first().map_or("", String::as_str);
    let (en, es) = side.named();
    let Some(last) = all.last() else {
        let told = reason(
            Code::ReadingMissing,
            format!("{en}: {name}"),
            words(
                format!("`{name}` was not measured in the {en}."),
                format!("No se midió «{name}» en el {es}."),
            ),
            words("Measure it, and do again what rests on it.", "Mídalo, y repita lo que depende de ello."),
        );
        reasons.push(told.found("none", measure.within.clone()).says("the machine file"));
        return;
    };
    let ended = side.played.by.get(&measure.by).map(|event| event.at_ms);
    let before = ended.and_then(|ended| all.iter().rev().find(|event| event.at_ms <= ended));
    let relied = before.or(all.first()).unwrap_or(last);
    for event in [relied, last] {
        if !is_good(event, &measure.within) {
            reasons.push(failed(side, event, &measure.within).says("the machine file"));
            return;
        }
    }
}

fn failed(side: &Side<'_>, event: &Event, within: &str) -> Reason {
    let (value, of) = reading(event).map_or_else(
        || (String::new(), String::new()),
        |reading| (format!("{} {}", reading.value, reading.unit), reading.of),
    );
    let told = reason(
        Code::ReadingFailed,
        format!("{}: {of}", side.named().0),
        words(
            format!("`{of}` was {value} and has to be {within}."),
            format!("«{of}» fue {value} y tiene que ser {within}."),
        ),
        words(
            "Put it right, measure it again, and do again what rests on it.",
            "Corríjalo, mídalo otra vez y repita lo que depende de ello.",
        ),
    );
    told.by_event(event).found(value, within)
}

/// Readings that no step asks for: the last of each name must not be bad by the limit that was shown with it.
fn others(side: &Side<'_>, reasons: &mut Vec<Reason>) {
    let mut last: BTreeMap<&str, &Event> = BTreeMap::new();
    for event in &side.events {
        let Fact::Reading { of, .. } = &event.fact else { continue };
        if !side.work.measures.iter().any(|measure| measure.names.contains(of)) {
            last.insert(of, event);
        }
    }
    for event in last.into_values() {
        let Fact::Reading { within, good, .. } = &event.fact else { continue };
        let bad = match within {
            Some(within) => !is_good(event, within),
            None => *good == Some(false),
        };
        if bad {
            reasons.push(failed(side, event, within.as_deref().unwrap_or("within its limit")));
        }
    }
}

pub(super) fn circuits(case: &Case<'_>, reasons: &mut Vec<Reason>) {
    let Some(opening) = &case.opening else { return };
    // Once it was released the window is met or missed for good: later hours of serving do not reopen it.
    let released =
        case.log.released.iter().find(|told| told.what == opening.run.id && case.morning.counts(&told.event));
    let serves_ms = released.map_or(case.at_ms, |told| told.at_ms);
    for circuit in &case.expected.circuits {
        let label = |language| in_language(&circuit.label, language, "circuit").to_owned();
        let name = label("en");
        let sides = [(Some(opening), circuit.opening), (case.closing.as_ref(), circuit.closing)];
        let sanitised = sides.into_iter().find_map(|(side, var)| {
            let (side, var) = (side?, var?);
            let of = &side.work.form.vars[var];
            // What is filled with product afterwards is soiled again; when it was sanitised is what counts.
            let value = of.vals.iter().position(|value| value == SANITISED)? as i32 + of.lo;
            side.played.reached.get(&(var, value)).map(|event| (*event, event.at_ms))
        });
        let Some((event, at_ms)) = sanitised else {
            let told = reason(
                Code::NotSanitised,
                &name,
                words(
                    format!("The inside of the {name} was not sanitised."),
                    format!("No se desinfectó el interior de «{}».", label("es")),
                ),
                words("Sanitise it and tell it.", "Desinféctelo y anótelo."),
            );
            reasons.push(told.found("not told", SANITISED));
            continue;
        };
        let hours = (serves_ms - at_ms) as f64 / 3_600_000.0;
        let most = case.settings.circuit_hours;
        if hours <= most {
            continue;
        }
        let told = reason(
            Code::SanitisedTooEarly,
            &name,
            words(
                format!(
                    "The inside of the {name} was sanitised {hours:.1} h before serving; at most {most:.0} h may pass."
                ),
                format!(
                    "El interior de «{}» se desinfectó {hours:.1} h antes de servir; pueden pasar {most:.0} h.",
                    label("es")
                ),
            ),
            words("Sanitise it again before serving.", "Desinféctelo otra vez antes de servir."),
        );
        let told = told.by_event(event).found(format!("{hours:.1} h"), format!("{most:.0} h"));
        reasons.push(told.says(case.settings.says.clone()));
    }
}
