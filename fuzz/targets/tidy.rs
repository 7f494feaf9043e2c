//! Any text without problems: formatting it twice is formatting it once, and changes no meaning.
#![no_main]

use ft_syntax::{Document, Position, decode, insert_child, parse, tidy};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = decode(bytes) else { return };
    let Ok(once) = tidy(text) else { return };
    let document = parse(text).document;
    let printed = document.to_string();
    assert_eq!(tidy(&once).as_deref(), Ok(once.as_str()), "formatting twice is formatting once");
    assert_eq!(parse(&once).document.to_string(), printed, "formatting changes no meaning");
    assert_eq!(tidy(&printed).as_deref(), Ok(printed.as_str()), "a printed tree is tidy");
    insert_everywhere(text, &document);
});

/// A child put into the first node can be read there.
fn insert_everywhere(text: &str, document: &Document) {
    let Some(node) = document.nodes.first() else { return };
    let count = node.children().len();
    for (position, index) in [(Position::First, 0), (Position::Before(1), count.min(1)), (Position::Last, count)] {
        let longer = parse(&insert_child(text, node, position, "after \"x\""));
        assert_eq!(longer.problems, [], "the longer text is good");
        let children = longer.document.nodes[0].children();
        assert_eq!(children.len(), count + 1, "there is one more child");
        assert_eq!(children[index].name.text, "after", "it is where it was wanted");
    }
}
