//! The tray of a machine: a picture of its slots, filled by touch; what is missing, and where to look for it.

use maud::{Markup, PreEscaped, html};

use crate::shell::{Shell, document, machine_tabs};
use crate::tonight::meter;

/// How it stands with one slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SlotState {
    /// Nothing lies in it yet.
    Empty,
    /// Its part lies in it.
    Full,
    /// Its part is not to be found.
    Missing,
    /// Its part has been fitted again.
    Fitted,
}

impl SlotState {
    /// Its word for style sheets and scripts.
    pub fn word(self) -> &'static str {
        match self {
            SlotState::Empty => "empty",
            SlotState::Full => "full",
            SlotState::Missing => "missing",
            SlotState::Fitted => "fitted",
        }
    }
}

/// A slot of the tray, with the part that belongs in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slot {
    /// Its name on the tray, such as `C4`.
    pub slot: String,
    /// The part's name in the machine file.
    pub part: String,
    /// Its side there.
    pub side: Option<String>,
    /// Which of several equal ones.
    pub number: Option<u32>,
    /// What the part is called, with its side and number.
    pub label: String,
    /// How it stands.
    pub state: SlotState,
    /// Who last did something with it, and when, in words.
    pub seen: Option<String>,
}

/// A part that is not to be found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MissingLine {
    /// What it is called.
    pub label: String,
    /// The slot that waits for it.
    pub slot: String,
    /// Where to look, most likely first, a sentence each.
    pub look: Vec<String>,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrayView {
    /// What the machine is called.
    pub label: String,
    /// The picture, SVG of our own making. An element with `data-slot` is a slot; it is filled by touch.
    pub picture: Option<String>,
    /// The slots in the tray's order.
    pub slots: Vec<Slot>,
    /// What is missing.
    pub missing: Vec<MissingLine>,
}

/// The page of a machine's tray.
pub fn tray(shell: &Shell, view: &TrayView) -> String {
    let full =
        view.slots.iter().filter(|slot| matches!(slot.state, SlotState::Full | SlotState::Fitted)).count();
    let main = html! {
        (machine_tabs(shell))
        h1 { (shell.say("page.tray")) ": " (view.label) }
        div #tray-count { (meter(shell.say("tray.full"), (full, view.slots.len()))) }
        p { (shell.say("tray.how")) }
        @if let Some(picture) = &view.picture {
            div .tray-picture .wide tabindex="0" role="region" aria-label=(shell.say("tray.picture")) { (PreEscaped(picture)) }
        }
        (slots(shell, view))
        section #missing {
            h2 { (shell.say("tray.search")) }
            @if view.missing.is_empty() { p { (shell.say("tray.nothing-missing")) } }
            @for part in &view.missing {
                h3 { (part.label) " → " (part.slot) }
                ul { @for place in &part.look { li { (place) } } }
            }
        }
        dialog #slot-dialog aria-labelledby="slot-title" {}
    };
    document(shell, shell.say("page.tray"), &main)
}

fn slots(shell: &Shell, view: &TrayView) -> Markup {
    html! {
        section {
            h2 { (shell.say("tray.slots")) }
            ul #slots .slots {
                @for slot in &view.slots {
                    li {
                        button type="button" .slot data-slot=(slot.slot) data-part=(slot.part) data-side=[slot.side.as_deref()]
                            data-number=[slot.number] data-state=(slot.state.word()) {
                            span .slot-name { (slot.slot) }
                            span .slot-part { (slot.label) }
                            span .slot-state { (shell.say(match slot.state {
                                SlotState::Empty => "tray.empty",
                                SlotState::Full => "tray.is-full",
                                SlotState::Missing => "tray.missing",
                                SlotState::Fitted => "tray.fitted",
                            })) }
                            @if let Some(seen) = &slot.seen { span .small { (seen) } }
                        }
                    }
                }
            }
        }
    }
}
