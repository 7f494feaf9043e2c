//! The test suite of the KDL 2.0 specification: 320 texts, each with what it means or that it is an error.
//!
//! Source: `tests/test_cases` of <https://github.com/kdl-org/kdl>, as published with the `kdl` crate that
//! the tests of this crate depend on. The files stay where cargo unpacked them.

mod common;

use std::fs;
use std::path::PathBuf;

use common::meaning;
use ft_syntax::{Document, Node, parse};

/// Errors in the suite that are read here. `hex` (`0xabcdef1234567890`) is no error by the grammar; the copy
/// of the suite in the crate lacks its answer.
const KINDER: &[&str] = &["hex"];

/// Good in KDL and a problem here, because in a machine file it is a slip.
const STRICTER: &[&str] = &["repeated_prop"];

#[test]
fn agrees_with_the_suite_of_the_specification() {
    let Some(suite) = suite() else {
        println!("skipped: the sources of the `kdl` crate are not where cargo unpacks them");
        return;
    };
    let mut differences = Vec::new();
    let mut seen = 0;
    for entry in fs::read_dir(suite.join("input")).expect("the suite has inputs") {
        let path = entry.expect("the suite can be listed").path();
        let name = path.file_stem().and_then(|name| name.to_str()).unwrap_or_default().to_owned();
        let bytes = fs::read(&path).expect("the input can be read");
        let Ok(input) = ft_syntax::decode(&bytes) else {
            continue;
        };
        seen += 1;
        let parsed = parse(input);
        let expected =
            fs::read_to_string(suite.join("expected_kdl").join(path.file_name().unwrap_or_default()));
        let agrees = match expected {
            Ok(expected) if STRICTER.contains(&name.as_str()) => {
                !expected.is_empty() && !parsed.problems.is_empty()
            }
            Ok(expected) => {
                parsed.problems.is_empty() && plain(&parsed.document) == plain(&parse(&expected).document)
            }
            Err(_) => parsed.problems.is_empty() == KINDER.contains(&name.as_str()),
        };
        if !agrees {
            differences
                .push(format!("{name}: {:?}", parsed.problems.first().map(|problem| &problem.message)));
        }
    }
    assert!(seen > 300, "only {seen} inputs");
    differences.sort();
    assert!(differences.is_empty(), "{} of {seen} differ:\n{}", differences.len(), differences.join("\n"));
}

/// The meaning as the suite writes it: properties in alphabetical order, no empty braces.
fn plain(document: &Document) -> String {
    fn simplify(node: &mut Node) {
        node.properties.sort_by(|a, b| a.name.text.cmp(&b.name.text));
        if node.children().is_empty() {
            node.children = None;
        }
        node.children.iter_mut().flatten().for_each(simplify);
    }
    let mut document = document.clone();
    document.nodes.iter_mut().for_each(simplify);
    meaning(&document)
}

/// Where cargo has unpacked the sources of the `kdl` crate.
fn suite() -> Option<PathBuf> {
    let cargo_home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
    let cargo_home = cargo_home.or_else(|| Some(PathBuf::from(std::env::var_os("HOME")?).join(".cargo")))?;
    let registries = fs::read_dir(cargo_home.join("registry/src")).ok()?;
    let crates = registries.filter_map(|registry| fs::read_dir(registry.ok()?.path()).ok()).flatten();
    crates
        .filter_map(|folder| Some(folder.ok()?.path()))
        .filter(|folder| folder.file_name().is_some_and(|name| name.to_string_lossy().starts_with("kdl-6.")))
        .map(|folder| folder.join("tests/test_cases"))
        .find(|suite| suite.is_dir())
}
