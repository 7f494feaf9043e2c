//! The sets of a site on a day, and what is known of the circumstances.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

use ft_units::Temperature;
use jiff::civil::Date;

use crate::answer::{Answer, Finding, NOT_LAW, Verdict};
use crate::model::{Condition, Rule, RuleSet, SetKind, Sureness};
use crate::site::Override;

/// Sets that all have to be met, on one day.
#[derive(Debug, Clone)]
pub struct Stack<'s> {
    sets: Vec<&'s RuleSet>,
    overrides: &'s [Override],
    day: Date,
}

/// What is known of the case. What is not known is not assumed away: a rule that depends on it then speaks.
#[derive(Debug, Clone, Default)]
pub struct Circumstances {
    words: BTreeMap<&'static str, String>,
    room: Option<Temperature>,
    products: BTreeSet<String>,
}

impl Circumstances {
    /// Nothing is known.
    pub fn unknown() -> Self {
        Self::default()
    }

    /// With one circumstance known; `None` where key and word are not in [`crate::KEYS`].
    #[must_use]
    pub fn with(mut self, key: &str, word: &str) -> Option<Self> {
        let (key, words) = crate::KEYS.iter().find(|(known, _)| *known == key)?;
        words.contains(&word).then(|| {
            self.words.insert(key, word.to_owned());
            self
        })
    }

    /// With the room's temperature known.
    #[must_use]
    pub fn in_room(mut self, room: Temperature) -> Self {
        self.room = Some(room);
        self
    }

    /// With a chemical in use, so that its label speaks.
    #[must_use]
    pub fn using(mut self, product: &str) -> Self {
        self.products.insert(product.to_owned());
        self
    }

    /// Whether a rule applies; `None` where that is not known.
    fn meets(&self, condition: &Condition) -> Option<bool> {
        match condition {
            Condition::Is { key, words } => self.words.get(key).map(|word| words.contains(word)),
            Condition::RoomAbove(limit) => self.room.map(|room| room.cmp_limit(*limit) == Ordering::Greater),
            Condition::RoomMost(limit) => self.room.map(|room| room.cmp_limit(*limit) != Ordering::Greater),
        }
    }

    /// Whether a rule may apply: nothing that is known speaks against it.
    pub(crate) fn may_apply(&self, rule: &Rule) -> bool {
        rule.when.iter().all(|condition| self.meets(condition) != Some(false))
    }

    /// What a rule depends on that is not known.
    pub(crate) fn untold(&self, rule: &Rule) -> Vec<&'static str> {
        let unknown = rule.when.iter().filter(|condition| self.meets(condition).is_none());
        unknown
            .map(|condition| match condition {
                Condition::Is { key, .. } => *key,
                Condition::RoomAbove(_) | Condition::RoomMost(_) => "temperature of the room",
            })
            .collect()
    }
}

impl<'s> Stack<'s> {
    /// The sets of a site on `day`; a set that stands twice is taken once.
    pub fn new(sets: impl IntoIterator<Item = &'s RuleSet>, overrides: &'s [Override], day: Date) -> Self {
        let mut stack = Self { sets: Vec::new(), overrides, day };
        for set in sets {
            if !stack.sets.iter().any(|known| known.name == set.name && known.in_force == set.in_force) {
                stack.sets.push(set);
            }
        }
        stack
    }

    /// The day of the question.
    pub fn day(&self) -> Date {
        self.day
    }

    /// Every set, in force or not.
    pub fn sets(&self) -> &[&'s RuleSet] {
        &self.sets
    }

    /// Whether a label of a chemical in use is in force.
    pub(crate) fn label_speaks(&self, circumstances: &Circumstances) -> bool {
        self.speaking(circumstances).any(|set| set.kind == SetKind::Label)
    }

    /// The sets in force, labels only where their chemical is used.
    fn speaking<'a>(&'a self, circumstances: &'a Circumstances) -> impl Iterator<Item = &'s RuleSet> + 'a {
        self.sets.iter().copied().filter(|set| {
            let used = set.product.as_ref().is_none_or(|product| circumstances.products.contains(product));
            set.in_force.holds_on(self.day) && used
        })
    }

    /// Every rule that may apply, with its set and its override.
    pub(crate) fn rules<'a>(
        &'a self,
        circumstances: &'a Circumstances,
    ) -> impl Iterator<Item = (&'s RuleSet, &'s Rule, Option<&'s Override>)> + 'a {
        self.speaking(circumstances).flat_map(move |set| {
            let may_apply = set.rules.iter().filter(|rule| circumstances.may_apply(rule));
            may_apply.map(move |rule| (set, rule, self.override_of(set, rule)))
        })
    }

    fn override_of(&self, set: &RuleSet, rule: &Rule) -> Option<&'s Override> {
        // The latest that has begun counts; the file keeps the earlier ones on record.
        let begun =
            self.overrides.iter().filter(|o| o.set == set.name && o.rule == rule.id && o.on <= self.day);
        begun.max_by_key(|o| o.on)
    }

    /// The answer of findings that already stand in order, the strictest first.
    pub(crate) fn answer(
        &self,
        question: String,
        circumstances: &Circumstances,
        findings: Vec<Finding<'s>>,
    ) -> Answer<'s> {
        let speaks = |set: &RuleSet| findings.iter().any(|finding| std::ptr::eq(finding.set, set));
        let verdict = findings.iter().map(|finding| finding.verdict).min().unwrap_or(Verdict::Silent);
        let silent = self.speaking(circumstances).filter(|set| !speaks(set)).collect();
        let not_in_force = self.sets.iter().copied().filter(|set| !set.in_force.holds_on(self.day)).collect();
        let cautions = cautions(&findings, circumstances, verdict);
        Answer { question, verdict, findings, silent, not_in_force, cautions }
    }
}

fn cautions(findings: &[Finding<'_>], circumstances: &Circumstances, verdict: Verdict) -> Vec<String> {
    let mut cautions = Vec::new();
    let untold: BTreeSet<&str> =
        findings.iter().flat_map(|finding| circumstances.untold(finding.rule)).collect();
    if !untold.is_empty() {
        let untold: Vec<&str> = untold.into_iter().collect();
        cautions
            .push(format!("Not told: {}; rules that depend on it were taken to apply.", untold.join(", ")));
    }
    for finding in findings {
        if finding.rule.sure == Sureness::Memory {
            cautions.push(format!(
                "{} {}: our figure is from memory; check the text.",
                finding.set.name, finding.rule.reference
            ));
        }
        if let Some(over) = finding.overridden {
            cautions.push(format!(
                "{} {}: the site's own figure, by {} on {}: {}",
                finding.set.name, finding.rule.reference, over.by, over.on, over.why
            ));
        }
    }
    if verdict == Verdict::Silent {
        cautions.push("No text of the stack speaks of this; that is no permission.".to_owned());
    }
    cautions.push(NOT_LAW.to_owned());
    cautions
}
