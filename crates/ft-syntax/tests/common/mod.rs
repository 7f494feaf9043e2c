//! What the generated tests share: documents of every shape, and trees without places.
#![allow(dead_code, missing_docs, reason = "each test uses some of it, and nobody else does")]
#![allow(clippy::format_collect, reason = "short texts")]

use std::fmt::Write as _;

use ft_syntax::{Document, Entry, Node, Value};
use proptest::collection::vec;
use proptest::prelude::*;

/// A tree in one line for each node, without places: two texts mean the same if these are equal.
///
/// Numbers are shown as doubles, so that other readers can be compared.
pub fn meaning(document: &Document) -> String {
    let mut out = String::new();
    document.nodes.iter().for_each(|node| describe(node, 0, &mut out));
    out
}

fn describe(node: &Node, level: usize, out: &mut String) {
    let kind =
        |kind: Option<&ft_syntax::Text>| kind.map(|kind| format!("({:?})", kind.text)).unwrap_or_default();
    let _ = write!(out, "{:1$}{2}{3:?}", "", level, kind(node.annotation.as_ref()), node.name.text); // cannot fail
    let entry = |entry: &Entry| format!("{}{}", kind(entry.annotation.as_ref()), value(&entry.value));
    for argument in &node.arguments {
        let _ = write!(out, " {}", entry(argument)); // cannot fail
    }
    for property in &node.properties {
        let _ = write!(out, " {:?}={}", property.name.text, entry(&property.value)); // cannot fail
    }
    out.push_str(if node.children.is_some() { " {}\n" } else { "\n" });
    node.children().iter().for_each(|child| describe(child, level + 1, out));
}

fn value(value: &Value) -> String {
    match value {
        Value::String(text) => format!("{text:?}"),
        Value::Number(number) => format!("{:e}", number.value + 0.0), // -0 as 0
        Value::Bool(yes) => format!("#{yes}"),
        Value::Null => "#null".to_owned(),
    }
}

/// A good document in every style of writing that KDL 2 allows.
pub fn document() -> impl Strategy<Value = String> {
    (prop_oneof![Just(""), Just("\u{FEFF}")], nodes()).prop_map(|(mark, nodes)| format!("{mark}{nodes}"))
}

fn nodes() -> BoxedStrategy<String> {
    let leaf = Just(String::new()).boxed();
    leaf.prop_recursive(4, 24, 4, |inner| {
        vec((line_space(), node(inner)), 0..4)
            .prop_map(|nodes| nodes.into_iter().map(|(space, node)| space + &node).collect::<String>())
    })
    .boxed()
}

fn node(children: BoxedStrategy<String>) -> BoxedStrategy<String> {
    let block =
        (line_space(), children, line_space()).prop_map(|(a, nodes, b)| format!("{{{a}{nodes}{b}}}")).boxed();
    let left_out =
        (space(), "/-[ \n]?", block.clone()).prop_map(|(space, sign, block)| space + &sign + &block).boxed();
    let tail = (
        prop::option::weighted(0.1, left_out.clone()),
        prop::option::weighted(0.5, (space(), block).prop_map(|(space, block)| space + &block)),
        prop::option::weighted(0.1, left_out),
    )
        .prop_map(|(a, b, c)| [a, b, c].into_iter().flatten().collect::<String>());
    (
        prop_oneof![8 => Just(""), 1 => Just("/-"), 1 => Just("/- // why\n\n")],
        annotation(),
        name(),
        vec((space(), entry()), 0..5),
        tail,
        prop_oneof![Just("\n"), Just(";"), Just(" // a { \"\n"), Just("\n\n\n"), Just("\r\n")],
    )
        .prop_map(|(sign, annotation, name, entries, tail, end)| {
            // The reference reader refuses `/-a;`, which the grammar allows; `tests/cases.rs` has it.
            let end = if sign.starts_with("/-") && end == ";" { "\n" } else { end };
            let mut text = format!("{sign}{annotation}{name}");
            for (index, (space, entry)) in entries.into_iter().enumerate() {
                // Numbered, so that no property is said twice.
                text.push_str(&space);
                text.push_str(&entry.replace('%', &index.to_string()));
            }
            text + &tail + end
        })
        .boxed()
}

fn entry() -> impl Strategy<Value = String> {
    let around = || prop_oneof![6 => Just(String::new()), 1 => space()];
    let property = (around(), around(), annotated()).prop_map(|(a, b, value)| format!("p%{a}={b}{value}"));
    let quoted = annotated().prop_map(|value| format!("\"q %\"={value}"));
    (
        prop_oneof![8 => Just(""), 1 => Just("/-"), 1 => Just("/- // c\n ")],
        prop_oneof![4 => annotated().boxed(), 4 => property.boxed(), 1 => quoted.boxed()],
    )
        .prop_map(|(sign, entry)| format!("{sign}{entry}"))
}

