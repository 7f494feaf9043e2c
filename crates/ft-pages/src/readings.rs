//! Readings: what should be measured, typed on a number pad with its unit and its limit in sight, and what was.

use maud::{PreEscaped, html};

use crate::probes::{ProbesView, section};
use crate::product::{ProductView, section as product};
use crate::shell::{Shell, document};

/// Something that should be measured.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingWanted {
    /// What, as the machine file's `measure` says it.
    pub of: String,
    /// What it is called.
    pub label: String,
    /// The machine that it belongs to, by name.
    pub machine: Option<String>,
    /// The unit in which it is read.
    pub unit: String,
    /// The limit as it is shown, such as `100..200 mg/L`.
    pub within: Option<String>,
    /// The lowest good value in `unit`.
    pub low: Option<f64>,
    /// The highest good value in `unit`.
    pub high: Option<f64>,
    /// Whether an end itself is no longer good.
    pub is_strict: bool,
}

impl ReadingWanted {
    /// Whether a value in `unit` is good; `None` where there is no limit.
    pub fn is_good(&self, value: f64) -> Option<bool> {
        let is_before = |one: f64, other: f64| if self.is_strict { one < other } else { one <= other };
        (self.low.is_some() || self.high.is_some()).then(|| {
            self.low.is_none_or(|low| is_before(low, value))
                && self.high.is_none_or(|high| is_before(value, high))
        })
    }
}

/// Something that was measured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingTaken {
    /// What it is called.
    pub label: String,
    /// The value with its unit.
    pub value: String,
    /// Whether it was within its limit.
    pub is_good: Option<bool>,
    /// The limit that held then.
    pub within: Option<String>,
    /// When and by whom, in words.
    pub seen: String,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingsView {
    /// What should be measured.
    pub wanted: Vec<ReadingWanted>,
    /// What was, last first.
    pub taken: Vec<ReadingTaken>,
    /// Charts with their titles, SVG of our own making.
    pub charts: Vec<(String, String)>,
    /// Probes; `None` where the site has none.
    pub probes: Option<ProbesView>,
    /// Checks of what is served, one for each machine that serves product.
    pub product: Vec<ProductView>,
}

/// The page of readings.
pub fn readings(shell: &Shell, view: &ReadingsView) -> String {
    let main = html! {
        h1 { (shell.say("page.readings")) }
        p .caution { (shell.say("readings.caution")) }
        @if let Some(probes) = &view.probes { (section(shell.language, probes)) }
        section {
            h2 { (shell.say("readings.wanted")) }
            @if view.wanted.is_empty() { p { (shell.say("readings.none")) } }
            ul #wanted .wanted {
                @for reading in &view.wanted {
                    li {
                        button type="button" .reading data-of=(reading.of) data-unit=(reading.unit)
                            data-machine=[reading.machine.as_deref()] data-within=[reading.within.as_deref()]
                            data-low=[reading.low] data-high=[reading.high] data-strict[reading.is_strict] data-label=(reading.label) {
                            strong { (reading.label) }
                            span { (shell.say("readings.limit")) " "
                                (reading.within.as_deref().unwrap_or(shell.say("readings.no-limit"))) }
                        }
                    }
                }
            }
        }
        (product(shell.language, &view.product))
        section {
            h2 { (shell.say("readings.taken")) }
            ul #taken .taken {
                @for reading in &view.taken {
                    li {
                        strong { (reading.label) " " (reading.value) }
                        @if let Some(within) = &reading.within { span { " (" (within) ")" } }
                        @match reading.is_good {
                            Some(true) => span .badge .good { "✓ " (shell.say("readings.good")) },
                            Some(false) => span .badge .bad { "✗ " (shell.say("readings.bad")) },
                            None => {},
                        }
                        span .small { (reading.seen) }
                    }
                }
            }
        }
        @for (title, chart) in &view.charts {
            section { h2 { (title) } div .wide tabindex="0" role="region" aria-label=(title) { (PreEscaped(chart)) } }
        }
        dialog #pad aria-labelledby="pad-title" {}
    };
    document(shell, shell.say("page.readings"), &main)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strict_limit_stays_strict() {
        let below_five = |is_strict| ReadingWanted {
            of: "Temperature of the mix".into(),
            label: "Temperature of the mix".into(),
            machine: None,
            unit: "°C".into(),
            within: Some("< 5 °C".into()),
            low: None,
            high: Some(5.0),
            is_strict,
        };
        assert_eq!([5.0, 4.9].map(|value| below_five(true).is_good(value)), [Some(false), Some(true)]);
        assert_eq!(below_five(false).is_good(5.0), Some(true));
        assert_eq!(ReadingWanted { high: None, ..below_five(true) }.is_good(5.0), None, "no limit, no word");
    }
}
