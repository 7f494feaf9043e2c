//! The reference page is current, and every example in it is accepted.

mod common;

use std::path::Path;

use ft_compile::codes;
use ft_compile::words::{WORDS, reference, sample};
use ft_diag::{Problem, Severity};

const LANGUAGES: &str = "\"en\" \"es\"";

fn errors(text: &str) -> Vec<Problem> {
    let (_, problems) = ft_compile::read(text);
    problems.into_iter().filter(|problem| problem.severity == Severity::Error).collect()
}

#[test]
fn the_page_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/language.md");
    let now = reference();
    if std::env::var_os("FULLTRAY_BLESS").is_some() {
        std::fs::write(&path, &now).expect("the page can be written");
    }
    let page = std::fs::read_to_string(&path).expect("the page is there");
    assert!(
        page == now,
        "docs/language.md is old: `FULLTRAY_BLESS=1 cargo test -p ft-compile --test language`"
    );
}

#[test]
fn every_word_is_on_the_page_once_for_each_of_its_meanings() {
    let page = reference();
    for word in WORDS {
        let entries = page.matches(&format!("\n#### `{}`\n", word.name)).count();
        let meanings = WORDS.iter().filter(|other| other.name == word.name).count();
        assert_eq!(entries, meanings, "`{}`", word.name);
        assert!(page.contains(word.example), "the example of `{}`", word.name);
    }
}

#[test]
fn every_example_is_accepted_wherever_the_word_may_stand() {
    let mut refused = Vec::new();
    for word in WORDS {
        for home in word.inside {
            let text = common::wrap(home, word.example, LANGUAGES);
            let errors = errors(&text);
            if !errors.is_empty() {
                refused.push(format!("`{}` in `{home}`:{}", word.name, common::told(&errors)));
            }
        }
    }
    assert!(refused.is_empty(), "{}", refused.join("\n"));
}

/// Codes of what the table forbids, as against what a name or a side forbids.
const OF_THE_TABLE: [&str; 12] = [
    codes::UNKNOWN_WORD,
    codes::UNKNOWN_PROPERTY,
    codes::MISSING_PROPERTY,
    codes::WRONG_VALUE,
    codes::BAD_QUANTITY,
    codes::ARGUMENTS,
    codes::UNKNOWN_FLAG,
    codes::UNKNOWN_LANGUAGE,
    codes::NOT_ONE_OF,
    codes::CLOCK,
    codes::OUT_OF_RANGE,
    codes::LIMITS,
];

#[test]
fn every_property_and_flag_is_accepted_as_the_page_shows_it() {
    let mut refused = Vec::new();
    for word in WORDS {
        let properties = word.properties.iter().map(|property| (property.name, sample(word, property)));
        let flags = word.flags.iter().map(|(flag, _)| (*flag, (*flag).to_owned()));
        for (name, shown) in properties.chain(flags) {
            let example = with(word.example, name, &shown);
            for home in word.inside {
                let errors: Vec<Problem> = errors(&common::wrap(home, &example, LANGUAGES))
                    .into_iter()
                    .filter(|error| OF_THE_TABLE.contains(&error.code))
                    .collect();
                if !errors.is_empty() {
                    refused.push(format!("{example}:{}", common::told(&errors)));
                }
            }
        }
    }
    assert!(refused.is_empty(), "{}", refused.join("\n"));
}

/// An example with one more property or flag on its first line, unless it has it.
fn with(example: &str, name: &str, shown: &str) -> String {
    let (head, rest) = match example.find(" {") {
        Some(at) => example.split_at(at),
        None => (example, ""),
    };
    let has = head.contains(&format!(" {name}=")) || head.split(' ').any(|piece| piece == name);
    if has { example.to_owned() } else { format!("{head} {shown}{rest}") }
}
