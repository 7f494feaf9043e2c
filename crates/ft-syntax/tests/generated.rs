//! What must hold of every text, tried on generated ones.

mod common;

use common::{comments, document, meaning};
use ft_syntax::{Position, insert_child, parse, tidy};
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// What KDL 2 allows has no problem here.
    #[test]
    fn good_documents_have_no_problems(text in document()) {
        prop_assert_eq!(parse(&text).problems, []);
    }

    /// Formatting changes nothing but the form, and twice gives the same as once.
    #[test]
    fn tidy_keeps_the_meaning_and_every_comment(text in document()) {
        let once = tidy(&text).expect("a good document");
        prop_assert_eq!(tidy(&once), Ok(once.clone()));
        prop_assert_eq!(meaning(&parse(&once).document), meaning(&parse(&text).document));
        prop_assert_eq!(comments(&once), comments(&text));
        let is_clean = !once.starts_with('\u{FEFF}');
        prop_assert!(is_clean);
    }

    /// A printed tree reads as the same tree, and is tidy.
    #[test]
    fn printing_and_reading_gives_the_same_tree(text in document()) {
        let document = parse(&text).document;
        let printed = document.to_string();
        prop_assert_eq!(meaning(&parse(&printed).document), meaning(&document));
        prop_assert_eq!(tidy(&printed), Ok(printed.clone()));
    }

    /// A child is added where it was asked for; all else keeps its meaning and its comments.
    #[test]
    fn inserting_a_child_changes_nothing_else(text in document(), which in 0_usize..3) {
        let before = parse(&text).document;
        let Some(node) = before.nodes.first() else { return Ok(()) };
        let position = [Position::First, Position::Last, Position::Before(1)][which];
        let after_text = insert_child(&text, node, position, "after \"x\" because=\"y\"");
        let parsed = parse(&after_text);
        prop_assert_eq!(parsed.problems, [], "{}", after_text);
        let mut after = parsed.document;
        let children = after.nodes[0].children.as_mut().expect("it has one");
        let expected = match position {
            Position::First => 0,
            Position::Before(index) => index.min(node.children().len()),
            Position::Last => node.children().len(),
        };
        let new = children.remove(expected);
        prop_assert_eq!(new.name.text, "after");
        if node.children.is_none() {
            after.nodes[0].children = None;
        }
        prop_assert_eq!(meaning(&after), meaning(&before));
        prop_assert_eq!(comments(&after_text), comments(&text));
    }

    /// Any text at all is read, and all places lie in it, on character boundaries.
    #[test]
    fn any_text_is_read(text in "\\PC*|[ -~\n\t\"#{}/\\\\=;()\u{0}é“]*") {
        let parsed = parse(&text);
        for problem in &parsed.problems {
            prop_assert!(text.get(problem.span.clone()).is_some(), "{:?}", problem);
            prop_assert!(problem.also.iter().all(|(span, _)| text.get(span.clone()).is_some()));
            prop_assert!(!problem.message.is_empty() && !problem.message.ends_with('.'));
            prop_assert!(problem.remedy.is_some());
        }
        prop_assert_eq!(tidy(&text).is_ok(), parsed.problems.is_empty());
    }

    /// Good documents with a piece taken out or put in: read without panic, and either good or not tidied.
    #[test]
    fn spoiled_documents_are_read(text in document(), at in any::<prop::sample::Index>(), piece in "[\"#{}/\\\\=;()\n*-]{0,2}", cut in 0_usize..3) {
        let boundaries: Vec<usize> = text.char_indices().map(|(at, _)| at).chain([text.len()]).collect();
        let from = at.index(boundaries.len());
        let to = (from + cut).min(boundaries.len() - 1);
        let spoiled = format!("{}{piece}{}", &text[..boundaries[from]], &text[boundaries[to]..]);
        let parsed = parse(&spoiled);
        if let Ok(once) = tidy(&spoiled) {
            prop_assert_eq!(tidy(&once), Ok(once.clone()));
            prop_assert_eq!(meaning(&parse(&once).document), meaning(&parsed.document));
        }
    }

    /// Any bytes are a text or are shown as what they are.
    #[test]
    fn any_bytes_are_decoded_or_explained(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        match ft_syntax::decode(&bytes) {
            Ok(text) => { parse(text); }
            Err(bad) => prop_assert!(bad.shown.get(bad.problem.span.clone()).is_some()),
        }
    }
}
