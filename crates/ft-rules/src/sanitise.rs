//! Whether a solution sanitises: tables of rows, one of which has to be met whole.

use std::cmp::Ordering;

use ft_units::{Strength, Temperature, TemperatureUnit, Time};

use crate::amount::Amount;
use crate::answer::{Answer, Finding, Verdict};
use crate::model::{Body, Row};
use crate::stack::{Circumstances, Stack};

/// A solution as it stands in the sink; what was not measured is `None`.
#[derive(Debug, Clone, Copy)]
pub struct Solution<'a> {
    /// `chlorine`, `iodine`, `quat` or `other`.
    pub agent: &'a str,
    /// Strength.
    pub strength: Option<Strength>,
    /// pH.
    pub ph: Option<f64>,
    /// Temperature.
    pub temperature: Option<Temperature>,
    /// Hardness of the water.
    pub hardness: Option<Strength>,
    /// How long things stay in it. Where it is not given, the answer says how long it must be.
    pub contact: Option<Time>,
    /// Whether clean water rinses it off afterwards; then the ceiling does not count.
    pub rinsed_after: bool,
}

/// What one row says to a solution.
struct RowCheck {
    failing: Vec<String>,
    untold: Vec<&'static str>,
    /// How much it would take to meet the row; smaller is nearer. Water is harder to change than heat.
    distance: u32,
}

