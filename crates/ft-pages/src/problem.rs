//! A page that could not be had: what is wrong, and what would be right.

use maud::html;

use crate::shell::{Shell, document};

/// The page of a problem.
pub fn problem(shell: &Shell, code: &str, message: &str, remedy: &str) -> String {
    let main = html! {
        h1 { (shell.say("problem.title")) }
        p .big { (message) }
        p { (remedy) }
        p .small { (code) }
        p { a .act href="/" { (shell.say("page.tonight")) } }
    };
    document(shell, shell.say("problem.title"), &main)
}
