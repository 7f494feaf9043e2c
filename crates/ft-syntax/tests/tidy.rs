//! The form that `tidy` gives, by example, and what reading must do with pieces of a real file.

use ft_syntax::{Document, Position, Value, decode, insert_child, parse, tidy};

const SAMPLE: &str = include_str!("sample.machine.kdl");

#[track_caller]
fn check(text: &str, expected: &str) {
    let once = tidy(text).expect("the text is good");
    assert_eq!(once, expected);
    assert_eq!(tidy(&once).as_deref(), Ok(expected), "twice is once");
}

#[test]
fn a_tidy_file_stays_as_it_is() {
    check(SAMPLE, SAMPLE);
}

#[test]
fn one_node_a_line_with_four_spaces_a_level() {
    check("a;b{c;d{e}}", "a\nb {\n    c\n    d { e }\n}\n");
    check("\u{FEFF}a  {\r\n\tb\t1   x = 2\r\n}", "a {\n    b 1 x=2\n}\n");
    check("a {}\nb {\n\n}", "a {}\nb {}\n");
    check(" \n\n", "");
}

/// A trainer who writes one short child beside its parent means it so; two are told apart by their lines.
#[test]
fn a_single_child_may_stay_on_the_line_of_its_parent() {
    check("a {b es \"c\"  ;}", "a { b es \"c\" }\n");
    check("a{b 1}; c", "a { b 1 }\nc\n");
    check("a{b;c}", "a {\n    b\n    c\n}\n");
    check("a {\nb }", "a {\n    b\n}\n");
    check("a { b /* c */ }", "a {\n    b /* c */\n}\n");
    check("a { b { c } }", "a {\n    b { c }\n}\n");
}

/// Flags and texts are told apart by their quotes, so arguments keep theirs.
#[test]
fn quotes_are_the_same_everywhere_but_for_arguments() {
    check("\"step\" \"Flush\" kit \"at\"=front", "step \"Flush\" kit at=\"front\"\n");
    check(
        "a #\"plain\"# #\"c:\\x\"# b=#true c=1_000 \"d e\"=\"f\"",
        "a \"plain\" #\"c:\\x\"# b=#true c=1_000 \"d e\"=\"f\"\n",
    );
    check("(\"t\")a (u)\"x\" k=(v)w", "(t)a (u)\"x\" k=(v)\"w\"\n");
}

#[test]
fn comments_stay_where_they_stood() {
    check(
        "a { // b\n//c\nd/*e*/1 // f\n/* g */ h }// i",
        "a { // b\n    //c\n    d /*e*/ 1 // f\n    /* g */ h\n} // i\n",
    );
    check("/-a 1;b /-2 /-c=3 /-{d} {e}", "/- a 1\nb /- 2 /- c=3 /- { d } { e }\n");
    check("a \\ // why\n  b\nc \\\n", "a \\ // why\n    b\nc\n");
}

/// Line ends of any kind become line feeds at once, not one kind after the other.
#[test]
fn odd_line_ends_within_comments_and_texts() {
    check("/* a\r\r\nb\u{2028}*/ c", "/* a\n\nb\n*/ c\n");
    check("a \"b \\\r\r\n c\"", "a \"b \\\n\n c\"\n");
}

#[test]
fn at_most_one_empty_line_and_none_within_braces_edges() {
    check("\n\na\n\n\n\nb {\n\n c\n\n\n d\n\n}\n\n\n", "a\n\nb {\n    c\n\n    d\n}\n");
}

#[test]
fn texts_over_several_lines_move_with_their_node() {
    check(
        "a {\nsay \"\"\"\none\n  two\n\nthree\n\"\"\"\n}",
        "a {\n    say \"\"\"\n        one\n          two\n\n        three\n        \"\"\"\n}\n",
    );
}

#[test]
fn what_has_problems_is_not_formatted() {
    assert_eq!(tidy("a \"").expect_err("a quote is missing")[0].code, "F0003");
}

