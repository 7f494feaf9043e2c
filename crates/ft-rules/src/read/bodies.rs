//! What each kind of rule asks, and when it applies.

use ft_syntax::Node;

use super::values::Values;
use crate::amount::{Amount, Dimension};
use crate::model::{Body, Bound, Condition, Hold, Plan, Row, Window};
use crate::subject::{KEYS, PRACTICES, SUBJECTS, subject_named};

/// Properties that every rule can have.
const COMMON: &[&str] = &["ref", "sure", "id", "note"];

/// The body of a rule node; `None` with a problem noted where it cannot be read.
pub fn body(node: &Node, values: &mut Values) -> Option<Body> {
    match node.name.text.as_str() {
        "limit" => limit(node, values),
        "sanitise" => sanitise(node, values),
        "cooling" => cooling(node, values),
        "heat-treat" => heat_treat(node, values),
        "microbes" => microbes(node, values),
        "duty" => practice(node, values).map(Body::Duty),
        _ => practice(node, values).map(Body::Forbid),
    }
}

/// The `when` children of a rule: every property of each must hold.
pub fn conditions(node: &Node, values: &mut Values) -> Vec<Condition> {
    let mut conditions = Vec::new();
    for when in node.children().iter().filter(|child| child.name.text == "when") {
        for property in &when.properties {
            let name = property.name.text.as_str();
            if name == "room-above" {
                conditions.extend(values.quantity(when, name).map(Condition::RoomAbove));
            } else if name == "room-most" {
                conditions.extend(values.quantity(when, name).map(Condition::RoomMost));
            } else if let Some((key, words)) = KEYS.iter().find(|(key, _)| *key == name) {
                conditions.extend(is(when, key, words, values));
            } else {
                let known = KEYS.iter().map(|(key, _)| *key).chain(["room-above", "room-most"]);
                values.unknown(name, property.name.span.clone(), known, "a circumstance");
            }
        }
    }
    conditions
}

fn is(when: &Node, key: &'static str, words: &[&'static str], values: &mut Values) -> Option<Condition> {
    let entry = when.property(key)?;
    let said: Vec<String> =
        entry.as_text().unwrap_or_default().split('|').map(|w| w.trim().to_owned()).collect();
    for word in &said {
        if !words.contains(&word.as_str()) {
            values.unknown(word, entry.span.clone(), words.iter().copied(), &format!("a word for `{key}`"));
            return None;
        }
    }
    Some(Condition::Is { key, words: said })
}

fn allow(node: &Node, values: &mut Values, own: &[&str], children: &[&str]) {
    values.only(node, &[COMMON, own].concat());
    for child in node.children() {
        let word = child.name.text.as_str();
        if word != "when" && !children.contains(&word) {
            let known = children.iter().copied().chain(["when"]);
            values.unknown(word, child.name.span.clone(), known, &format!("a part of `{}`", node.name.text));
        }
    }
}

fn limit(node: &Node, values: &mut Values) -> Option<Body> {
    allow(node, values, &["at-least", "at-most"], &[]);
    let name = values.argument(node, "a subject")?;
    let Some(subject) = subject_named(&name) else {
        let known = SUBJECTS.iter().map(|subject| subject.name);
        values.unknown(&name, node.arguments[0].span.clone(), known, "a subject");
        return None;
    };
    let (wanted, other) = match subject.bound {
        Bound::AtLeast => ("at-least", "at-most"),
        Bound::AtMost => ("at-most", "at-least"),
    };
    if let Some(entry) = node.property(other) {
        let message = format!("the {} is limited the other way round", subject.says);
        values.error("R0007", entry.span.clone(), &message, &format!("write `{wanted}=…`"));
        return None;
    }
    if node.property(wanted).is_none() {
        let message = format!("the limit of `{name}` is missing");
        values.error("R0003", node.name.span.clone(), &message, &format!("add `{wanted}=\"…\"`"));
        return None;
    }
    values.amount(node, wanted, subject.dimension).map(|amount| Body::Limit { subject, amount })
}

fn sanitise(node: &Node, values: &mut Values) -> Option<Body> {
    const ROW: &[&str] = &[
        "strength-least",
        "strength-most",
        "strength",
        "ph-most",
        "temperature-least",
        "hardness-most",
        "contact-least",
    ];
    allow(node, values, &[], &["row"]);
    let agent = values.argument(node, "an agent")?;
    let agents = KEYS.iter().find(|(key, _)| *key == "agent").map_or(&[][..], |(_, words)| words);
    if !agents.contains(&agent.as_str()) {
        values.unknown(&agent, node.arguments[0].span.clone(), agents.iter().copied(), "an agent");
        return None;
    }
    let mut rows = Vec::new();
    for row in node.children().iter().filter(|child| child.name.text == "row") {
        values.only(row, ROW);
        if let Some(entry) = row.property("strength").filter(|entry| entry.as_text() != Some("label")) {
            values.error(
                "R0004",
                entry.span.clone(),
                "`strength` can only be left to the label",
                "write `strength=label`, or `strength-least=\"50 mg/L\"`",
            );
        }
        rows.push(Row {
            strength_least: values.quantity(row, "strength-least"),
            strength_most: values.quantity(row, "strength-most"),
            strength_by_label: row.property("strength").is_some(),
            ph_most: values.ph(row, "ph-most"),
            temperature_least: values.quantity(row, "temperature-least"),
            hardness_most: values.quantity(row, "hardness-most"),
            contact_least: values.quantity(row, "contact-least"),
        });
    }
    if rows.is_empty() {
        values.error(
            "R0003",
            node.name.span.clone(),
            "a table of sanitisers needs a row",
            "add `row strength-least=\"…\" …`",
        );
        return None;
    }
    Some(Body::Sanitise { agent, rows })
}

