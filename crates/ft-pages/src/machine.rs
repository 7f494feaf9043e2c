//! A machine's state: what has happened to it, what may happen now, and why the rest may not.

use maud::{Markup, html};

use crate::shell::{Shell, document, machine_tabs, path_segment};
use crate::tonight::meter;

/// How it stands with an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EventState {
    /// It has happened: who and when, in words.
    Done(String),
    /// It may happen now.
    May,
    /// It waits for these, a sentence each.
    Waits(Vec<String>),
}

/// An event of the machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EventLine {
    /// What it is called.
    pub title: String,
    /// How it stands.
    pub state: EventState,
}

/// One thing about the machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StateLine {
    /// What.
    pub what: String,
    /// How it is.
    pub is: String,
}

/// Things of one kind: switches, vessels, parts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StateGroup {
    /// The kind.
    pub title: String,
    /// The things.
    pub lines: Vec<StateLine>,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MachineView {
    /// Its name in the kitchen file.
    pub name: String,
    /// What it is called.
    pub label: String,
    /// Events that have happened, and all of them.
    pub done: (usize, usize),
    /// What does not fit together, a sentence each, with the rule that settled it.
    pub conflicts: Vec<String>,
    /// How it is.
    pub groups: Vec<StateGroup>,
    /// Its events in the card's order.
    pub events: Vec<EventLine>,
}

/// The page of a machine's state.
pub fn machine(shell: &Shell, view: &MachineView) -> String {
    let main = html! {
        (machine_tabs(shell))
        h1 { (view.label) }
        div { (meter(shell.say("tonight.steps-done"), view.done)) }
        p { a href={ "/tray/" (path_segment(&view.name)) } { (shell.say("page.tray")) }
            " · " a href={ "/file/" (path_segment(&view.name)) } { (shell.say("page.file")) } }
        @if !view.conflicts.is_empty() {
            section .caution {
                h2 { (shell.say("machine.conflicts")) }
                ul { @for conflict in &view.conflicts { li { (conflict) } } }
            }
        }
        section {
            h2 { (shell.say("machine.events")) }
            ol .events { @for event in &view.events { (line(shell, event)) } }
        }
        section {
            h2 { (shell.say("machine.state")) }
            @for group in &view.groups {
                details open[view.groups.len() < 3] {
                    summary { (group.title) }
                    dl { @for line in &group.lines { div { dt { (line.what) } dd { (line.is) } } } }
                }
            }
        }
    };
    document(shell, &view.label, &main)
}

fn line(shell: &Shell, event: &EventLine) -> Markup {
    html! {
        @match &event.state {
            EventState::Done(who) => li .done { span .done-mark { "✓ " } (event.title) " " span .small { (who) } },
            EventState::May => li .may { strong { (event.title) } " " span .badge { (shell.say("machine.may")) } },
            EventState::Waits(whys) => li {
                details {
                    summary { (event.title) " " span .small { (shell.say("machine.waits")) } }
                    ul { @for why in whys { li { (why) } } }
                }
            },
        }
    }
}
