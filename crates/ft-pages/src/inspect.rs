//! What an inspector reads: a link that ends, the nights, the packet to take along, and how to check it.

use maud::html;

use crate::leaf::{Leaves, days, turn};
use crate::shell::{Shell, document};

/// A night of the record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NightLine {
    /// What it is called.
    pub title: String,
    /// Who signed, in a sentence; `None`: nobody.
    pub signed: Option<String>,
    /// The answer of the release, in a sentence, if one was asked.
    pub release: Option<String>,
    /// Where its packet is had (PDF); with `?days=7`, that of the week that ends with it.
    pub packet: String,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InspectView {
    /// Until when the link is open, in words.
    pub until: String,
    /// The nights of this leaf, last first.
    pub nights: Vec<NightLine>,
    /// The leaves beside it.
    pub leaves: Leaves,
    /// Some lots that the record knows, and where the packet of one is had: its name is put behind.
    pub lots: (Vec<String>, String),
    /// Where the whole record is had.
    pub record: String,
    /// The site's public key, hex.
    pub key: Option<String>,
    /// Whether the chain is whole, in a sentence.
    pub chain: String,
}

/// The page of an inspector.
pub fn inspect(shell: &Shell, view: &InspectView) -> String {
    let main = html! {
        h1 { (shell.say("page.inspect")) }
        p .big { (shell.kitchen) }
        p { (shell.say("inspect.read-only")) " " strong { (view.until) } }
        section {
            h2 { (shell.say("inspect.nights")) }
            (days(shell, &view.leaves))
            (turn(shell, &view.leaves))
            @if view.nights.is_empty() { p { (shell.say("record.empty")) } }
            ul .nights {
                @for night in &view.nights {
                    li {
                        strong { (night.title) }
                        @if let Some(signed) = &night.signed { p .good { "✓ " (signed) } } @else { p { (shell.say("inspect.unsigned")) } }
                        @if let Some(release) = &night.release { p { (release) } }
                        p .links {
                            a href=(night.packet) target="_blank" { (shell.say("record.packet")) } " · "
                            a href={ (night.packet) "?days=7" } target="_blank" { (shell.say("record.week")) }
                        }
                    }
                }
            }
        }
        @if !view.lots.0.is_empty() {
            section {
                h2 { (shell.say("inspect.lots")) }
                form .form action=(view.lots.1) method="get" target="_blank" {
                    datalist #lots { @for lot in &view.lots.0 { option value=(lot) {} } }
                    label { span { (shell.say("lots.lot")) } input name="lot" list="lots" required autocapitalize="off"; }
                    button type="submit" { (shell.say("trace.packet")) }
                }
            }
        }
        section {
            h2 { (shell.say("inspect.verify")) }
            p { (view.chain) }
            ol .sentences {
                li { a .act href=(view.record) download="record.jsonl" { (shell.say("inspect.record")) } }
                @if let Some(key) = &view.key { li { (shell.say("inspect.key")) " " code .hash { (key) } } }
                li { (shell.say("inspect.command")) " " code #command { "fulltray record verify record.jsonl" @if let Some(key) = &view.key { " --key " (key) } } }
                li { (shell.say("inspect.broken")) }
            }
        }
    };
    document(shell, shell.say("page.inspect"), &main)
}
