//! People: what they may do, what they may do alone and why, and what is kept of how long their steps take.

use maud::{Markup, html};

use crate::shell::{Shell, document, path_segment};
use crate::words::Language;

/// A skill of somebody.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SkillLine {
    /// Its name in the kitchen file.
    pub skill: String,
    /// What it is called.
    pub label: String,
    /// Whether they may do it alone.
    pub is_alone: bool,
    /// Why, in a sentence.
    pub why: String,
}

/// Somebody.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PersonLine {
    /// Their name.
    pub name: String,
    /// Their roles, as the record writes them.
    pub roles: Vec<String>,
    /// The language that they read.
    pub language: String,
    /// Their skills.
    pub skills: Vec<SkillLine>,
    /// How practice went, in a sentence.
    pub practice: String,
    /// How long their steps take against the card, in words; `None`: nothing is used or known.
    pub lengths: Option<String>,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PeopleView {
    /// Everybody whom this person may see, by name.
    pub people: Vec<PersonLine>,
    /// Whether this person may add people, change roles and reset PINs.
    pub may_lead: bool,
    /// Whether this person may confirm and withdraw skills.
    pub may_train: bool,
    /// Whether lengths of steps are used for planning.
    pub lengths_used: bool,
    /// What has to come together before something is done alone, a sentence each.
    pub rules: Vec<String>,
    /// Links for inspectors that are open: until when, and the path's token to close it by.
    pub links: Vec<(String, String)>,
}

/// Every role, as the record writes it, with its word.
const ROLES: [(&str, &str); 5] = [
    ("closer", "people.closer"),
    ("opener", "people.opener"),
    ("lead", "people.lead"),
    ("trainer", "people.trainer"),
    ("inspector", "people.inspector"),
];

/// The page of people.
pub fn people(shell: &Shell, view: &PeopleView) -> String {
    let main = html! {
        h1 { (shell.say("page.people")) }
        ul .sentences { @for rule in &view.rules { li { (rule) } } }
        @for person in &view.people { (one(shell, view, person)) }
        @if view.may_lead { (add(shell)) }
        (lengths(shell, view))
        @if view.may_lead { (inspector(shell, view)) }
    };
    document(shell, shell.say("page.people"), &main)
}

fn one(shell: &Shell, view: &PeopleView, person: &PersonLine) -> Markup {
    let is_me = shell.person.as_ref().is_some_and(|me| me.name == person.name);
    let language = match Language::of(&person.language) {
        Some(language) => language.own_name(),
        None => person.language.as_str(),
    };
    html! {
        section .person data-name=(person.name) {
            h2 { (person.name) }
            p {
                @for (role, word) in ROLES {
                    @if person.roles.iter().any(|of| of == role) { span .badge { (shell.say(word)) } " " }
                }
                span .small { (language) }
            }
            ul .skills {
                @for skill in &person.skills {
                    li data-skill=(skill.skill) data-alone=(if skill.is_alone { "yes" } else { "no" }) {
                        @if skill.is_alone { span .badge .good { "✓ " (shell.say("people.alone")) } }
                        @else { span .badge .bad { "✗ " (shell.say("people.not-alone")) } }
                        " " strong { (skill.label) } " " span { (skill.why) }
                        @if !is_me { (training(shell, view, person, skill)) }
                    }
                }
            }
            p { (person.practice) }
            @if let Some(lengths) = &person.lengths { p { (lengths) } }
            @if is_me || view.may_lead {
                p .links {
                    a href={ "/api/people/" (path_segment(&person.name)) "/lengths.csv" } download { (shell.say("people.export")) }
                }
                form .tell method="dialog" data-post={ "/api/people/" (path_segment(&person.name)) "/lengths/erase" }
                    data-confirm=(shell.say("people.erase-sure")) {
                    button type="submit" { (shell.say("people.erase")) }
                }
            }
            @if view.may_lead { (lead(shell, person)) }
        }
    }
}

