//! Sampling plans: each sample, k of the last n, n-c-m-M, absence.

use crate::amount::Amount;
use crate::answer::{NOT_LAW, Verdict};
use crate::model::{Body, Plan, Rule, RuleSet};
use crate::stack::{Circumstances, Stack};

/// What samples come to under one plan, from the worst to the best.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// More samples over the limit than the text allows, or one beyond the upper limit.
    Unsatisfactory,
    /// The latest sample is over the limit, though the text does not yet call it a violation.
    OverLimit,
    /// Too few samples for the plan, or counted in another unit.
    NotTold,
    /// Some lie between the two limits, as many as are allowed.
    Acceptable,
    /// All within.
    Satisfactory,
}

impl Grade {
    /// In words.
    pub fn says(self) -> &'static str {
        match self {
            Self::Unsatisfactory => "unsatisfactory",
            Self::OverLimit => "over the limit",
            Self::NotTold => "cannot be judged",
            Self::Acceptable => "acceptable",
            Self::Satisfactory => "satisfactory",
        }
    }

    /// As a verdict.
    pub fn verdict(self) -> Verdict {
        match self {
            Self::Unsatisfactory | Self::OverLimit => Verdict::Fail,
            Self::NotTold => Verdict::NotTold,
            Self::Acceptable | Self::Satisfactory => Verdict::Pass,
        }
    }
}

/// What one rule says of the samples.
#[derive(Debug, Clone)]
pub struct MicrobeFinding<'s> {
    /// Whose rule.
    pub set: &'s RuleSet,
    /// The rule.
    pub rule: &'s Rule,
    /// What the samples come to.
    pub grade: Grade,
    /// How that was found.
    pub because: String,
}

/// What the stack says of the samples.
#[derive(Debug, Clone)]
pub struct MicrobeAnswer<'s> {
    /// The worst grade; `None` where no set speaks.
    pub grade: Option<Grade>,
    /// Every rule that speaks, the worst first.
    pub findings: Vec<MicrobeFinding<'s>>,
    /// The usual caution.
    pub caution: &'static str,
}

impl<'s> Stack<'s> {
    /// Judges counts of one organism, the latest last, under every set that speaks of it.
    ///
    /// A count of colonies in a gram is not compared with a limit in a millilitre: the grade is then
    /// [`Grade::NotTold`]. An absence plan takes a count of 0 as "not found" and everything else as found.
    pub fn ask_microbes(
        &self,
        organism: &str,
        counts: &[Amount],
        circumstances: &Circumstances,
    ) -> MicrobeAnswer<'s> {
        let mut findings = Vec::new();
        for (set, rule, _) in self.rules(circumstances) {
            let Body::Microbes { organism: limited, plan } = &rule.body else { continue };
            if limited == organism {
                let (grade, because) = judge(plan, counts);
                findings.push(MicrobeFinding { set, rule, grade, because });
            }
        }
        findings.sort_by_key(|finding| finding.grade);
        MicrobeAnswer { grade: findings.first().map(|finding| finding.grade), findings, caution: NOT_LAW }
    }
}

impl Stack<'_> {
    /// Which samples a machine needs: every barrel or head by name, and the twist where two or more meet in one.
    ///
    /// Where no set asks for each head, one sample of the first head is the least that tells anything; that is our
    /// choice, not a text's. Source: testing sheet of the Pennsylvania agriculture department.
    pub fn samples_needed(
        &self,
        heads: &[String],
        has_twist: bool,
        circumstances: &Circumstances,
    ) -> Vec<String> {
        let each = self.rules(circumstances).any(|(_, rule, _)| rule.body == Body::Duty("sample-each-head"));
        if !each {
            return heads.iter().take(1).cloned().collect();
        }
        let twist = (has_twist && heads.len() > 1).then(|| "twist".to_owned());
        heads.iter().cloned().chain(twist).collect()
    }
}

