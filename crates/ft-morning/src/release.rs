//! May it serve: decisions as they are shown.

use ft_pages::{Answer, ReasonLine, ReleaseView};
use ft_release::{Code, Decision, Evidence, Reason};

use crate::site::Site;

/// The page. `said`: who released or refused each machine last, by decision; `may_sign`: whether this person may sign
/// an opening.
pub fn release(
    site: &Site<'_>,
    decisions: &[(Decision, Option<String>)],
    (may_override, may_sign): (bool, bool),
) -> ReleaseView {
    let at_ms = decisions.first().map_or(0, |(decision, _)| decision.at_ms);
    ReleaseView {
        asked: site.clock(at_ms),
        answers: decisions.iter().map(|(one, said)| answer(site, one, said.clone(), may_sign)).collect(),
        may_override,
        caution: site.say(ft_release::CAUTION, ft_release::CAUTION_ES).to_owned(),
    }
}

/// One machine's answer.
pub fn answer(site: &Site<'_>, decision: &Decision, said: Option<String>, may_sign: bool) -> Answer {
    let lacks_signature = |reason: &Reason| reason.code == Code::NotSigned && reason.subject == "opening";
    let word = |english: &str, spanish: &str, run: &Option<String>| {
        run.as_ref().map(|run| (run.clone(), site.say(english, spanish).to_owned()))
    };
    let closing = word("the closing", "el cierre", &decision.closing);
    let opening = word("the opening", "la apertura", &decision.opening);
    Answer {
        machine: decision.machine.clone(),
        label: site.label(&decision.machine),
        may_serve: decision.may_serve,
        reasons: decision.reasons.iter().map(|reason| line(site, reason)).collect(),
        looked_at: decision.looked_at.len(),
        runs: closing.into_iter().chain(opening).collect(),
        said,
        may_sign: may_sign && !decision.may_serve && decision.standing().all(lacks_signature),
    }
}

fn line(site: &Site<'_>, reason: &Reason) -> ReasonLine {
    let overridden = reason.overridden.as_ref();
    ReasonLine {
        key: reason.key.clone(),
        sentence: site.pick(&reason.sentence, &reason.key).to_owned(),
        evidence: reason.evidence.iter().filter_map(|one| evidence(site, one)).collect(),
        text: reason.text.as_ref().map(|text| text.says.clone()),
        yes_when: site.pick(&reason.yes_when, "").to_owned(),
        may_be_overridden: reason.may_be_overridden,
        overridden: overridden.map(|one| format!("{}: {}", one.by, one.because)),
    }
}

/// What a reason rests on, in words; `None` where that nothing was told is the evidence.
pub(crate) fn evidence(site: &Site<'_>, of: &Evidence) -> Option<String> {
    let value = of.value.as_ref().map(|value| format!("{} {value}", site.say("found:", "se halló:")));
    let limit = of.limit.as_ref().map(|limit| format!("{} {limit}", site.say("limit:", "límite:")));
    let event = of.event.as_ref().map(|event| format!("{} {event}", site.say("event", "suceso")));
    let parts: Vec<String> =
        of.at_ms.map(|at_ms| site.clock(at_ms)).into_iter().chain(value).chain(limit).chain(event).collect();
    (!parts.is_empty()).then(|| parts.join(" · "))
}