fn training(shell: &Shell, view: &PeopleView, person: &PersonLine, skill: &SkillLine) -> Markup {
    let button = |how: &str, word: &str| {
        html! {
            form .tell .inline method="dialog" data-what="trained" {
                input type="hidden" name="who" value=(person.name);
                input type="hidden" name="skill" value=(skill.skill);
                input type="hidden" name="how" value=(how);
                button type="submit" { (shell.say(word)) }
            }
        }
    };
    html! {
        details .acts {
            summary { (shell.say("people.sign-off")) }
            p .small { (shell.say("people.watch-how")) }
            (button("under-watch", "people.watched"))
            @if view.may_train {
                (button("confirmed", "people.confirm"))
                (button("withdrawn", "people.withdraw"))
            }
        }
    }
}

fn lead(shell: &Shell, person: &PersonLine) -> Markup {
    html! {
        details .acts {
            summary { (shell.say("people.change")) }
            form .tell .form method="dialog" data-post={ "/api/people/" (path_segment(&person.name)) "/roles" } {
                (roles(shell, &person.roles))
                button type="submit" { (shell.say("people.save-roles")) }
            }
            form .tell .form method="dialog" data-post={ "/api/people/" (path_segment(&person.name)) "/pin" } {
                (pin(shell))
                button type="submit" { (shell.say("people.reset-pin")) }
            }
        }
    }
}

fn add(shell: &Shell) -> Markup {
    html! {
        section {
            details {
                summary { (shell.say("people.add")) }
                form #add-person .tell .form method="dialog" data-post="/api/people" {
                    label { span { (shell.say("set-up.name")) } input name="name" required maxlength="60" autocomplete="off"; }
                    label { span { (shell.say("set-up.language")) }
                        select name="language" {
                            @for language in Language::ALL { option value=(language.code()) { (language.own_name()) } }
                        } }
                    (roles(shell, &["closer".to_owned()]))
                    (pin(shell))
                    button .act type="submit" { (shell.say("people.add")) }
                }
            }
        }
    }
}

fn roles(shell: &Shell, has: &[String]) -> Markup {
    html! {
        fieldset .people {
            legend { (shell.say("people.roles")) }
            @for (role, word) in ROLES {
                label .choice {
                    input type="checkbox" name="roles" value=(role) data-many="yes" checked[has.iter().any(|of| of == role)];
                    span { (shell.say(word)) }
                }
            }
        }
    }
}

fn pin(shell: &Shell) -> Markup {
    html! {
        label .pin { span { (shell.say("people.new-pin")) }
            input name="pin" type="password" inputmode="numeric" pattern="[0-9]{4,12}" minlength="4" maxlength="12"
                autocomplete="new-password" required; }
    }
}

/// What is kept of how long steps take, for what, and how to stop it.
fn lengths(shell: &Shell, view: &PeopleView) -> Markup {
    html! {
        section #lengths {
            h2 { (shell.say("people.lengths")) }
            p .big { (shell.say("people.lengths-notice")) }
            p { @if view.lengths_used { "✓ " (shell.say("people.lengths-on")) } @else { "✗ " (shell.say("people.lengths-off")) } }
            @if view.may_lead {
                form .tell method="dialog" data-post="/api/settings/lengths" {
                    input type="hidden" name="used" value=(if view.lengths_used { "no" } else { "yes" });
                    button type="submit" {
                        @if view.lengths_used { (shell.say("people.lengths-stop")) } @else { (shell.say("people.lengths-use")) }
                    }
                }
            }
        }
    }
}

/// Links that let an inspector read.
fn inspector(shell: &Shell, view: &PeopleView) -> Markup {
    html! {
        section #inspector {
            h2 { (shell.say("people.inspector-link")) }
            p { (shell.say("people.link-how")) }
            form .tell method="dialog" data-post="/api/inspect" data-then="show" {
                label { span { (shell.say("people.link-days")) }
                    select name="days" data-number="yes" { @for days in ["1", "7", "30"] { option value=(days) { (days) } } } }
                button type="submit" { (shell.say("people.link-make")) }
                p .big .answer role="status" {}
            }
            ul {
                @for (until, token) in &view.links {
                    li {
                        form .tell .inline method="dialog" data-post="/api/inspect/close" {
                            input type="hidden" name="token" value=(token);
                            (shell.say("people.link-until")) " " (until) " "
                            button type="submit" { (shell.say("people.link-close")) }
                        }
                    }
                }
            }
        }
    }
}
