//! Whether what the machine would serve is in date and cold.

use std::collections::BTreeMap;

use ft_lots::{Due, InventoryView};
use ft_units::{Temperature, TemperatureUnit, parse};

use super::Case;
use crate::decision::{Code, Evidence, Reason};
use crate::say::{reason, words};

pub(super) fn judge(case: &Case<'_>, reasons: &mut Vec<Reason>) {
    let held = InventoryView::new(case.morning.books(), case.at_ms, case.limits, &BTreeMap::new());
    for vessel in &case.expected.vessels {
        let place = &vessel.place;
        match held.find(place) {
            None => {
                let told = reason(
                    Code::LotsUntold,
                    place,
                    words(
                        format!("What is in {place} was not told."),
                        format!("No se anotó qué hay en {place}."),
                    ),
                    words("Tell which lot was filled in.", "Anote qué lote se echó."),
                );
                reasons.push(told);
            }
            Some(found) if found.due == Due::Now => reasons.push(expired(case, found)),
            Some(_) => {}
        }
        if let Some((warmest, says)) = &vessel.warmest {
            temperature(case, place, *warmest, says, reasons);
        }
    }
}

fn expired(case: &Case<'_>, held: &ft_lots::Held) -> Reason {
    let place = &held.place;
    let lot = held.decided_by_lot.as_deref().unwrap_or(place);
    let until = held.last_day.as_deref().unwrap_or("none");
    let told = reason(
        Code::LotExpired,
        format!("{place}: {lot}"),
        words(
            format!("What is in {place} has to go, because of lot {lot}: {}.", held.decides),
            format!("Hay que tirar lo que hay en {place}, por el lote {lot}: {}.", held.decides),
        ),
        words(
            "Discard it, clean what held it, and fill in a lot that is in date.",
            "Tírelo, limpie lo que lo contenía y eche un lote en fecha.",
        ),
    );
    let mut told = told.says(held.decides.clone());
    let events = case.morning.books().lots().get(lot).map(ft_lots::Lot::evidence).unwrap_or_default();
    told.evidence =
        events.into_iter().map(|event| Evidence { event: Some(event), ..Evidence::default() }).collect();
    told.found(until, format!("{}", case.limits.day(case.at_ms)))
}

/// The last reading of the probe that is named like the vessel, where there is one.
fn temperature(case: &Case<'_>, place: &str, warmest: Temperature, says: &str, reasons: &mut Vec<Reason>) {
    let Some(told) = case.log.probes.get(place).filter(|told| case.morning.counts(&told.event)) else {
        return;
    };
    let value = format!("{} {}", told.what.value, told.what.unit);
    let minutes = (case.at_ms - told.at_ms) as f64 / 60_000.0;
    match parse::<TemperatureUnit>(&value) {
        Ok(found) if minutes <= case.settings.stale_min => {
            if found.cmp_limit(warmest).is_le() {
                return;
            }
            let told = reason(
                Code::TooWarm,
                place,
                words(
                    format!("What is in {place} is at {value}; it may be at {warmest} at most."),
                    format!("Lo que hay en {place} está a {value}; puede estar a {warmest} como mucho."),
                ),
                words(
                    "Cool it or discard it, as your code says, and measure it again.",
                    "Enfríelo o tírelo, como diga su norma, y mídalo otra vez.",
                ),
            )
            .by_told(told);
            reasons.push(told.found(value, format!("{warmest}")).says(says));
        }
        Ok(_) | Err(_) => {
            let told = reason(
                Code::TemperatureUnknown,
                place,
                words(
                    format!("The probe of {place} has been silent for {minutes:.0} minutes: nobody knows how warm it is."),
                    format!("La sonda de {place} lleva {minutes:.0} minutos callada: nadie sabe a qué temperatura está."),
                ),
                words("Measure it, and mend the probe.", "Mídalo, y arregle la sonda."),
            )
            .by_told(told);
            reasons
                .push(told.found(format!("{minutes:.0} min"), format!("{:.0} min", case.settings.stale_min)));
        }
    }
}
