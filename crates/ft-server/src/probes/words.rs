//! What is said of probes, in words: what is the matter, and what to do.

use ft_pages::Language;
use ft_probe::alarm::Why;
use ft_probe::{Probe, Said, Watch, number};

use crate::clock::clock;

/// A value with its unit, as the page's language writes numbers.
pub fn value(value: f64, unit: &str, language: Language) -> String {
    let text = number(value);
    match language {
        Language::English => format!("{text} {unit}"),
        Language::Spanish => format!("{} {unit}", text.replace('.', ",")),
    }
}

/// A length of time in one unit, rounded down.
pub fn length(seconds: f64) -> String {
    let seconds = seconds.max(0.0) as u64;
    match seconds {
        0..=119 => format!("{seconds} s"),
        120..=7199 => format!("{} min", seconds / 60),
        7200..=172_799 => format!("{} h", seconds / 3600),
        _ => format!("{} d", seconds / 86_400),
    }
}

/// The limit with whose it is.
pub fn limit(probe: &Probe) -> Option<String> {
    let text = &probe.limit.as_ref()?.text;
    Some(match &probe.whose {
        Some(whose) => format!("{text} ({whose})"),
        None => text.clone(),
    })
}

/// What is the matter, and what to do.
///
/// Times are those of the clock and the value is left out, so that a sentence that stands on a page for a while stays
/// true: "in ten minutes" would be later with every minute.
pub fn alarm(watch: &Watch, why: Why, by_ms: i64, now_ms: i64, language: Language) -> (String, String) {
    let probe = &watch.probe;
    let label = probe.label(language.code());
    let limit = probe.limit.as_ref().map_or("–", |limit| limit.text.as_str());
    let since = clock(now_ms - (watch.silence_s(now_ms) * 1000.0) as i64);
    let at = clock(by_ms);
    let is_late = by_ms <= now_ms;
    match language {
        Language::English => {
            let by = if is_late { "Look now".to_owned() } else { format!("Look by {at}") };
            match why {
                Why::Outside => (
                    format!("{label} was outside its limit {limit}."),
                    "Act now: measure it by hand and put it right. Your code says what becomes of food that was outside, and after how long.".to_owned(),
                ),
                Why::Silent => (
                    format!("Nothing has come from {label} since {since}: nobody knows how it is."),
                    "Measure it by hand now and write it down. Then look at the probe, its battery and its network.".to_owned(),
                ),
                Why::Nearing => (
                    format!("{label} goes towards its limit {limit}: as it goes, that may be met at {at}."),
                    format!("{by}: door, lid, load, fan. Measure it by hand. It may go faster than this."),
                ),
                Why::Close => (
                    format!("{label} is close to its limit {limit}."),
                    format!("{by}: door, lid, load, fan. Measure it by hand."),
                ),
                Why::Drifting => (
                    format!("{label} is within its limit, but not as it used to be: the mean of the last hours breaks a rule of the control chart."),
                    format!("{by}: ice, seals, fan, and where the probe hangs. It may be a false alarm; a quiet chart is no proof either."),
                ),
            }
        }
        Language::Spanish => {
            let by = if is_late { "Mire ahora".to_owned() } else { format!("Mire antes de las {at}") };
            match why {
                Why::Outside => (
                    format!("«{label}» ha estado fuera de su límite {limit}."),
                    "Actúe ya: mídalo a mano y corríjalo. Su norma dice qué se hace con el alimento que estuvo fuera, y a partir de cuánto tiempo.".to_owned(),
                ),
                Why::Silent => (
                    format!("No llega nada de «{label}» desde las {since}: nadie sabe cómo está."),
                    "Mídalo a mano ahora y anótelo. Después revise la sonda, su pila y su red.".to_owned(),
                ),
                Why::Nearing => (
                    format!("«{label}» va hacia su límite {limit}: a este paso puede alcanzarlo a las {at}."),
                    format!("{by}: puerta, tapa, carga, ventilador. Mídalo a mano. Puede ir más deprisa."),
                ),
                Why::Close => (
                    format!("«{label}» está cerca de su límite {limit}."),
                    format!("{by}: puerta, tapa, carga, ventilador. Mídalo a mano."),
                ),
                Why::Drifting => (
                    format!("«{label}» está dentro de su límite, pero no como antes: la media de las últimas horas rompe una regla del gráfico de control."),
                    format!("{by}: hielo, juntas, ventilador y el sitio de la sonda. Puede ser una falsa alarma; un gráfico tranquilo tampoco prueba nada."),
                ),
            }
        }
    }
}

/// The word of a reason in programs.
pub fn word(why: Why) -> &'static str {
    match why {
        Why::Outside => "outside",
        Why::Silent => "silent",
        Why::Nearing => "nearing",
        Why::Close => "close",
        Why::Drifting => "drifting",
    }
}

/// The line of the log, for what somebody should find there; readings are in the record.
pub fn said_in_log(probe: &Probe, said: &Said) -> Option<String> {
    let name = &probe.name;
    match said {
        Said::Raised { why, value, .. } => {
            let at = value.map(|value| format!(" at {} {}", number(value), probe.unit.symbol()));
            Some(format!("probes: {name}: alarm: {}{}", word(*why), at.unwrap_or_default()))
        }
        Said::Ended { why, .. } => Some(format!("probes: {name}: no longer {}", word(*why))),
        Said::Watched { tally, refused, .. } if !refused.is_empty() => {
            let codes: Vec<String> =
                refused.iter().map(|(code, count)| format!("{count} by {code}")).collect();
            Some(format!("probes: {name}: {} readings came; no reading: {}", tally.came, codes.join(", ")))
        }
        Said::Watched { .. } | Said::Kept { .. } => None,
    }
}
