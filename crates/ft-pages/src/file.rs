//! A machine file with live checking: the text on one side; what it means on the other, changing as one types.

use maud::html;

use crate::shell::{Shell, document, machine_tabs};

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileView {
    /// What the machine is called.
    pub label: String,
    /// The file's name.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// The page of a machine file. What is beside the text is filled in by `client/file.js` from `/api/check`.
pub fn file(shell: &Shell, view: &FileView) -> String {
    let main = html! {
        (machine_tabs(shell))
        h1 { (view.label) }
        p .small { (view.name) " · " (shell.say("file.how")) }
        div .both {
            section .text {
                label for="text" { (shell.say("file.text")) }
                textarea #text spellcheck="false" autocapitalize="off" autocomplete="off" wrap="off" dir="ltr"
                    data-name=(view.name) aria-describedby="verdict" { "\n" (view.text) }
                p #caret .small { }
            }
            section .answer aria-label=(shell.say("file.answer")) {
                p #verdict .verdict role="status" { (shell.say("file.checking")) }
                ol #problems .problems {}
                div #stories {}
                div #order-picture .wide tabindex="0" role="region" aria-label=(shell.say("file.order")) {}
                div #plan-change {}
            }
        }
    };
    document(shell, &view.label, &main)
}
