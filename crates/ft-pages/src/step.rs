//! My step: the one thing to do now.
//!
//! The page goes on through a night without network, so what it shows is made in the browser (`client/step.js`) from
//! the answer of `/api/run`, kept on the device, and the device's own touches. Here is the frame that it fills.

use maud::html;

use crate::shell::{Shell, document};

/// The page of the current step of whoever is signed in.
pub fn step(shell: &Shell) -> String {
    let main = html! {
        p #said .only-read role="status" {}
        div #step .step { p .big { (shell.say("step.loading")) } }
        noscript { p .big { (shell.say("step.needs-script")) } }
    };
    document(shell, shell.say("page.step"), &main)
}
