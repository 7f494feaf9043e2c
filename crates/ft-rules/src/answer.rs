//! What the stack says to a question: the strictest first, then the others.

use crate::amount::Amount;
use crate::model::{Body, Rule, RuleSet};
use crate::site::Override;

/// What every answer from rules ends with.
pub const NOT_LAW: &str = "A reading aid, not law: your local code and inspector, the label of the chemical and \
     the equipment's own instructions come first.";

/// What a rule, or the whole stack, says. From the worst to the best; the worst of the sets is that of the stack.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Not met.
    Fail,
    /// Something that the rule asks for was not told, so it cannot be judged.
    NotTold,
    /// Met.
    Pass,
    /// No set speaks of it. This is no permission.
    Silent,
}

impl Verdict {
    /// One word for a screen.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fail => "fail",
            Self::NotTold => "not told",
            Self::Pass => "pass",
            Self::Silent => "no text",
        }
    }
}

/// What one rule says.
#[derive(Debug, Clone)]
pub struct Finding<'s> {
    /// Whose rule.
    pub set: &'s RuleSet,
    /// The rule.
    pub rule: &'s Rule,
    /// Whether it is met.
    pub verdict: Verdict,
    /// What it asks, in the unit of its text.
    pub needs: String,
    /// Why it is not met or cannot be judged; empty where it is met.
    pub because: String,
    /// The site's override of its figure, on record.
    pub overridden: Option<&'s Override>,
}

impl Finding<'_> {
    /// The figure that counts: the site's own where it has one on record, else that of the text. `None` where the
    /// rule is no limit.
    pub fn limit(&self) -> Option<Amount> {
        match (&self.rule.body, self.overridden) {
            (Body::Limit { .. }, Some(over)) => Some(over.amount),
            (Body::Limit { amount, .. }, None) => Some(*amount),
            _ => None,
        }
    }
}

/// What the stack says.
#[derive(Debug, Clone)]
pub struct Answer<'s> {
    /// The question, in words.
    pub question: String,
    /// The worst of the findings.
    pub verdict: Verdict,
    /// Every rule that speaks, the strictest first.
    pub findings: Vec<Finding<'s>>,
    /// Sets in force that do not speak of it.
    pub silent: Vec<&'s RuleSet>,
    /// Sets of the stack that are not in force on the day.
    pub not_in_force: Vec<&'s RuleSet>,
    /// What to keep in mind.
    pub cautions: Vec<String>,
}

impl<'s> Answer<'s> {
    /// The rule that decides, if any speaks.
    pub fn winner(&self) -> Option<&Finding<'s>> {
        self.findings.first()
    }
}