/// Cut anywhere, a file is read up to there: no panic, and what stood before the cut is in the tree.
#[test]
fn every_piece_of_a_file_is_read() {
    for (at, _) in SAMPLE.char_indices() {
        let (start, end) = SAMPLE.split_at(at);
        parse(end);
        let document = parse(start).document;
        let complete = start.matches("\n    vessel").count().saturating_sub(1);
        assert!(vessels(&document) >= complete.min(2), "cut at {at}");
    }
    for at in 0..SAMPLE.len() {
        let _ = decode(&SAMPLE.as_bytes()[..at]);
    }
}

fn vessels(document: &Document) -> usize {
    let machine = document.nodes.iter().find(|node| node.name.text == "machine");
    machine.map_or(0, |machine| machine.children().iter().filter(|node| node.name.text == "vessel").count())
}

/// Each missing letter gives a tree; each missing quote or brace at least one problem.
#[test]
fn a_file_with_a_letter_missing_is_read() {
    for (at, letter) in SAMPLE.char_indices() {
        let text = format!("{}{}", &SAMPLE[..at], &SAMPLE[at + letter.len_utf8()..]);
        let parsed = parse(&text);
        let is_in_comment = SAMPLE[..at].rfind('\n').is_some_and(|line| SAMPLE[line..at].contains("//"));
        if matches!(letter, '"' | '{' | '}') && !is_in_comment {
            assert!(!parsed.problems.is_empty(), "nothing is said of the missing `{letter}` at {at}");
        }
    }
}

#[test]
fn one_slip_hides_nothing_behind_it() {
    let parsed = parse("a {\n  b \"x\n  c 1x\n}\nd count=2,5\ne \"f\" g=\"h\"\n");
    assert_eq!(
        parsed.problems.iter().map(|problem| problem.code).collect::<Vec<_>>(),
        ["F0003", "F0007", "F0008"]
    );
    let last = parsed.document.nodes.last().expect("it is there");
    assert_eq!(last.name.text, "e");
    assert_eq!(last.property("g").and_then(|entry| entry.as_text()), Some("h"));
}

#[test]
fn values_are_what_they_say() {
    let parsed = parse("n 0x10 -0b11 1_000.5 \"a\\tb\" word #null #false");
    let node = &parsed.document.nodes[0];
    let number = |index: usize| match &node.arguments[index].value {
        Value::Number(number) => (number.value, number.as_integer(), number.raw.as_str()),
        other => panic!("{other:?} is no number"),
    };
    assert_eq!(number(0), (16.0, Some(16), "0x10"));
    assert_eq!(number(1), (-3.0, Some(-3), "-0b11"));
    assert_eq!(number(2), (1000.5, None, "1_000.5"));
    assert_eq!(node.arguments[3].as_text(), Some("a\tb"));
    assert!(node.arguments[4].bare && !node.arguments[3].bare);
    assert_eq!((&node.arguments[5].value, &node.arguments[6].value), (&Value::Null, &Value::Bool(false)));
    assert_eq!(&"n 0x10 -0b11"[node.arguments[1].span.clone()], "-0b11");
}

#[test]
fn a_child_is_inserted_in_the_style_of_its_neighbours() {
    let insert = |text: &str, position| {
        let document = parse(text).document;
        insert_child(text, &document.nodes[0], position, "new")
    };
    assert_eq!(insert("a 1 // c\nb", Position::Last), "a 1 {\n    new\n} // c\nb");
    assert_eq!(insert("a {\n  b // c\n  // d\n}\n", Position::Last), "a {\n  b // c\n  // d\n  new\n}\n");
    assert_eq!(insert("a {\r\n  b\r\n}", Position::First), "a {\r\n  new\r\n  b\r\n}");
    assert_eq!(insert("a { b; c }", Position::Before(1)), "a { b; new; c }");
    assert_eq!(insert("a { b }", Position::Last), "a { b; new }");
    assert_eq!(insert("a {}", Position::Last), "a { new }");
    assert_eq!(insert("a {\n}", Position::First), "a {\n    new\n}");
    assert_eq!(insert("a {\n    b \\\n}", Position::Last), "a {\n    b; new \\\n}");
}
