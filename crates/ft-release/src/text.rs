//! A decision as plain text for a terminal.

use std::fmt::Write as _;

use crate::decision::{Decision, Evidence};
use crate::say::in_language;

/// The decision in a language, `en` or `es`.
pub fn text(decision: &Decision, language: &str) -> String {
    let spanish = language == "es";
    let say = |en: &'static str, es: &'static str| if spanish { es } else { en };
    let mut out = String::new();
    let answer = if decision.may_serve {
        say("may serve", "puede servir")
    } else {
        say("MAY NOT SERVE", "NO PUEDE SERVIR")
    };
    let _ = writeln!(out, "{}: {answer}", decision.machine);
    for reason in &decision.reasons {
        let _ = writeln!(out, "\n  {} [{}]", in_language(&reason.sentence, language, ""), reason.key);
        if let Some(text) = &reason.text {
            let _ = writeln!(out, "    {}: {}", say("says", "lo dice"), text.says);
        }
        for evidence in &reason.evidence {
            let _ = writeln!(out, "    {}", evidence_text(evidence, spanish));
        }
        if let Some(by) = &reason.overridden {
            let _ = writeln!(out, "    {} {}: {}", say("set aside by", "lo aparta"), by.by, by.because);
            continue;
        }
        let yes_when = in_language(&reason.yes_when, language, "");
        let _ = writeln!(out, "    {}: {yes_when}", say("yes when", "sí cuando"));
        if reason.may_be_overridden {
            let may = say(
                "a lead may set it aside, with a reason",
                "un responsable puede apartarlo, con un motivo",
            );
            let _ = writeln!(out, "    {may}");
        }
    }
    let _ = writeln!(out, "\n{}", in_language(&decision.caution, language, ""));
    out
}

fn evidence_text(evidence: &Evidence, spanish: bool) -> String {
    let mut parts = Vec::new();
    let say = |en: &'static str, es: &'static str| if spanish { es } else { en };
    if let Some(event) = &evidence.event {
        parts.push(format!("{} {event}", say("event", "suceso")));
    }
    if let Some(value) = &evidence.value {
        parts.push(format!("{} {value}", say("found", "hallado")));
    }
    if let Some(limit) = &evidence.limit {
        parts.push(format!("{} {limit}", say("limit", "límite")));
    }
    parts.join(", ")
}
