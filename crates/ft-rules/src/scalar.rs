//! Questions with one figure, and questions of what is done or not.

use std::cmp::Ordering;

use crate::amount::Amount;
use crate::answer::{Answer, Finding, Verdict};
use crate::model::{Body, Bound, Window};
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

    /// Every cooling window that may apply, in the order of the stack; food has to go through all of them.
    pub fn cooling_windows(&self, circumstances: &Circumstances) -> Vec<Window> {
        let windows = self.rules(circumstances).filter_map(|(_, rule, _)| match &rule.body {
            Body::Cooling(windows) => Some(windows.clone()),
            _ => None,
        });
        windows.flatten().collect()
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
