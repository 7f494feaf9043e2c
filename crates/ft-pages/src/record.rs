//! The record: its events, the newest first, what was corrected, who signed, and whether the chain is whole; all of it,
//! of a day, or of a night.

use maud::html;

use crate::leaf::{Leaves, days, turn};
use crate::shell::{Shell, document, path_segment};

/// A night that can be looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RunLine {
    /// The run's name.
    pub run: String,
    /// Its date and procedure, in words.
    pub title: String,
    /// Whether it is signed.
    pub is_signed: bool,
    /// Whether it is the one that is shown.
    pub is_shown: bool,
}

/// An event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordLine {
    /// Its number in the record.
    pub seq: u64,
    /// Its id, which a correction names.
    pub id: String,
    /// When, as the device's clock said, in words.
    pub at: String,
    /// Who.
    pub who: Option<String>,
    /// The machine's label.
    pub machine: Option<String>,
    /// What, in a sentence.
    pub what: String,
    /// Whether a later event takes it back.
    pub is_corrected: bool,
    /// Whether it is set aside, and why.
    pub conflict: Option<String>,
}

/// Somebody stands for the night.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignatureLine {
    /// Who, as what, and when, in a sentence.
    pub text: String,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordView {
    /// The last nights, or those of the day that is shown, last first.
    pub runs: Vec<RunLine>,
    /// The run that is shown; `None`: the record is.
    pub run: Option<String>,
    /// What the shown night is called; empty where none is chosen.
    pub title: String,
    /// The events of this leaf, the newest first.
    pub lines: Vec<RecordLine>,
    /// The leaves beside it.
    pub leaves: Leaves,
    /// Who signed, of the night or of this leaf.
    pub signatures: Vec<SignatureLine>,
    /// Whether the chain is whole, in a sentence.
    pub chain: String,
    /// The hash of its last event, hex.
    pub head: String,
}

/// The page of the record.
pub fn record(shell: &Shell, view: &RecordView) -> String {
    let main = html! {
        h1 { (shell.say("page.record")) }
        @if view.lines.is_empty() { p .big { (shell.say("record.empty")) } }
        (days(shell, &view.leaves))
        nav .tabs aria-label=(shell.say("record.nights")) {
            ul {
                @for run in &view.runs {
                    @let current = run.is_shown.then_some("page");
                    li {
                        a href={ "/record?run=" (path_segment(&run.run)) } aria-current=[current] {
                            (run.title) @if run.is_signed { " ✓" span .only-read { (shell.say("record.signed")) } }
                        }
                    }
                }
            }
        }
        @if !view.lines.is_empty() {
            h2 { @if view.title.is_empty() { (shell.say("record.events")) } @else { (view.title) } @if !view.leaves.day.is_empty() { " · " (view.leaves.day) } }
            p { (view.chain) }
            p .small .hash { (view.head) }
            @if let Some(run) = &view.run {
                @let packet = format!("/record/packet/{}", path_segment(run));
                p .links {
                    a href=(packet) target="_blank" { (shell.say("record.packet")) } " · "
                    a href={ (packet) "?days=7" } target="_blank" { (shell.say("record.week")) }
                }
            }
            ul .signatures { @for signature in &view.signatures { li .good { (signature.text) } } }
            (turn(shell, &view.leaves))
            div .wide tabindex="0" role="region" aria-label=(shell.say("record.events")) {
                table .record {
                    thead { tr {
                        th scope="col" { (shell.say("record.number")) }
                        th scope="col" { (shell.say("tonight.when")) }
                        th scope="col" { (shell.say("tonight.who")) }
                        th scope="col" { (shell.say("tonight.what")) }
                    } }
                    tbody {
                        @for line in &view.lines {
                            tr .corrected[line.is_corrected] {
                                td { (line.seq) }
                                td { (line.at) }
                                td { (line.who.as_deref().unwrap_or("–")) }
                                td {
                                    @if let Some(machine) = &line.machine { span .small { (machine) ": " } }
                                    @if line.is_corrected { s { (line.what) } " (" (shell.say("record.corrected")) ")" }
                                    @else { (line.what) }
                                    @if let Some(conflict) = &line.conflict { p .caution { (conflict) } }
                                }
                            }
                        }
                    }
                }
            }
            (turn(shell, &view.leaves))
        }
    };
    document(shell, shell.say("page.record"), &main)
}
