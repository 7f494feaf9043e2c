//! May it serve? One large yes or no for each machine, every reason in a sentence, and what would make it a yes.

use maud::{Markup, html};

use crate::shell::{Shell, document, path_segment};

/// A reason against serving.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReasonLine {
    /// What an override names.
    pub key: String,
    /// One plain sentence.
    pub sentence: String,
    /// What it rests on, a sentence each.
    pub evidence: Vec<String>,
    /// The text behind it: rule set and paragraph, machine file, the kitchen's own setting.
    pub text: Option<String>,
    /// What would turn it into a yes.
    pub yes_when: String,
    /// Whether a lead may set it aside.
    pub may_be_overridden: bool,
    /// Who set it aside and why, in a sentence.
    pub overridden: Option<String>,
}

/// The answer for one machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Its name in the kitchen file.
    pub machine: String,
    /// What it is called.
    pub label: String,
    /// Whether it may serve.
    pub may_serve: bool,
    /// Every reason, those that stand first.
    pub reasons: Vec<ReasonLine>,
    /// How many kinds of reason were looked at.
    pub looked_at: usize,
    /// The nights that were judged: the run and what it is called.
    pub runs: Vec<(String, String)>,
    /// Who released or refused it last, and when, in a sentence.
    pub said: Option<String>,
    /// Whether nothing but this person's signature is lacking.
    pub may_sign: bool,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReleaseView {
    /// The moment of the question, in words.
    pub asked: String,
    /// One answer for each machine.
    pub answers: Vec<Answer>,
    /// Whether this person may set reasons aside.
    pub may_override: bool,
    /// Said with every answer.
    pub caution: String,
}

/// The page of the release.
pub fn release(shell: &Shell, view: &ReleaseView) -> String {
    let main = html! {
        h1 { (shell.say("page.release")) }
        p { (shell.say("release.asked")) " " (view.asked) }
        p .caution { (view.caution) }
        @for answer in &view.answers { (one(shell, view, answer)) }
    };
    document(shell, shell.say("page.release"), &main)
}

fn one(shell: &Shell, view: &ReleaseView, answer: &Answer) -> Markup {
    let standing = answer.reasons.iter().filter(|reason| reason.overridden.is_none()).count();
    let word = if answer.may_serve { "yes" } else { "no" };
    html! {
        section .release data-machine=(answer.machine) data-answer=(word) {
            h2 { (answer.label) }
            p .verdict-large {
                @if answer.may_serve { span aria-hidden="true" { "✓ " } (shell.say("release.yes")) }
                @else { span aria-hidden="true" { "✗ " } (shell.say("release.no")) }
            }
            @if standing > 0 { p { (shell.say("release.standing")) " " strong { (standing) } } }
            @if let Some(said) = &answer.said { p { (said) } }
            @if !answer.reasons.is_empty() {
                ol .reasons { @for reason in &answer.reasons { (line(shell, view, answer, reason)) } }
            }
            p .small {
                (shell.say("release.looked-at")) " " (answer.looked_at)
                @for (run, title) in &answer.runs { " · " a href={ "/record?run=" (path_segment(run)) } { (title) } }
            }
            @if answer.may_sign {
                form .tell method="dialog" data-post="/api/release" data-then="stay" {
                    input type="hidden" name="machine" value=(answer.machine);
                    button .act type="submit" { (shell.say("release.sign")) " · " (answer.label) }
                }
            }
        }
    }
}

fn line(shell: &Shell, view: &ReleaseView, answer: &Answer, reason: &ReasonLine) -> Markup {
    html! {
        li .set-aside[reason.overridden.is_some()] data-reason=(reason.key) {
            p .big { (reason.sentence) }
            @if let Some(overridden) = &reason.overridden {
                p { span .badge { (shell.say("release.set-aside")) } " " (overridden) }
            } @else {
                p { strong { (shell.say("release.yes-when")) } " " (reason.yes_when) }
            }
            details {
                summary { (shell.say("release.evidence")) }
                ul {
                    @for line in &reason.evidence { li { (line) } }
                    @if reason.evidence.is_empty() { li { (shell.say("release.no-evidence")) } }
                    @if let Some(text) = &reason.text { li { (shell.say("release.text")) " " (text) } }
                }
            }
            @if reason.overridden.is_none() {
                @if !reason.may_be_overridden { p .small { (shell.say("release.never")) } }
                @else if !view.may_override { p .small { (shell.say("release.lead-may")) } }
                @else {
                    details {
                        summary { (shell.say("release.override")) }
                        form .tell .form method="dialog" data-what="overridden" data-machine=(answer.machine) {
                            input type="hidden" name="reason" value=(reason.key);
                            label { span { (shell.say("release.because")) }
                                textarea name="because" required minlength="8" maxlength="400" rows="2" {} }
                            button type="submit" { (shell.say("release.override-do")) }
                        }
                    }
                }
            }
        }
    }
}
