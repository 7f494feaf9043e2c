//! A value as it was written, with or without its unit.

use crate::arrival::{Refusal, shown};
use crate::mapping::Probe;
use crate::unit::{ProbeUnit, number};

/// The value in the probe's unit, and whether it was converted.
///
/// A unit in the text itself goes before `said`, which goes before the probe's own.
pub fn value(
    probe: &Probe,
    text: &str,
    said: Option<&str>,
    decimal_comma: bool,
) -> Result<(f64, bool), Refusal> {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
        .unwrap_or(text.len());
    // `1e2` is a number, `1 E` is not.
    let end = match text[end..].chars().next() {
        Some('e' | 'E') if text[end + 1..].starts_with(|c: char| c.is_ascii_digit() || "+-".contains(c)) => {
            let rest = &text[end + 2..];
            end + 2 + rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len())
        }
        _ => end,
    };
    let (digits, own) = (&text[..end], text[end..].trim());
    let number = match (digits.contains(','), decimal_comma) {
        (true, true) => digits.replace(',', ".").parse(),
        _ => digits.parse::<f64>(),
    };
    let Some(value) = number.ok().filter(|value| value.is_finite()) else {
        return Err(Refusal::new(
            "P0102",
            format!("`{}` is not a number", shown(text)),
            "look at the probe; a decimal point is a dot unless the mapping says `decimal-comma`",
        ));
    };
    in_unit(probe, value, if own.is_empty() { said } else { Some(own) })
}

/// A number with a unit that may have been said, in the probe's unit; refused where the probe cannot show it.
pub fn in_unit(probe: &Probe, value: f64, said: Option<&str>) -> Result<(f64, bool), Refusal> {
    let unit = match said.map(str::trim).filter(|said| !said.is_empty()) {
        None => probe.unit,
        Some(said) => {
            ProbeUnit::of(said).filter(|unit| unit.to(0.0, probe.unit).is_some()).ok_or_else(|| {
                Refusal::new(
                    "P0105",
                    format!("it is in `{}`, and the probe measures in {}", shown(said), probe.unit.symbol()),
                    "set the sender to that unit, or change the mapping",
                )
            })?
        }
    };
    let value_in = unit.to(value, probe.unit).unwrap_or(value);
    let (low, high) = probe.possible;
    if !(low..=high).contains(&value_in) {
        return Err(impossible(probe, value_in));
    }
    Ok((value_in, unit != probe.unit))
}

fn impossible(probe: &Probe, value: f64) -> Refusal {
    let (low, high) = probe.possible;
    let unit = probe.unit.symbol();
    // The commonest mistake has a name: a sender in °F under a mapping in °C.
    let hint = match (probe.unit, ProbeUnit::of("°F")) {
        (ProbeUnit::Temperature(_), Some(fahrenheit)) if unit == "°C" => fahrenheit
            .to(value, probe.unit)
            .filter(|celsius| (low..=high).contains(celsius))
            .map(|celsius| format!(" (if the sender means °F, it is {} °C)", number(celsius))),
        _ => None,
    };
    Refusal::new(
        "P0106",
        format!("{} {unit} is not what this probe can show", number(value)),
        format!(
            "look at wire and unit: it can show {} to {} {unit}{}",
            number(low),
            number(high),
            hint.unwrap_or_default()
        ),
    )
}
