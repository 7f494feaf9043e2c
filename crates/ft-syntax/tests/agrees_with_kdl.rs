//! Our reader and the reference reader of KDL 2 (the `kdl` crate) read the same from the same documents.

mod common;

use std::fmt::Write as _;

use common::{document, meaning};
use ft_syntax::parse;
use kdl::{KdlDocument, KdlEntry, KdlIdentifier, KdlNode, KdlValue};
use proptest::prelude::*;

/// The tree of the reference reader in the words of [`meaning`].
fn their_meaning(document: &KdlDocument) -> String {
    let mut out = String::new();
    document.nodes().iter().for_each(|node| describe(node, 0, &mut out));
    out
}

fn describe(node: &KdlNode, level: usize, out: &mut String) {
    let kind =
        |kind: Option<&KdlIdentifier>| kind.map(|kind| format!("({:?})", kind.value())).unwrap_or_default();
    let entry = |entry: &KdlEntry| format!("{}{}", kind(entry.ty()), value(entry.value()));
    let _ = write!(out, "{:1$}{2}{3:?}", "", level, kind(node.ty()), node.name().value()); // cannot fail
    for argument in node.entries().iter().filter(|entry| entry.name().is_none()) {
        let _ = write!(out, " {}", entry(argument)); // cannot fail
    }
    for property in node.entries() {
        if let Some(name) = property.name() {
            let _ = write!(out, " {:?}={}", name.value(), entry(property)); // cannot fail
        }
    }
    out.push_str(if node.children().is_some() { " {}\n" } else { "\n" });
    node.children().iter().flat_map(|block| block.nodes()).for_each(|child| describe(child, level + 1, out));
}

fn value(value: &KdlValue) -> String {
    match value {
        KdlValue::String(text) => format!("{text:?}"),
        KdlValue::Integer(number) => format!("{:e}", *number as f64),
        KdlValue::Float(number) => format!("{:e}", number + 0.0),
        KdlValue::Bool(yes) => format!("#{yes}"),
        KdlValue::Null => "#null".to_owned(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_same_values(text in document()) {
        match KdlDocument::parse_v2(&text) {
            Ok(theirs) => prop_assert_eq!(meaning(&parse(&text).document), their_meaning(&theirs)),
            Err(error) => prop_assert!(false, "the reference reader refuses {:?}: {:?}", text, error),
        }
    }
}
