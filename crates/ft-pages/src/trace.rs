//! Where a lot went, and what was in a glass.

use maud::{Markup, html};

use crate::lots::{ShareLine, because, percent, shares};
use crate::shell::{Shell, document, path_segment};

/// What was served with some of a lot in it.
#[derive(Debug, Clone, PartialEq)]
pub struct ServedLine {
    /// The night, as a day.
    pub night: String,
    /// The machine or vessel.
    pub place: String,
    /// From when to when, in words.
    pub hours: String,
    /// How much was served, in words.
    pub of: String,
    /// How much of it was the lot's, in words.
    pub litres: String,
    /// The lot's share of it.
    pub share: f64,
}

/// What the page of a lot shows.
#[derive(Debug, Clone, PartialEq)]
pub struct TraceView {
    /// The lot.
    pub lot: String,
    /// What it is.
    pub product: Option<String>,
    /// Why it was called back, if it was.
    pub recalled: Option<String>,
    /// What came in, was served, thrown away, is there: names and amounts in words.
    pub sums: Vec<(String, String)>,
    /// Where it is now, with amounts in words.
    pub hold_now: Vec<(String, String)>,
    /// Places that ever held some of it, and when, in words.
    pub places: Vec<(String, String)>,
    /// Servings with some of it, in order of time.
    pub served: Vec<ServedLine>,
    /// Lots that went into it, for a can of kept product.
    pub made_of: Vec<ShareLine>,
    /// Whether this person may call it back from here: also when nothing of it is left.
    pub may_recall: bool,
    /// Said with every trace.
    pub caution: String,
}

/// What the page of a glass shows.
#[derive(Debug, Clone, PartialEq)]
pub struct GlassView {
    /// What it was drawn from.
    pub label: String,
    /// When, in words.
    pub at: String,
    /// What was in it.
    pub shares: Vec<ShareLine>,
    /// Said with every trace.
    pub caution: String,
}

/// The page of a lot: where it went.
pub fn trace(shell: &Shell, view: &TraceView) -> String {
    let main = html! {
        p { a href="/lots" { (shell.say("page.lots")) } }
        h1 { (view.lot) @if let Some(product) = &view.product { " " span .small { (product) } } }
        @if let Some(because) = &view.recalled {
            section .caution #recall {
                h2 { "✗ " (shell.say("lots.recalled")) ": " (because) }
                p .big { (shell.say("trace.recall-do")) }
                @if view.hold_now.is_empty() { p { (shell.say("trace.nothing-held")) } }
                ul { @for (place, litres) in &view.hold_now { li { strong { (place) } " " (litres) } } }
            }
        }
        p .links {
            a href={ "/lots/packet/" (path_segment(&view.lot)) } target="_blank" { (shell.say("trace.packet")) }
        }
        dl .sums { @for (name, value) in &view.sums { div { dt { (name) } dd { (value) } } } }
        @if view.recalled.is_none() && !view.hold_now.is_empty() {
            section { h2 { (shell.say("trace.is-in")) } ul { @for (place, litres) in &view.hold_now { li { strong { (place) } " " (litres) } } } }
        }
        @if !view.made_of.is_empty() {
            section { h2 { (shell.say("trace.made-of")) } (shares(shell, &view.lot, &view.made_of)) }
        }
        (servings(shell, view))
        section {
            h2 { (shell.say("trace.places")) }
            dl { @for (place, when) in &view.places { div { dt { (place) } dd { (when) } } } }
        }
        @if view.may_recall && view.recalled.is_none() {
            section {
                details .acts {
                    summary { (shell.say("lots.recall")) }
                    form .tell .form method="dialog" data-what="recalled" {
                        input type="hidden" name="lot" value=(view.lot);
                        (because(shell, "because"))
                        button .danger type="submit" { (shell.say("lots.recall")) }
                    }
                }
            }
        }
        p .caution { (view.caution) }
    };
    document(shell, &view.lot, &main)
}

fn servings(shell: &Shell, view: &TraceView) -> Markup {
    html! {
        section {
            h2 { (shell.say("trace.served")) }
            @if view.served.is_empty() { p { (shell.say("trace.none-served")) } }
            @else {
                div .wide tabindex="0" role="region" aria-label=(shell.say("trace.served")) {
                    table #servings {
                        thead { tr {
                            th scope="col" { (shell.say("trace.night")) }
                            th scope="col" { (shell.say("tonight.where")) }
                            th scope="col" { (shell.say("tonight.when")) }
                            th scope="col" { (shell.say("trace.of")) }
                            th scope="col" { (shell.say("trace.litres")) }
                            th scope="col" { (shell.say("trace.share")) }
                        } }
                        tbody {
                            @for line in &view.served {
                                tr {
                                    td { (line.night) } td { (line.place) } td { (line.hours) }
                                    td .number { (line.of) } td .number { (line.litres) }
                                    td .number { (percent(line.share)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The page of a glass: what was in it.
pub fn glass(shell: &Shell, view: &GlassView) -> String {
    let main = html! {
        p { a href="/lots" { (shell.say("page.lots")) } }
        h1 { (shell.say("trace.glass")) " " (view.label) }
        p .big { (view.at) }
        @if view.shares.is_empty() { p { (shell.say("trace.empty")) } }
        (shares(shell, &view.label, &view.shares))
        p .caution { (view.caution) }
    };
    document(shell, shell.say("trace.glass"), &main)
}
