//! Readings: what the steps of tonight ask for, and what was read.

use ft_machine::Statement;
use ft_pages::{Language, ReadingTaken, ReadingWanted, ReadingsView};
use ft_product::Band;

use crate::clock::clock;
use crate::current::Current;
use crate::problem::Problem;
use crate::site::Site;

/// What the steps of tonight ask for.
pub fn wanted(current: &Current, language: Language) -> Vec<ReadingWanted> {
    let code = language.code();
    let mut wanted = Vec::new();
    for live in &current.run.machines {
        for step in &live.ready.file.procedures[live.ready.procedure].steps {
            for statement in &step.statements {
                let Statement::Measure { what, within, .. } = statement else { continue };
                let name = ft_app::tonight::pick(what, "en").unwrap_or_default().to_owned();
                let label = ft_app::tonight::pick(what, code).unwrap_or(&name);
                let (band, unit) = limits(within);
                wanted.push(ReadingWanted {
                    of: name.clone(),
                    label: format!("{}: {label}", live.label(code)),
                    machine: Some(live.ready.name.clone()),
                    unit,
                    within: Some(within.clone()),
                    low: band.least,
                    high: band.most,
                    is_strict: band.is_strict,
                });
            }
        }
    }
    wanted
}

/// The page's view.
///
/// # Errors
/// [`Problem`] of the store.
pub fn view(site: &Site, language: Language) -> Result<ReadingsView, Problem> {
    let desk = site.desk()?;
    let current = &*site.current();
    let wanted = wanted(current, language);
    let mut taken = Vec::new();
    for reading in current.night.readings.iter().rev() {
        taken.push(ReadingTaken {
            label: reading.of.clone(),
            value: format!("{} {}", reading.value, reading.unit),
            is_good: reading.good,
            within: reading.within.clone(),
            seen: format!("{} {}", reading.by.as_deref().unwrap_or("–"), clock(reading.at_ms)),
        });
    }
    let probes = crate::probes::cards(site, current, language, crate::ids::now_ms());
    let product = crate::product::views(current, &desk.readings, language);
    Ok(ReadingsView { wanted, taken, charts: Vec::new(), probes, product })
}

/// The band and the unit of a limit such as `100..200 mg/L` or `< 5 °C`.
pub fn limits(within: &str) -> (Band, String) {
    let text = within.trim();
    let split = |text: &str| {
        let end = text.find(|c: char| !(c.is_ascii_digit() || ".,-".contains(c))).unwrap_or(text.len());
        (text[..end].replace(',', ".").parse::<f64>().ok(), text[end..].trim().to_owned())
    };
    if let Some((low, high)) = text.split_once("..") {
        let (low, low_unit) = split(low.trim());
        let (high, unit) = split(high.trim());
        let band = Band { least: low, most: high, is_strict: false };
        return (band, if unit.is_empty() { low_unit } else { unit });
    }
    let sign: String = text.chars().take_while(|c| "<>=≤≥".contains(*c)).collect();
    let (value, unit) = split(text[sign.len()..].trim());
    let (least, most) = match sign.chars().next() {
        Some('<' | '≤') => (None, value),
        Some('>' | '≥') => (value, None),
        _ => (value, value),
    };
    (Band { least, most, is_strict: matches!(sign.as_str(), "<" | ">") }, unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_read_as_files_write_them() {
        let band = |least, most, is_strict| Band { least, most, is_strict };
        assert_eq!(limits("100..200 mg/L"), (band(Some(100.0), Some(200.0), false), "mg/L".into()));
        assert_eq!(limits("< 5 °C"), (band(None, Some(5.0), true), "°C".into()));
        assert_eq!(limits("≤ 5 °C"), (band(None, Some(5.0), false), "°C".into()));
        assert_eq!(limits(">= 60 °C"), (band(Some(60.0), None, false), "°C".into()));
        assert_eq!(limits("> 60 °C"), (band(Some(60.0), None, true), "°C".into()));
    }
}