fn annotated() -> impl Strategy<Value = String> {
    (annotation(), value_text()).prop_map(|(annotation, value)| annotation + &value)
}

fn annotation() -> impl Strategy<Value = String> {
    prop_oneof![9 => Just(String::new()), 1 => name().prop_map(|name| format!("({name})"))]
}

fn name() -> impl Strategy<Value = String> {
    prop_oneof![4 => word().boxed(), 1 => text().boxed()]
}

fn word() -> impl Strategy<Value = String> {
    "[a-eé洗_<>.,!-][a-e0-9é'!,.-]{0,5}"
        .prop_filter("a word of its own", |word| ft_syntax::is_plain_word(word))
}

fn value_text() -> impl Strategy<Value = String> {
    prop_oneof![
        2 => word().boxed(),
        4 => text().boxed(),
        1 => "[-+]?[0-9][0-9_]{0,5}(\\.[0-9][0-9_]{0,4})?([eE][-+]?[0-9]{1,2})?".boxed(),
        1 => "[-+]?(0x[0-9a-fA-F][0-9a-fA-F_]{0,5}|0o[0-7][0-7_]{0,5}|0b[01][01_]{0,5})".boxed(),
        1 => "#(true|false|null|inf|-inf|nan)".boxed(),
    ]
}

/// A text in quotes, in each of the four ways.
fn text() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        4 => "([a-c é{};='“#]{1,4}|a/b)".boxed(),
        1 => "\\\\[nrtbfs\\\\\"]".boxed(),
        1 => "\\\\u\\{(e9|1F600|0|000041)\\}".boxed(),
        1 => "\\\\[ \n\t]{1,3}".boxed(),
    ];
    let raw_piece = "[a-c é\\\\{};='“]{0,6}|a/b";
    let line = prop_oneof![
        4 => "[a-c é{};=]{0,5}(\\\\n|\\\\s|\\\\\\\\|\\\\\")?[a-c\"]?[a-c]".boxed(),
        1 => "[ \t]{0,3}".boxed(),
    ];
    prop_oneof![
        3 => vec(piece, 0..4).prop_map(|pieces| format!("\"{}\"", pieces.concat())).boxed(),
        1 => raw_piece.prop_map(|text| format!("#\"{text}\"#")).boxed(),
        1 => (raw_piece, raw_piece).prop_map(|(a, b)| format!("##\"a{a}\"#{b}\"##")).boxed(),
        1 => ("[ \t]{0,3}", vec(line, 0..4), "(\n|\r\n)").prop_map(|(margin, lines, end)| {
            let lines: String = lines.iter().map(|line| format!("{margin}{line}{end}")).collect();
            format!("\"\"\"{end}{lines}{margin}\"\"\"")
        }).boxed(),
        1 => ("[ \t]{0,3}", vec(raw_piece, 0..4)).prop_map(|(margin, lines)| {
            let lines: String = lines.iter().map(|line| format!("{margin}{line}\n")).collect();
            format!("#\"\"\"\n{lines}{margin}\"\"\"#")
        }).boxed(),
    ]
}

/// Space within a node, never none.
fn space() -> impl Strategy<Value = String> {
    prop_oneof![
        8 => Just(" ".to_owned()),
        1 => "[ \t\u{A0}]{1,4}".boxed(),
        1 => Just(" /* { /* in */ \n } */ ".to_owned()),
        1 => Just(" \\\n".to_owned()),
        1 => Just(" \\ // on \" {\n  ".to_owned()),
        1 => Just(" \\ /* a */ // on\n  \\\n /* b */ ".to_owned()),
    ]
}

/// Space between nodes, perhaps none.
fn line_space() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        3 => "[ \t\r\n]{1,3}".boxed(),
        1 => Just("// a line } \"\n".to_owned()).boxed(),
        1 => Just("/* a\n  block */".to_owned()).boxed(),
    ];
    prop_oneof![3 => Just(String::new()).boxed(), 2 => vec(piece, 0..4).prop_map(|pieces| pieces.concat()).boxed()]
}

/// All comments of a good text, in order.
pub fn comments(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut rest = text;
    // Comment signs within quotes are avoided by the generators above, but for `//` after a space.
    while let Some(at) = rest.find(['/']) {
        rest = &rest[at..];
        let length = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |end| end + 2)
        } else {
            rest = &rest[1..];
            continue;
        };
        found.push(rest[..length].trim_end().to_owned());
        rest = &rest[length..];
    }
    found
}
