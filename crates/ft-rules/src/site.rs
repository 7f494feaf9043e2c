//! A site's stack and its overrides, as a file that keeps the record.

use ft_diag::Problem;
use ft_syntax::{Entry, Node};
use jiff::civil::Date;

use crate::amount::Amount;
use crate::model::{Body, RuleSet};

/// A figure of a set that the site replaces, on record.
#[derive(Debug, Clone, PartialEq)]
pub struct Override {
    /// Name of the set.
    pub set: String,
    /// Id of the rule.
    pub rule: String,
    /// The site's own figure.
    pub amount: Amount,
    /// Who decided it.
    pub by: String,
    /// From which day it counts.
    pub on: Date,
    /// Why.
    pub why: String,
}

/// What a site file says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Site {
    /// The site's name.
    pub name: String,
    /// Names of the sets, in the order of the file.
    pub stack: Vec<String>,
    /// Overrides in the order of the file.
    pub overrides: Vec<Override>,
}

/// Reads a site file against the sets that there are.
///
/// ```text
/// site "Pier kiosk" {
///     stack us-food-code us-pennsylvania
///     override set=us-food-code rule=cold-hold to="38 °F" by="A. Keeper" on="2026-04-01" why="warm spells"
/// }
/// ```
///
/// Never fails: the site holds what could be read; with an error among the problems it is not to be used.
pub fn read_site(text: &str, sets: &[&RuleSet]) -> (Site, Vec<Problem>) {
    let parsed = ft_syntax::parse(text);
    let mut problems = parsed.problems;
    let mut site = Site::default();
    let [node] = parsed.document.nodes.as_slice() else {
        problems.push(
            Problem::error("R0001", 0..text.len().min(1), "a site file holds exactly one site")
                .with_remedy("write one node `site \"name\" { … }`"),
        );
        return (site, problems);
    };
    site.name = node.arguments.first().and_then(Entry::as_text).unwrap_or_default().to_owned();
    for child in node.children() {
        match child.name.text.as_str() {
            "stack" => stack(child, sets, &mut site, &mut problems),
            "override" => match read_override(child, sets) {
                Ok(over) => site.overrides.push(over),
                Err(problem) => problems.push(*problem),
            },
            other => {
                let problem = Problem::error(
                    "R0002",
                    child.name.span.clone(),
                    format!("`{other}` is not a word of a site"),
                );
                problems.push(problem.with_remedy("write `stack` or `override`"));
            }
        }
    }
    ft_diag::sort(&mut problems);
    (site, problems)
}

fn stack(node: &Node, sets: &[&RuleSet], site: &mut Site, problems: &mut Vec<Problem>) {
    for entry in &node.arguments {
        let name = entry.as_text().unwrap_or_default();
        if sets.iter().any(|set| set.name == name) {
            site.stack.push(name.to_owned());
        } else {
            let problem =
                Problem::error("R0009", entry.span.clone(), format!("there is no rule set `{name}`"));
            problems.push(problem.with_remedy(nearest(name, sets.iter().map(|set| set.name.as_str()))));
        }
    }
}

fn read_override(node: &Node, sets: &[&RuleSet]) -> Result<Override, Box<Problem>> {
    let missing = |name: &str| {
        let message = format!("the override does not say `{name}`");
        Box::new(
            Problem::error("R0009", node.span.clone(), message).with_remedy(format!("add `{name}=\"…\"`")),
        )
    };
    let say = |name: &str| node.property(name).and_then(Entry::as_text).ok_or_else(|| missing(name));
    let span = |name: &str| node.property(name).map_or(node.span.clone(), |entry| entry.span.clone());
    let (set_name, rule_name) = (say("set")?, say("rule")?);
    let editions: Vec<&&RuleSet> = sets.iter().filter(|set| set.name == set_name).collect();
    if editions.is_empty() {
        let problem = Problem::error("R0009", span("set"), format!("there is no rule set `{set_name}`"));
        return Err(Box::new(
            problem.with_remedy(nearest(set_name, sets.iter().map(|set| set.name.as_str()))),
        ));
    }
    let rule = editions.iter().flat_map(|set| &set.rules).find(|rule| rule.id == rule_name);
    let Some(rule) = rule else {
        let known = editions.iter().flat_map(|set| &set.rules).map(|rule| rule.id.as_str());
        let problem =
            Problem::error("R0009", span("rule"), format!("`{set_name}` has no rule `{rule_name}`"));
        return Err(Box::new(problem.with_remedy(nearest(rule_name, known))));
    };
    let Body::Limit { subject, .. } = &rule.body else {
        let problem = Problem::error("R0009", span("rule"), format!("`{rule_name}` is not a single figure"));
        return Err(Box::new(problem.with_remedy("write a house rule set that says what you want instead")));
    };
    let amount = Amount::parse(say("to")?, subject.dimension)
        .map_err(|bad| Box::new(Problem::error("R0004", span("to"), bad.message).with_remedy(bad.remedy)))?;
    let on = say("on")?.parse::<Date>().map_err(|_| {
        Box::new(
            Problem::error("R0005", span("on"), "this is not a date")
                .with_remedy("write it such as \"2026-04-01\""),
        )
    })?;
    Ok(Override {
        set: set_name.to_owned(),
        rule: rule_name.to_owned(),
        amount,
        by: say("by")?.to_owned(),
        on,
        why: say("why")?.to_owned(),
    })
}

fn nearest<'c>(word: &str, known: impl Iterator<Item = &'c str> + Clone) -> String {
    match ft_diag::nearest(word, known.clone()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("write one of: {}", known.collect::<Vec<_>>().join(", ")),
    }
}
