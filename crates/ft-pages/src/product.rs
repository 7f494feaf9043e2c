//! Checks of what is served in the morning: draw temperature, overrun, Brix, with limits and the trend of the last
//! nights.

use maud::{Markup, PreEscaped, html};

use crate::words::{Language, text};

/// Something about the product that is checked.
#[derive(Debug, Clone, PartialEq)]
pub struct ProductLine {
    /// What, as the record names it.
    pub of: String,
    /// What it is called.
    pub label: String,
    /// Its unit.
    pub unit: String,
    /// The limit as it is shown.
    pub within: Option<String>,
    /// The least that is good.
    pub low: Option<f64>,
    /// The most that is good.
    pub high: Option<f64>,
    /// Whether an end itself is no longer good.
    pub is_strict: bool,
    /// Whether it is reckoned from the weights of a cup.
    pub is_cup: bool,
    /// Whether the band is the site's own and asked for, rather than the machine file's.
    pub asks_band: bool,
    /// The last one with when and by whom.
    pub last: Option<String>,
    /// Whether it was within.
    pub is_good: Option<bool>,
    /// What the last nights say.
    pub drift: Option<String>,
    /// The last nights, SVG of our own making.
    pub trend: Option<String>,
}

/// The checks of one machine.
#[derive(Debug, Clone, PartialEq)]
pub struct ProductView {
    /// The machine, by its name.
    pub machine: String,
    /// What it is called.
    pub label: String,
    /// Its checks.
    pub lines: Vec<ProductLine>,
}

pub(crate) fn section(language: Language, machines: &[ProductView]) -> Markup {
    let say = |key: &str| text(language, key);
    html! {
        @if !machines.is_empty() {
            section #product {
                h2 { (say("product.title")) }
                p .caution { (say("product.caution")) }
                @for view in machines {
                    h3 { (view.label) }
                    ul .probes .product data-machine=(view.machine) {
                        @for line in &view.lines { (line_of(&say, view, line)) }
                    }
                }
            }
        }
    }
}

fn line_of(say: &dyn Fn(&str) -> &'static str, view: &ProductView, line: &ProductLine) -> Markup {
    html! {
        li .probe data-of=(line.of) {
            h4 { (line.label) }
            @if let Some(within) = &line.within { p .small { (say("readings.limit")) " " (within) } }
            p { (say("product.last")) " " (line.last.as_deref().unwrap_or(say("product.none"))) " "
                @match line.is_good {
                    Some(true) => span .badge .good { "✓ " (say("readings.good")) },
                    Some(false) => span .badge .bad { "✗ " (say("readings.bad")) },
                    None => {},
                }
            }
            @if let Some(drift) = &line.drift { p .alarm { "⚠ " (drift) } }
            @if let Some(trend) = &line.trend { div .trend { (PreEscaped(trend)) } }
            button type="button" .quiet .check data-of=(line.of) data-unit=(line.unit) data-label=(line.label)
                data-machine=(view.machine) data-within=[line.within.as_deref()] data-low=[line.low]
                data-high=[line.high] data-strict[line.is_strict] data-cup[line.is_cup] data-band[line.asks_band] {
                (say("product.check"))
            }
        }
    }
}
