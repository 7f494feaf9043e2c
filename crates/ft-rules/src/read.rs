//! Reads a rule file: text to rules, with every problem named in its place.

mod bodies;
mod values;

use std::collections::BTreeMap;

use ft_diag::Problem;
use ft_syntax::Node;

use crate::model::{InForce, Rule, RuleSet, SetKind, Sureness};
use values::Values;

/// What came of a rule file.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadSet {
    /// The set, without the rules that have problems; `None` where the file holds no set.
    pub set: Option<RuleSet>,
    /// What is wrong, in the order of the text. A set with an error is not to be used.
    pub problems: Vec<Problem>,
}

/// Reads a rule file. Never fails and never panics; finds every problem.
pub fn read(text: &str) -> ReadSet {
    let parsed = ft_syntax::parse(text);
    let mut values = Values { problems: parsed.problems };
    let set = whole(&parsed.document.nodes, text.len(), &mut values);
    let mut problems = values.problems;
    ft_diag::sort(&mut problems);
    ReadSet { set, problems }
}

const SET_WORDS: &[&str] = &[
    "place",
    "edition",
    "kind",
    "in-force",
    "product",
    "note",
    "limit",
    "sanitise",
    "cooling",
    "heat-treat",
    "microbes",
    "duty",
    "forbid",
];

fn whole(nodes: &[Node], length: usize, values: &mut Values) -> Option<RuleSet> {
    let [node] = nodes else {
        let span = nodes.get(1).map_or(0..length.min(1), |extra| extra.span.clone());
        values.error(
            "R0001",
            span,
            "a rule file holds exactly one rule set",
            "write one node `rules \"name\" { … }`",
        );
        return None;
    };
    if node.name.text != "rules" {
        values.error(
            "R0001",
            node.name.span.clone(),
            "a rule file begins with `rules`",
            "write `rules \"name\" { … }`",
        );
        return None;
    }
    let name = values.argument(node, "a name for the set, such as `rules \"us-food-code\" { … }`")?;
    let mut set = RuleSet {
        name,
        place: String::new(),
        edition: String::new(),
        kind: SetKind::House,
        in_force: InForce::default(),
        product: None,
        notes: Vec::new(),
        rules: Vec::new(),
    };
    let mut kind = None;
    for child in node.children() {
        match child.name.text.as_str() {
            "place" => set.place = values.argument(child, "a place").unwrap_or_default(),
            "edition" => set.edition = values.argument(child, "an edition").unwrap_or_default(),
            "kind" => kind = values.word(child, SetKind::ALL),
            "in-force" => set.in_force = in_force(child, values),
            "product" => set.product = values.argument(child, "the name of the chemical"),
            "note" => set.notes.extend(values.argument(child, "a sentence")),
            _ => set.rules.extend(rule(child, values)),
        }
    }
    for (what, missing) in
        [("place", set.place.is_empty()), ("edition", set.edition.is_empty()), ("kind", kind.is_none())]
    {
        let said = node.children().iter().any(|child| child.name.text == what);
        if missing && !said {
            let span = node.name.span.clone();
            values.error(
                "R0003",
                span,
                &format!("the set does not say its {what}"),
                &format!("add `{what} …`"),
            );
        }
    }
    set.kind = kind.unwrap_or(SetKind::House);
    if (set.kind == SetKind::Label) != set.product.is_some() {
        values.error(
            "R0003",
            node.name.span.clone(),
            "a label names its product, and nothing else does",
            "write `kind label` together with `product \"…\"`",
        );
    }
    unique_ids(&set.rules, values);
    Some(set)
}

fn in_force(node: &Node, values: &mut Values) -> InForce {
    values.only(node, &["from", "until"]);
    let period = InForce { from: values.date(node, "from"), until: values.date(node, "until") };
    if let (Some(from), Some(until)) = (period.from, period.until)
        && until < from
    {
        values.error(
            "R0005",
            node.span.clone(),
            "the set ends before it begins",
            "put the earlier day under `from`",
        );
    }
    period
}

fn rule(node: &Node, values: &mut Values) -> Option<Rule> {
    let word = node.name.text.as_str();
    if !SET_WORDS.contains(&word) {
        values.unknown(word, node.name.span.clone(), SET_WORDS.iter().copied(), "a word of a rule set");
        return None;
    }
    let before = values.problems.len();
    let first = node.arguments.first().and_then(ft_syntax::Entry::as_text).unwrap_or(word).to_owned();
    let body = bodies::body(node, values);
    let when = bodies::conditions(node, values);
    let reference = values::text(node, "ref");
    let sure = match node.property("sure").and_then(ft_syntax::Entry::as_text) {
        Some("read") => Some(Sureness::Read),
        Some("adoption") => Some(Sureness::Adoption),
        Some("memory") => Some(Sureness::Memory),
        _ => None,
    };
    if reference.is_none() {
        values.error(
            "R0003",
            node.name.span.clone(),
            "the rule does not say where it stands in its text",
            "add `ref=\"…\"`",
        );
    }
    if sure.is_none() {
        let span = node.property("sure").map_or(node.name.span.clone(), |entry| entry.span.clone());
        values.error(
            "R0003",
            span,
            "the rule does not say how sure we are of it",
            "add `sure=read`, `sure=adoption` or `sure=memory`",
        );
    }
    let sound = values.problems.len() == before;
    let id = values::text(node, "id").unwrap_or(first);
    let (Some(body), Some(reference), Some(sure), true) = (body, reference, sure, sound) else { return None };
    let note = values::text(node, "note");
    Some(Rule { id, reference, sure, when, body, note, span: node.span.clone() })
}

fn unique_ids(rules: &[Rule], values: &mut Values) {
    let mut seen: BTreeMap<&str, &Rule> = BTreeMap::new();
    for rule in rules {
        if let Some(earlier) = seen.insert(&rule.id, rule) {
            let problem =
                Problem::error("R0006", rule.span.clone(), format!("the rule `{}` stands twice", rule.id))
                    .with_remedy("give one of them another name with `id=…`")
                    .with_also(earlier.span.clone(), "here for the first time");
            values.problems.push(problem);
        }
    }
}
