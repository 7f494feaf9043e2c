//! `check`: proved, a flaw with its shortest story, or too large to say.

use ft_form::Form;
use ft_form::certificate::Certificate;
use ft_prove::{Limits, Verdict, tell};
use serde::Serialize;

use crate::source::Prepared;

/// The answer for one form.
#[derive(Debug, Clone, Serialize)]
pub struct CheckView {
    /// Which procedure and variant it is; empty for a core form file.
    #[serde(rename = "x-title")]
    pub title: String,
    /// `proved`, `flaw` or `too-large`.
    pub verdict: &'static str,
    /// One for each kind of flaw that can be reached.
    pub flaws: Vec<FlawView>,
    /// How many states were looked at one by one; what was excluded by reasoning is not among them.
    #[serde(rename = "x-states")]
    pub states: u64,
    /// How many events and variables the form has.
    #[serde(rename = "x-size")]
    pub size: (usize, usize),
    /// What could not be decided within the limits.
    #[serde(rename = "x-undecided", skip_serializing_if = "Vec::is_empty")]
    pub undecided: Vec<String>,
    /// The certificate of a proof.
    #[serde(skip)]
    pub certificate: Option<Certificate>,
}

/// One flaw.
#[derive(Debug, Clone, Serialize)]
pub struct FlawView {
    /// `hazard:ID`, `deadlock` or `goal`.
    pub kind: String,
    /// A shortest story, by event names.
    pub story: Vec<String>,
    /// The story in sentences, ending in what is wrong.
    #[serde(rename = "x-told")]
    pub told: Vec<String>,
}

/// Proves a form, or tells how it goes wrong.
pub fn check(prepared: &Prepared, limits: &Limits, language: &str) -> CheckView {
    let form = &prepared.form;
    let verdict = ft_prove::check(form, limits);
    let (states, undecided, certificate) = match &verdict {
        Verdict::Proved(proof) => (proof.states, Vec::new(), Some(proof.certificate.clone())),
        Verdict::Flaw(_) => (0, Vec::new(), None),
        Verdict::TooLarge(large) => {
            (large.states, large.undecided.iter().map(|kind| kind.text(form)).collect(), None)
        }
    };
    CheckView {
        title: prepared.title.clone(),
        verdict: verdict.text(),
        flaws: verdict.flaws().iter().map(|flaw| flaw_view(form, flaw, language)).collect(),
        states,
        size: (form.events.len(), form.vars.len()),
        undecided,
        certificate,
    }
}

/// A flaw as it is shown.
pub fn flaw_view(form: &Form, flaw: &ft_prove::Flaw, language: &str) -> FlawView {
    FlawView {
        kind: flaw.kind.text(form),
        story: names(form, &flaw.story),
        told: tell::flaw(form, flaw, tell::Language::of(language)),
    }
}

/// Events by name.
pub fn names(form: &Form, events: &[usize]) -> Vec<String> {
    events.iter().map(|event| form.events[*event].name.clone()).collect()
}