fn cooling(node: &Node, values: &mut Values) -> Option<Body> {
    allow(node, values, &[], &["window"]);
    let mut windows = Vec::new();
    for window in node.children().iter().filter(|child| child.name.text == "window") {
        values.only(window, &["from", "to", "within"]);
        let (to, within) = (values.quantity(window, "to"), values.quantity(window, "within"));
        let (Some(to), Some(within)) = (to, within) else {
            values.error(
                "R0003",
                window.span.clone(),
                "a window needs `to` and `within`",
                "write `window from=\"135 °F\" to=\"70 °F\" within=\"2 h\"`",
            );
            return None;
        };
        windows.push(Window { from: values.quantity(window, "from"), to, within });
    }
    if windows.is_empty() {
        values.error(
            "R0003",
            node.name.span.clone(),
            "cooling needs a window",
            "add `window from=… to=… within=…`",
        );
        return None;
    }
    Some(Body::Cooling(windows))
}

fn heat_treat(node: &Node, values: &mut Values) -> Option<Body> {
    allow(node, values, &[], &["hold"]);
    let mut holds = Vec::new();
    for hold in node.children().iter().filter(|child| child.name.text == "hold") {
        values.only(hold, &["at", "time"]);
        let (Some(at), Some(time)) = (values.quantity(hold, "at"), values.quantity(hold, "time")) else {
            values.error(
                "R0003",
                hold.span.clone(),
                "a hold needs `at` and `time`",
                "write `hold at=\"155 °F\" time=\"30 min\"`",
            );
            return None;
        };
        holds.push(Hold { at, time });
    }
    if holds.is_empty() {
        values.error(
            "R0003",
            node.name.span.clone(),
            "heat-treatment needs a hold",
            "add `hold at=… time=…`",
        );
        return None;
    }
    Some(Body::HeatTreat(holds))
}

fn microbes(node: &Node, values: &mut Values) -> Option<Body> {
    allow(node, values, &["at-most", "exceed", "of", "warns", "n", "c", "m", "M", "absent-grams"], &[]);
    let organism = values.argument(node, "an organism")?;
    let count = |name: &str, values: &mut Values| values.count(node, name);
    let amount = |name: &str, values: &mut Values| values.amount(node, name, Dimension::Count);
    let plan = if let Some(grams) = count("absent-grams", values) {
        count("n", values).map(|n| Plan::Absent { n, grams })
    } else if node.property("n").is_some() {
        let (n, c) = (count("n", values), count("c", values));
        let (m, most) = (amount("m", values), amount("M", values));
        n.zip(c).zip(m).map(|((n, c), m)| Plan::Attributes { n, c, m, most: most.unwrap_or(m) })
    } else if node.property("exceed").is_some() {
        let (exceed, of) = (count("exceed", values), count("of", values));
        let warns = node.property("warns").is_some();
        amount("at-most", values).zip(exceed).zip(of).map(|((most, count), of)| Plan::LastOf {
            most,
            count,
            of,
            warns,
        })
    } else {
        amount("at-most", values).map(|most| Plan::Each { most })
    };
    let sound = plan.as_ref().is_some_and(plan_holds_together);
    if !sound {
        values.error(
            "R0008",
            node.span.clone(),
            "this is no sampling plan",
            "write `at-most`, or `at-most exceed of`, or `n c m M` with c ≤ n and m ≤ M, or `n absent-grams`",
        );
    }
    plan.filter(|_| sound).map(|plan| Body::Microbes { organism, plan })
}

fn plan_holds_together(plan: &Plan) -> bool {
    let not_above = |low: Amount, high: Amount| low.cmp_limit(high).is_some_and(std::cmp::Ordering::is_le);
    match *plan {
        Plan::Each { .. } => true,
        Plan::LastOf { count, of, .. } => 0 < count && count <= of,
        Plan::Attributes { n, c, m, most } => 0 < n && c <= n && not_above(m, most),
        Plan::Absent { n, grams } => 0 < n && 0 < grams,
    }
}

fn practice(node: &Node, values: &mut Values) -> Option<&'static str> {
    allow(node, values, &[], &[]);
    let name = values.argument(node, "a practice")?;
    let known = PRACTICES.iter().find(|(known, _)| *known == name);
    if known.is_none() {
        values.unknown(
            &name,
            node.arguments[0].span.clone(),
            PRACTICES.iter().map(|(known, _)| *known),
            "a practice",
        );
    }
    known.map(|(known, _)| *known)
}