fn judge(plan: &Plan, counts: &[Amount]) -> (Grade, String) {
    match *plan {
        Plan::Each { most } => judge_each(most, counts),
        Plan::LastOf { most, count, of, warns } => judge_last_of(most, count, of, warns, counts),
        Plan::Attributes { n, c, m, most } => judge_attributes(n, c, m, most, counts),
        Plan::Absent { n, grams } => judge_absent(n, grams, counts),
    }
}

fn above(count: Amount, limit: Amount) -> Option<bool> {
    count.cmp_limit(limit).map(std::cmp::Ordering::is_gt)
}

/// How many of these are above a limit; `None` where one cannot be compared.
fn how_many_above(counts: &[Amount], limit: Amount) -> Option<usize> {
    let mut many = 0;
    for count in counts {
        many += usize::from(above(*count, limit)?);
    }
    Some(many)
}

fn judge_each(most: Amount, counts: &[Amount]) -> (Grade, String) {
    match how_many_above(counts, most) {
        _ if counts.is_empty() => (Grade::NotTold, "no sample".into()),
        None => (Grade::NotTold, format!("a sample is not counted in the unit of the limit, {most}")),
        Some(0) => (Grade::Satisfactory, format!("no sample above {most}")),
        Some(many) => (Grade::Unsatisfactory, format!("{many} of {} above {most}", counts.len())),
    }
}

fn judge_last_of(most: Amount, count: usize, of: usize, warns: bool, counts: &[Amount]) -> (Grade, String) {
    let last = &counts[counts.len().saturating_sub(of)..];
    let Some(latest) = last.last() else { return (Grade::NotTold, "no sample".into()) };
    let (Some(many), Some(latest_above)) = (how_many_above(last, most), above(*latest, most)) else {
        return (Grade::NotTold, format!("a sample is not counted in the unit of the limit, {most}"));
    };
    let word = if warns { "a warning" } else { "a violation" };
    let said = format!("{many} of the last {} above {most}; {count} of {of} are {word}", last.len());
    match (many >= count, latest_above) {
        (true, _) => (Grade::Unsatisfactory, said),
        (false, true) => (Grade::OverLimit, said),
        (false, false) => (Grade::Satisfactory, said),
    }
}

/// The attribute plan: satisfactory where all are at most `m`; acceptable where at most `c` lie above `m` and none
/// above `most`; unsatisfactory otherwise. Fewer than `n` samples can be unsatisfactory but never satisfactory.
///
/// Source: meaning of n and c in Regulation (EC) 2073/2005 (read); the three grades from memory.
pub fn judge_attributes(n: usize, c: usize, m: Amount, most: Amount, counts: &[Amount]) -> (Grade, String) {
    let (Some(above_m), Some(above_most)) = (how_many_above(counts, m), how_many_above(counts, most)) else {
        return (Grade::NotTold, format!("a sample is not counted in the unit of the limit, {m}"));
    };
    let said =
        format!("of {} samples {above_m} above {m} (allowed {c}), {above_most} above {most}", counts.len());
    let grade = if above_most > 0 || above_m > c {
        Grade::Unsatisfactory
    } else if counts.len() < n {
        return (Grade::NotTold, format!("{said}; the plan needs {n}"));
    } else if above_m > 0 {
        Grade::Acceptable
    } else {
        Grade::Satisfactory
    };
    (grade, said)
}

fn judge_absent(n: usize, grams: usize, counts: &[Amount]) -> (Grade, String) {
    let found = counts
        .iter()
        .filter(|count| matches!(count, Amount::Count(quantity) if quantity.value > 0.0))
        .count();
    let said = format!("found in {found} of {} samples of {grams} g", counts.len());
    if found > 0 {
        (Grade::Unsatisfactory, said)
    } else if counts.len() < n {
        (Grade::NotTold, format!("{said}; the plan needs {n}"))
    } else {
        (Grade::Satisfactory, said)
    }
}
