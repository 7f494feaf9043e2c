//! Sign-in by name and PIN, and the first start, at which the lead is made with the one-time code.

use maud::{Markup, html};

use crate::shell::{Shell, document};
use crate::words::Language;

/// What the sign-in page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignInView {
    /// The people who may sign in.
    pub people: Vec<String>,
    /// Where to go afterwards: a path of this site.
    pub next: String,
}

/// What the page of the first start shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetUpView {
    /// A name to offer, such as the kitchen file's first person.
    pub people: Vec<String>,
}

/// The page of sign-in.
pub fn sign_in(shell: &Shell, view: &SignInView) -> String {
    let main = html! {
        h1 { (shell.say("sign-in.title")) }
        form #sign-in .form data-next=(view.next) {
            fieldset .people {
                legend { (shell.say("sign-in.who")) }
                @for (number, name) in view.people.iter().enumerate() {
                    label .choice {
                        input type="radio" name="name" value=(name) required checked[view.people.len() == 1 && number == 0];
                        span { (name) }
                    }
                }
            }
            (pin(shell, "current-password"))
            p #problem .problem role="alert" {}
            button .act type="submit" { (shell.say("sign-in.go")) }
        }
        noscript { p .big { (shell.say("step.needs-script")) } }
    };
    document(shell, shell.say("sign-in.title"), &main)
}

/// The page of the first start.
pub fn set_up(shell: &Shell, view: &SetUpView) -> String {
    let main = html! {
        h1 { (shell.say("set-up.title")) }
        p .big { (shell.say("set-up.why")) }
        form #set-up .form {
            label { span { (shell.say("set-up.code")) }
                input name="code" autocomplete="one-time-code" autocapitalize="off" spellcheck="false" required; }
            label { span { (shell.say("set-up.name")) }
                input name="name" list="people" autocomplete="name" required maxlength="60"; }
            datalist #people { @for name in &view.people { option value=(name) {} } }
            label { span { (shell.say("set-up.language")) }
                select name="language" {
                    @for language in Language::ALL {
                        option value=(language.code()) lang=(language.code()) selected[language == shell.language] { (language.own_name()) }
                    }
                }
            }
            (pin(shell, "new-password"))
            p #problem .problem role="alert" {}
            button .act type="submit" { (shell.say("set-up.go")) }
        }
        noscript { p .big { (shell.say("step.needs-script")) } }
    };
    document(shell, shell.say("set-up.title"), &main)
}

fn pin(shell: &Shell, autocomplete: &str) -> Markup {
    html! {
        label .pin { span { (shell.say("sign-in.pin")) }
            input name="pin" type="password" inputmode="numeric" pattern="[0-9]{4,12}" minlength="4" maxlength="12"
                autocomplete=(autocomplete) required; }
    }
}