impl<'s> Stack<'s> {
    /// Judges a solution under every set that speaks of its agent. The set that asks for the longest contact
    /// stands first among those that are met; sets that are not met stand before them.
    pub fn ask_solution(&self, solution: &Solution<'_>, circumstances: &Circumstances) -> Answer<'s> {
        let rinse = if solution.rinsed_after { "after" } else { "none" };
        let circumstances = [("agent", solution.agent), ("rinse", rinse)]
            .into_iter()
            .fold(circumstances.clone(), |known, (key, word)| known.clone().with(key, word).unwrap_or(known));
        let label = self.label_speaks(&circumstances);
        let mut found: Vec<(Option<Time>, Finding<'s>)> = Vec::new();
        for (set, rule, overridden) in self.rules(&circumstances) {
            let Body::Sanitise { agent, rows } = &rule.body else { continue };
            if agent != solution.agent {
                continue;
            }
            let (verdict, contact, needs, because) = judge_rows(rows, solution, label);
            found.push((contact, Finding { set, rule, verdict, needs, because, overridden }));
        }
        let ceiling = crate::subject::subject_named("sanitiser-ceiling");
        let strength = solution.strength.map(Amount::Strength);
        if let Some(subject) = ceiling {
            found.extend(self.ask(subject, strength, &circumstances).findings.into_iter().map(|f| (None, f)));
        }
        found.sort_by(|(a_contact, a), (b_contact, b)| {
            a.verdict.cmp(&b.verdict).then_with(|| longer_first(*a_contact, *b_contact))
        });
        let findings = found.into_iter().map(|(_, finding)| finding).collect();
        self.answer(describe(solution), &circumstances, findings)
    }

    /// The contact time that all sets together ask of a solution: the longest of the shortest that each allows.
    /// `None` where no set gives one for it.
    pub fn contact_least(&self, solution: &Solution<'_>, circumstances: &Circumstances) -> Option<Time> {
        let open = Solution { contact: None, ..*solution };
        let known =
            circumstances.clone().with("agent", solution.agent).unwrap_or_else(|| circumstances.clone());
        let label = self.label_speaks(&known);
        let mut longest: Option<Time> = None;
        for (_, rule, _) in self.rules(&known) {
            let Body::Sanitise { agent, rows } = &rule.body else { continue };
            let contact = (agent == solution.agent).then(|| judge_rows(rows, &open, label).1).flatten();
            if longer_first(contact, longest) == Ordering::Less {
                longest = contact;
            }
        }
        longest
    }
}

/// `Less` where `a` is the longer; a time that is not there is the shortest.
fn longer_first(a: Option<Time>, b: Option<Time>) -> Ordering {
    match (a, b) {
        (Some(a), Some(b)) => b.cmp_limit(a),
        (Some(_), None) => Ordering::Less,
        (None, Some(_)) => Ordering::Greater,
        (None, None) => Ordering::Equal,
    }
}

/// Verdict, contact time that is asked, what is needed, and why it is not met.
fn judge_rows(rows: &[Row], solution: &Solution<'_>, label: bool) -> (Verdict, Option<Time>, String, String) {
    let checks: Vec<(&Row, RowCheck)> = rows.iter().map(|row| (row, check(row, solution, label))).collect();
    let met = |check: &RowCheck| check.failing.is_empty() && check.untold.is_empty();
    let shortest = |rows: &mut dyn Iterator<Item = &Row>| -> Option<Row> {
        rows.copied().min_by(|a, b| longer_first(b.contact_least, a.contact_least))
    };
    if let Some(row) = shortest(&mut checks.iter().filter(|(_, check)| met(check)).map(|(row, _)| *row)) {
        return (Verdict::Pass, row.contact_least, row_says(&row), String::new());
    }
    if let Some((row, check)) = checks.iter().find(|(_, check)| check.failing.is_empty()) {
        let because = format!("not told: {}", check.untold.join(", "));
        return (Verdict::NotTold, row.contact_least, row_says(row), because);
    }
    // Among rows that lack the same things, the one that asks for the least heat is the nearest.
    let heat = |row: &Row| row.temperature_least.map_or(f64::MIN, |t| t.in_unit(TemperatureUnit::Celsius));
    let nearest = checks.iter().min_by(|(a, lacks_a), (b, lacks_b)| {
        lacks_a.distance.cmp(&lacks_b.distance).then(heat(a).total_cmp(&heat(b)))
    });
    nearest.map_or((Verdict::Fail, None, String::new(), "the table has no row".to_owned()), |(row, check)| {
        (Verdict::Fail, None, row_says(row), check.failing.join("; "))
    })
}

fn check(row: &Row, solution: &Solution<'_>, label: bool) -> RowCheck {
    let mut check = RowCheck { failing: Vec::new(), untold: Vec::new(), distance: 0 };
    if row.strength_by_label && !label {
        check.untold.push("the strength that the label asks for (add the label as a rule set)");
    }
    if let Some(least) = row.strength_least {
        hold(&mut check, solution.strength, "strength", 8, |found| {
            found.cmp_limit(least).is_lt().then(|| format!("strength {found}, needs at least {least}"))
        });
    }
    if let Some(most) = row.strength_most {
        hold(&mut check, solution.strength, "strength", 8, |found| {
            found.cmp_limit(most).is_gt().then(|| format!("strength {found}, needs at most {most}"))
        });
    }
    if let Some(most) = row.ph_most {
        hold(&mut check, solution.ph, "pH", 4, |found| {
            (found > most).then(|| format!("pH {found}, needs at most {most}"))
        });
    }
    if let Some(least) = row.temperature_least {
        hold(&mut check, solution.temperature, "temperature", 1, |found| {
            found.cmp_limit(least).is_lt().then(|| format!("temperature {found}, needs at least {least}"))
        });
    }
    if let Some(most) = row.hardness_most {
        hold(&mut check, solution.hardness, "hardness of the water", 2, |found| {
            found.cmp_limit(most).is_gt().then(|| format!("hardness {found}, needs at most {most}"))
        });
    }
    if let (Some(least), Some(found)) = (row.contact_least, solution.contact)
        && found.cmp_limit(least).is_lt()
    {
        check.failing.push(format!("contact {found}, needs at least {least}"));
        check.distance += 1;
    }
    check
}

fn hold<T>(
    check: &mut RowCheck,
    found: Option<T>,
    name: &'static str,
    distance: u32,
    fails: impl Fn(T) -> Option<String>,
) {
    match found.map(fails) {
        None if check.untold.contains(&name) => {}
        None => check.untold.push(name),
        Some(None) => {}
        Some(Some(failing)) => {
            check.failing.push(failing);
            check.distance += distance;
        }
    }
}

/// A row in words.
fn row_says(row: &Row) -> String {
    let mut parts = Vec::new();
    if row.strength_by_label {
        parts.push("the strength of the label".to_owned());
    }
    parts.extend(row.strength_least.map(|least| format!("at least {least}")));
    parts.extend(row.strength_most.map(|most| format!("at most {most}")));
    parts.extend(row.ph_most.map(|most| format!("pH at most {most}")));
    parts.extend(row.temperature_least.map(|least| format!("at {least} or warmer")));
    parts.extend(row.hardness_most.map(|most| format!("hardness at most {most}")));
    parts.extend(row.contact_least.map(|least| format!("for at least {least}")));
    parts.join(", ")
}

fn describe(solution: &Solution<'_>) -> String {
    let mut parts = vec![solution.agent.to_owned()];
    parts.extend(solution.strength.map(|strength| strength.to_string()));
    parts.extend(solution.ph.map(|ph| format!("pH {ph}")));
    parts.extend(solution.temperature.map(|temperature| temperature.to_string()));
    parts.extend(solution.hardness.map(|hardness| format!("hardness {hardness}")));
    parts.extend(solution.contact.map(|contact| format!("for {contact}")));
    parts.push(if solution.rinsed_after { "rinsed off".into() } else { "not rinsed off".into() });
    parts.join(", ")
}
