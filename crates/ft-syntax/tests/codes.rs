//! Each code has a page, and the examples on the page are true.

use ft_syntax::{CODES, decode, parse};

/// Codes whose example does not fit on a page; each is shown by a test of its own below.
const WITHOUT_EXAMPLE: [&str; 3] = ["F0001", "F0027", "F0028"];

fn codes_of(text: &str) -> Vec<&'static str> {
    parse(text).problems.iter().map(|problem| problem.code).collect()
}

#[test]
fn wrong_examples_are_wrong_and_right_ones_right() {
    for page in CODES {
        if WITHOUT_EXAMPLE.contains(&page.code) {
            assert!(page.wrong.is_empty() && page.right.is_empty(), "{} needs no exception", page.code);
            continue;
        }
        assert_eq!(codes_of(page.wrong), [page.code], "wrong example of {}", page.code);
        assert_eq!(codes_of(page.right), [""; 0], "right example of {}", page.code);
    }
}

#[test]
fn pages_are_in_order_and_within_the_range_of_this_crate() {
    assert!(CODES.windows(2).all(|pair| pair[0].code < pair[1].code));
    assert!(CODES.iter().all(|page| "F0001" <= page.code && page.code <= "F0029"));
}

/// Every code in the sources has a page.
#[test]
fn no_code_is_without_a_page() {
    let sources = concat!(env!("CARGO_MANIFEST_DIR"), "/src");
    let mut folders = vec![std::path::PathBuf::from(sources)];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("the sources are there") {
            let path = entry.expect("the sources can be listed").path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let text = std::fs::read_to_string(&path).expect("sources are text");
            for code in text.split("\"F0").skip(1).filter_map(|rest| rest.get(..3)) {
                let code = format!("F0{code}");
                assert!(
                    CODES.iter().any(|page| page.code == code),
                    "{code} in {} has no page",
                    path.display()
                );
            }
        }
    }
}

#[test]
fn bytes_that_are_no_utf8_are_shown_in_their_line() {
    let bad = decode(b"sides \"left\"\nsay \"caf\xE9\"\n").expect_err("E9 stands alone");
    assert_eq!(bad.problem.code, "F0001");
    assert_eq!(bad.problem.message, "the byte 0xE9 at offset 21 of this file is no UTF-8");
    assert_eq!(&bad.shown[bad.problem.span.clone()], "\u{FFFD}");
    assert!(bad.problem.remedy.as_deref().is_some_and(|remedy| remedy.contains("`é`")));
    assert_eq!(decode(b"\xFF\xFEs\0a\0").expect_err("UTF-16").problem.message, "this file is UTF-16");
    assert_eq!(decode("é".as_bytes()).expect("good"), "é");
}

#[test]
fn many_problems_are_counted_and_huge_files_are_refused() {
    let problems = parse(&"} ".repeat(250)).problems;
    assert_eq!(problems.len(), 101);
    let last = problems.last().expect("there are 101");
    assert_eq!((last.code, last.message.as_str()), ("F0027", "there are 150 more problems after these 100"));
    assert_eq!(codes_of(&"a\n".repeat(600_000)), ["F0028"]);
}
