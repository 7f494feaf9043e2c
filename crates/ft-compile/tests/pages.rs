//! Each code has a page, and the examples on the page are true.

mod common;

use ft_compile::codes::{PAGES, VERSION};
use ft_diag::{Problem, Severity};

/// The file that an example stands for.
fn file(code: &str, example: &str) -> String {
    let first = example.split(' ').next().unwrap_or_default();
    match first {
        "machine" | "kitchen" | "fulltray" if code == VERSION => example.to_owned(),
        "fulltray" | "machine" | "kitchen" | "procedure" => common::wrap("file", example, "\"en\""),
        "step" => common::wrap("procedure", example, "\"en\""),
        // A machine's own things, and then steps that use them.
        _ => match example.find("\nstep ") {
            None => common::wrap("machine", example, "\"en\""),
            Some(at) => {
                let machine = common::wrap("machine", &example[..at], "\"en\"");
                format!("{machine}procedure \"weekly\" {{{}\n}}\n", &example[at..])
            }
        },
    }
}

/// Every problem of a file, those that only show when its procedures are compiled among them.
fn problems(text: &str) -> Vec<Problem> {
    let (file, mut problems) = ft_compile::read(text);
    if !ft_compile::has_errors(&problems) {
        for procedure in 0..file.procedures.len() {
            for variant in ft_compile::variants(&file, procedure) {
                match ft_compile::compile(&file, procedure, &variant, 2) {
                    Ok(lowered) => problems.extend(lowered.warnings),
                    Err(errors) => problems.extend(errors),
                }
            }
        }
        ft_diag::sort(&mut problems);
    }
    problems
}

#[test]
fn wrong_examples_are_wrong_and_right_ones_right() {
    let mut untrue = Vec::new();
    for page in PAGES {
        let wrong = problems(&file(page.code, page.wrong));
        let right = problems(&file(page.code, page.right));
        let others = wrong.iter().any(|p| p.code != page.code);
        if wrong.is_empty() || others {
            untrue.push(format!("wrong example of {}: {}", page.code, common::told(&wrong)));
        }
        if right.iter().any(|p| p.severity == Severity::Error || p.code == page.code) {
            untrue.push(format!("right example of {}: {}", page.code, common::told(&right)));
        }
    }
    assert!(untrue.is_empty(), "{}", untrue.join("\n"));
}

#[test]
fn pages_are_in_order_and_within_the_range_of_this_crate() {
    assert!(PAGES.windows(2).all(|pair| pair[0].code < pair[1].code));
    assert!(PAGES.iter().all(|page| "F0030" <= page.code && page.code <= "F0069"));
}

/// Every code in the list of codes has a page, and no page is of a code that is gone.
#[test]
fn no_code_is_without_a_page() {
    let source = include_str!("../src/codes.rs");
    // F0027, that there are more problems than are told, is explained with the codes of syntax.
    let codes: Vec<&str> =
        source.split("\"F0").skip(1).filter_map(|rest| rest.get(..3)).filter(|code| *code != "027").collect();
    let pages: Vec<&str> = PAGES.iter().map(|page| &page.code[2..]).collect();
    assert_eq!(codes, pages);
}
