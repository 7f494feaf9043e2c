//! Practice: the machine as the proof knows it, to be closed wrongly without hurting anybody.
//!
//! The page goes on without network, so the session is run in the browser (`client/practice.js`) on the same core form
//! as the real night. Here is what can be practised, and the frame that the session fills.

use maud::html;

use crate::shell::{Shell, document};

/// Something that can be practised.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Course {
    /// The machine's name in the kitchen file.
    pub machine: String,
    /// The procedure's name in the machine file.
    pub procedure: String,
    /// What both are called.
    pub label: String,
    /// How it went and when it should be done again, in words.
    pub told: Option<String>,
    /// Steps to repeat, in words.
    pub repeat: Vec<String>,
    /// Whether it is due today.
    pub is_due: bool,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PracticeView {
    /// What can be practised, what is due first.
    pub courses: Vec<Course>,
}

/// The page of practice.
pub fn practice(shell: &Shell, view: &PracticeView) -> String {
    let main = html! {
        h1 { (shell.say("page.practice")) }
        section #courses {
            p .big { (shell.say("practice.how")) }
            p { (shell.say("practice.rule")) }
            h2 { (shell.say("practice.courses")) }
            ul .courses {
                @for course in &view.courses {
                    li {
                        h3 { (course.label) @if course.is_due { " " span .badge { (shell.say("practice.due")) } } }
                        p { (course.told.as_deref().unwrap_or(shell.say("practice.never"))) }
                        @if !course.repeat.is_empty() { p { (shell.say("practice.repeat")) " " (course.repeat.join(", ")) } }
                        button .act type="button" data-machine=(course.machine) data-procedure=(course.procedure) {
                            (shell.say("practice.begin"))
                        }
                    }
                }
            }
        }
        div #practice aria-live="polite" {}
        noscript { p .big { (shell.say("step.needs-script")) } }
    };
    document(shell, shell.say("page.practice"), &main)
}
