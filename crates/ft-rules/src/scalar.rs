//! Questions with one figure, and questions of what is done or not.

use std::cmp::Ordering;

use ft_units::{Temperature, Time};

use crate::amount::Amount;
use crate::answer::{Answer, Finding, Verdict};
use crate::model::{Body, Bound, Hold, RuleSet, Window};
use crate::stack::{Circumstances, Stack};
use crate::subject::{PRACTICES, Subject};

impl<'s> Stack<'s> {
    /// Holds a figure against every limit of `subject` that may apply; `found` may be missing, then the answer
    /// only tells the limits. The strictest limit stands first; between limits that are equal, the one of the
    /// set that was stacked first.
    pub fn ask(
        &self,
        subject: &'static Subject,
        found: Option<Amount>,
        circumstances: &Circumstances,
    ) -> Answer<'s> {
        let mut limits: Vec<(Amount, Finding<'s>)> = Vec::new();
        for (set, rule, overridden) in self.rules(circumstances) {
            let Body::Limit { subject: limited, amount } = &rule.body else { continue };
            if limited.name != subject.name {
                continue;
            }
            let limit = overridden.map_or(*amount, |over| over.amount);
            let (verdict, because) = judge(subject, found, limit);
            let needs = format!("{} {limit}", subject.bound.says());
            limits.push((limit, Finding { set, rule, verdict, needs, because, overridden }));
        }
        limits.sort_by(|(a, _), (b, _)| {
            let order = a.cmp_limit(*b).unwrap_or(Ordering::Equal);
            match subject.bound {
                Bound::AtLeast => order.reverse(),
                Bound::AtMost => order,
            }
        });
        let question = match found {
            Some(found) => format!("{}: {found}", subject.says),
            None => subject.says.to_owned(),
        };
        let findings = limits.into_iter().map(|(_, finding)| finding).collect();
        self.answer(question, circumstances, findings)
    }

    /// Whether every set that limits `subject` also permits `practice`; not where no set limits it. A set that is
    /// silent on the practice does not permit it, so adding a set never loosens.
    pub fn all_permit(
        &self,
        practice: &str,
        subject: &'static Subject,
        circumstances: &Circumstances,
    ) -> bool {
        let limits: Vec<_> = self.ask(subject, None, circumstances).findings;
        let permits = |set: &RuleSet| {
            set.rules.iter().any(|rule| matches!(rule.body, Body::Permit(permitted) if permitted == practice))
        };
        !limits.is_empty() && limits.iter().all(|finding| permits(finding.set))
    }

    /// Every cooling window that may apply, in the order of the stack; food has to go through all of them.
    pub fn cooling_windows(&self, circumstances: &Circumstances) -> Vec<Window> {
        let windows = self.rules(circumstances).filter_map(|(_, rule, _)| match &rule.body {
            Body::Cooling(windows) => Some(windows.clone()),
            _ => None,
        });
        windows.flatten().collect()
    }

    /// Holds a heat-treatment of mix against every set that lists some: one of a set's holds has to be met, hot enough
    /// and long enough.
    pub fn ask_heat_treatment(
        &self,
        at: Temperature,
        time: Time,
        circumstances: &Circumstances,
    ) -> Answer<'s> {
        let mut findings = Vec::new();
        for (set, rule, overridden) in self.rules(circumstances) {
            let Body::HeatTreat(holds) = &rule.body else { continue };
            let met = |hold: &&Hold| at.cmp_limit(hold.at).is_ge() && time.cmp_limit(hold.time).is_ge();
            let says = |hold: &Hold| format!("{} for {}", hold.at, hold.time);
            let (verdict, needs, because) = if let Some(hold) = holds.iter().find(met) {
                (Verdict::Pass, says(hold), String::new())
            } else {
                let all: Vec<String> = holds.iter().map(says).collect();
                (
                    Verdict::Fail,
                    format!("one of {}", all.join("; ")),
                    format!("{at} for {time} meets none of them"),
                )
            };
            findings.push(Finding { set, rule, verdict, needs, because, overridden });
        }
        findings.sort_by_key(|finding| finding.verdict);
        self.answer(format!("heat-treatment of mix: {at} for {time}"), circumstances, findings)
    }

    /// Holds what is done (or not done) against every duty and prohibition of that practice.
    ///
    /// `practice` is a name of [`PRACTICES`]; a name that is not there gets a silent answer.
    pub fn ask_practice(&self, practice: &str, done: bool, circumstances: &Circumstances) -> Answer<'s> {
        let says = PRACTICES.iter().find(|(known, _)| *known == practice).map_or(practice, |(_, says)| says);
        let mut findings = Vec::new();
        for (set, rule, overridden) in self.rules(circumstances) {
            let (met, needs) = match &rule.body {
                Body::Duty(duty) if *duty == practice => (done, format!("{says}: must be")),
                Body::Forbid(forbidden) if *forbidden == practice => (!done, format!("{says}: must not be")),
                Body::Permit(permitted) if *permitted == practice => (true, format!("{says}: may be")),
                _ => continue,
            };
            let verdict = if met { Verdict::Pass } else { Verdict::Fail };
            let because = match (met, done) {
                (true, _) => String::new(),
                (false, true) => "it is done".to_owned(),
                (false, false) => "it is not done".to_owned(),
            };
            findings.push(Finding { set, rule, verdict, needs, because, overridden });
        }
        findings.sort_by_key(|finding| finding.verdict);
        let question = format!("{says}: {}", if done { "yes" } else { "no" });
        self.answer(question, circumstances, findings)
    }
}

fn judge(subject: &Subject, found: Option<Amount>, limit: Amount) -> (Verdict, String) {
    let Some(found) = found else { return (Verdict::NotTold, "no figure was given".to_owned()) };
    let Some(order) = found.cmp_limit(limit) else {
        return (Verdict::NotTold, format!("{found} cannot be compared with {limit}"));
    };
    let met = match subject.bound {
        Bound::AtLeast => order.is_ge(),
        Bound::AtMost => order.is_le(),
    };
    if met {
        (Verdict::Pass, String::new())
    } else {
        (Verdict::Fail, format!("found {found}, needs {} {limit}", subject.bound.says()))
    }
}
