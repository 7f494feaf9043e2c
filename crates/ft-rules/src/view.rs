//! Answers as they are shown: plain words, for JSON and for text.

use std::fmt::Write as _;

use serde::Serialize;

use crate::answer::{Answer, Finding, NOT_LAW, Verdict};
use crate::microbes::{Grade, MicrobeAnswer, MicrobeFinding};
use crate::model::{RuleSet, Sureness};
use crate::stack::Stack;

/// An answer, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct AnswerView {
    /// The question.
    pub question: String,
    /// `pass`, `fail`, `not told` or `no text`.
    pub verdict: &'static str,
    /// The rule that decides.
    pub winner: Option<FindingView>,
    /// What the others said, strictest first.
    pub others: Vec<FindingView>,
    /// Sets in force that do not speak of it.
    pub silent: Vec<String>,
    /// Sets that are not in force on the day.
    pub not_in_force: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<String>,
}

/// What one rule says, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct FindingView {
    /// Name of the set.
    pub set: String,
    /// Where in its text.
    pub reference: String,
    /// Verdict of this rule.
    pub verdict: &'static str,
    /// What it asks.
    pub needs: String,
    /// Why it is not met; empty where it is.
    pub because: String,
    /// How sure we are of the figure.
    pub sure: &'static str,
    /// What else a reader should know.
    pub note: Option<String>,
    /// Whether the site's own figure stands in place of the text's.
    pub overridden: bool,
}

impl From<&Finding<'_>> for FindingView {
    fn from(finding: &Finding<'_>) -> Self {
        Self {
            set: finding.set.name.clone(),
            reference: finding.rule.reference.clone(),
            verdict: finding.verdict.word(),
            needs: finding.needs.clone(),
            because: finding.because.clone(),
            sure: finding.rule.sure.says(),
            note: finding.rule.note.clone(),
            overridden: finding.overridden.is_some(),
        }
    }
}

impl From<&Answer<'_>> for AnswerView {
    fn from(answer: &Answer<'_>) -> Self {
        let names = |sets: &[&RuleSet]| sets.iter().map(|set| set.name.clone()).collect();
        let mut findings = answer.findings.iter().map(FindingView::from);
        Self {
            question: answer.question.clone(),
            verdict: answer.verdict.word(),
            winner: findings.next(),
            others: findings.collect(),
            silent: names(&answer.silent),
            not_in_force: names(&answer.not_in_force),
            cautions: answer.cautions.clone(),
        }
    }
}

impl AnswerView {
    /// The view of an answer on microbes.
    pub fn of_microbes(question: String, answer: &MicrobeAnswer<'_>) -> Self {
        let view = |finding: &MicrobeFinding<'_>| FindingView {
            set: finding.set.name.clone(),
            reference: finding.rule.reference.clone(),
            verdict: finding.grade.verdict().word(),
            needs: finding.grade.says().to_owned(),
            because: finding.because.clone(),
            sure: finding.rule.sure.says(),
            note: finding.rule.note.clone(),
            overridden: false,
        };
        let mut findings = answer.findings.iter().map(view);
        Self {
            question,
            verdict: answer.grade.map_or(Verdict::Silent, Grade::verdict).word(),
            winner: findings.next(),
            others: findings.collect(),
            silent: Vec::new(),
            not_in_force: Vec::new(),
            cautions: vec![answer.caution.to_owned()],
        }
    }

    /// The view as text for a terminal or paper.
    pub fn text(&self) -> String {
        let mut text = format!("{}\n{}\n", self.question, self.verdict.to_uppercase());
        for (index, finding) in self.winner.iter().chain(&self.others).enumerate() {
            let mark = if index == 0 { "decides" } else { "also" };
            let own = if finding.overridden { ", the site's own figure" } else { "" };
            let _ = writeln!(
                text,
                "  {mark:<8} {} {}: {} – {} ({}{own})",
                finding.set, finding.reference, finding.needs, finding.verdict, finding.sure
            );
            if !finding.because.is_empty() {
                let _ = writeln!(text, "           {}", finding.because);
            }
            if let Some(note) = &finding.note {
                let _ = writeln!(text, "           {note}");
            }
        }
        if !self.silent.is_empty() {
            let _ = writeln!(text, "  silent   {}", self.silent.join(", "));
        }
        if !self.not_in_force.is_empty() {
            let _ = writeln!(text, "  not in force on the day: {}", self.not_in_force.join(", "));
        }
        for caution in &self.cautions {
            let _ = writeln!(text, "{caution}");
        }
        text
    }
}

/// The sets of a stack, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct RulesView {
    /// The day of the question.
    pub day: String,
    /// The sets in the order of the stack.
    pub sets: Vec<SetView>,
    /// The usual caution.
    pub caution: &'static str,
}

/// One set, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct SetView {
    /// Name.
    pub name: String,
    /// Where it holds.
    pub place: String,
    /// Which edition was read.
    pub edition: String,
    /// What gives it its weight.
    pub kind: &'static str,
    /// First day in force, where known.
    pub from: Option<String>,
    /// Last day in force, where known.
    pub until: Option<String>,
    /// Whether it is in force on the day of the question.
    pub in_force: bool,
    /// How many rules.
    pub rules: usize,
    /// How many of them are from memory.
    pub from_memory: usize,
    /// What else a reader should know.
    pub notes: Vec<String>,
}

impl From<&Stack<'_>> for RulesView {
    fn from(stack: &Stack<'_>) -> Self {
        let view = |set: &&RuleSet| SetView {
            name: set.name.clone(),
            place: set.place.clone(),
            edition: set.edition.clone(),
            kind: set.kind.word(),
            from: set.in_force.from.map(|day| day.to_string()),
            until: set.in_force.until.map(|day| day.to_string()),
            in_force: set.in_force.holds_on(stack.day()),
            rules: set.rules.len(),
            from_memory: set.rules.iter().filter(|rule| rule.sure == Sureness::Memory).count(),
            notes: set.notes.clone(),
        };
        Self { day: stack.day().to_string(), sets: stack.sets().iter().map(view).collect(), caution: NOT_LAW }
    }
}

impl RulesView {
    /// The view as text for a terminal or paper.
    pub fn text(&self) -> String {
        let mut text = format!("Rule sets on {}\n", self.day);
        for set in &self.sets {
            let force = if set.in_force { "in force" } else { "NOT in force" };
            let _ = writeln!(
                text,
                "  {:<22} {:<7} {force}, {} rules, {} from memory\n    {}\n    {}",
                set.name, set.kind, set.rules, set.from_memory, set.place, set.edition
            );
            for note in &set.notes {
                let _ = writeln!(text, "    {note}");
            }
        }
        let _ = writeln!(text, "{}", self.caution);
        text
    }
}
