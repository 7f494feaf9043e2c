//! What there is to say of a code or of a built-in hazard.

mod site;
mod tables;

use ft_compile::lower::hazards::{BUILT_IN, BuiltIn};
use ft_syntax::CodePage;
use serde::Serialize;

/// Codes of problems that have no place in a text. They are the program's own. F0072 is not in use.
pub const PROGRAM: &[CodePage] = &[
    CodePage {
        code: "F0070",
        title: "a core form that does not make sense",
        why: "A core form file is JSON in the format of `docs/core-form.md`. It has no places to point at, so each problem \
              is told in a sentence: a key that the format does not have, an index that points at nothing, a value \
              outside its variable's range. Keys of your own begin with `x-`.",
        wrong: r#"{"name":"tap","people":1,"vars":[],"events":[],"hazards":[],"goal":[[0,1]]}"#,
        right: r#"{"name":"tap","people":1,"vars":[],"events":[],"hazards":[],"goal":[]}"#,
    },
    CodePage {
        code: "F0071",
        title: "a choice that the file does not have",
        why: "`--procedure` names a procedure of the file and `--with` an option of its machine, exactly as they are \
              written there. The message lists what there is. A file without any procedure has nothing to check.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0073",
        title: "a file that cannot be read or written",
        why: "The file does not exist, is a folder, may not be read, or is larger than 64 MiB. Nothing was written. \
              `-` in place of a file name is standard input.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0074",
        title: "a certificate for several variants",
        why: "Every combination of a machine's options is proved by itself, and a certificate is the proof of one. \
              Choose it with `--plain` (no option fitted) or `--with OPTION`, and where steps come by calendar with \
              `--due` or `--not-due`.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0075",
        title: "a plan that broke a rule",
        why: "Every plan is judged by a referee that shares no code with the planner, and one that breaks a rule is not \
              shown. That is an error of the program: please report it with the kitchen file.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0076",
        title: "an order that cannot be written into the file",
        why: "`fulltray repair --write` adds an `after` to a step of a machine file. What it would have to add has no such \
              place, in a core form file for instance. Add the order by hand, with its reason.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0077",
        title: "a code that nothing has",
        why: "Codes of problems are `E`, `F`, `R`, `S` or `W` and four digits, built-in hazards `H` and a number. \
              `fulltray explain` without a code lists them all.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0078",
        title: "a file that is there already",
        why: "`fulltray new` never writes over a file. Give another name, or move the old file away first.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0079",
        title: "a document that cannot be made",
        why: "`fulltray print packet` and `print labels` read JSON of a form that `docs/paper.md` describes, and refuse a \
              key that it does not have. A label that is too small for its words, a code that is too long for it and a \
              picture that is not one of ours are refused as well: nothing was written.",
        wrong: r#"{"language":"en","labels":[{"produkt":"mix"}]}"#,
        right: r#"{"language":"en","labels":[{"product":"mix","lot":"V-0311","discard_by":"14 Mar 06:00"}]}"#,
    },
    CodePage {
        code: "F0080",
        title: "a temperature log that cannot be read",
        why: "A log is a table with one reading in each line, sorted by time, with a line of column names. \
              `--time` and `--temperature` name the columns. `docs/growth.md` shows one.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0081",
        title: "a gap that makes no sense",
        why: "`--gap` is how many minutes readings may be apart before nothing is known of the time between. \
              It is a number above 0.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0082",
        title: "a file of organisms that cannot be read",
        why: "The form of such a file, with its units and sources, is described in `docs/growth.md`.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0083",
        title: "a count that cannot be read",
        why: "A count at the start is an organism and its log10 per mL, such as `listeria=1.5`. \
              The message lists the organisms that there are.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0084",
        title: "a killing step that cannot be reckoned",
        why: "A step is a strength and a time with an x between, such as `50x30`, and each law needs its own figures from \
              the study that fitted it. `docs/growth.md` tells which.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0085",
        title: "no record is named",
        why: "`release`, `lots`, `practice` and `wear` read what happened from a record: `--store PLACE`, where the place is a path, \
              `sqlite:PATH`, `postgres://…` or a `.jsonl` file of events.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0086",
        title: "a record that cannot be opened",
        why: "The place is wrong, the disk is full or may only be read, or another program holds it. The message says which.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0087",
        title: "a moment or a time zone that cannot be read",
        why: "A moment has its offset, such as `2026-06-01T07:30Z`; a zone has its name in the time zone database, such as \
              `Europe/Madrid`.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0088",
        title: "a lot that the record does not know",
        why: "Lots are named as they were received, or as the vessel that they were kept from. `fulltray lots` lists them.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0092",
        title: "a terminal that cannot be used",
        why: "`fulltray run` could not read keys or lines, or not show a page. `--plain` needs nothing but lines. What was \
              acknowledged is in the record: the same command goes on with the night.",
        wrong: "",
        right: "",
    },
    CodePage {
        code: "F0089",
        title: "a setting of the site that cannot be read",
        why: "Settings of `fulltray serve` come from its flags, from the environment and from the file that `--config` names, \
              one a line, such as `listen \"0.0.0.0:8443\"`. The message lists what can be set, or how this one is written.",
        wrong: "session-minutes \"all day\"",
        right: "session-minutes 60",
    },
];

/// What is explained: a code's page or a hazard.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Page {
    /// Such as `F0030` or `H8`.
    pub code: &'static str,
    /// `problem`, `hazard` or `need`.
    pub kind: &'static str,
    /// A few words, no full stop.
    pub title: &'static str,
    /// Why it matters, and what to do.
    pub why: &'static str,
    /// A text that has the problem; left out where none fits on a page.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub wrong: &'static str,
    /// The same put right.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub right: &'static str,
}

/// Every page: problems of syntax, of meaning, of the program, of rules and tables, of the running site and its record,
/// then hazards.
pub fn pages() -> impl Iterator<Item = Page> {
    let codes = ft_syntax::CODES.iter().chain(ft_compile::codes::PAGES).chain(PROGRAM);
    let rules = ft_rules::CODES.iter().map(of_rule);
    codes
        .map(of_code)
        .chain(rules)
        .chain(tables::TABLES.iter().map(of_code))
        .chain([site::SITE, site::EVENTS, site::STORE].into_iter().flatten().map(of_code))
        .chain(BUILT_IN.iter().map(of_hazard))
}

/// The page of a code, capitals or not.
///
/// # Errors
/// The nearest code that there is, if one is near.
pub fn page(code: &str) -> Result<Page, Option<&'static str>> {
    let wanted = code.trim().to_uppercase();
    pages().find(|page| page.code == wanted).ok_or_else(|| near(&wanted))
}

/// The nearest code of the same letter, by number; then the nearest by letters.
fn near(wanted: &str) -> Option<&'static str> {
    let number = |code: &str| code.get(1..).and_then(|digits| digits.parse::<u32>().ok());
    let letter = wanted.chars().next()?;
    let digits: String = wanted.chars().filter(char::is_ascii_digit).collect();
    let asked: Option<u32> = digits.parse().ok();
    let same = pages().map(|page| page.code).filter(|code| code.starts_with(letter));
    match asked {
        Some(asked) => same.min_by_key(|code| number(code).map_or(u32::MAX, |known| known.abs_diff(asked))),
        None => None,
    }
}

fn of_code(page: &CodePage) -> Page {
    let CodePage { code, title, why, wrong, right } = *page;
    Page { code, kind: "problem", title, why, wrong, right }
}

fn of_rule(code: &ft_rules::Code) -> Page {
    let ft_rules::Code { code, title, why } = *code;
    Page { code, kind: "problem", title, why, wrong: "", right: "" }
}

fn of_hazard(hazard: &BuiltIn) -> Page {
    let kind = if hazard.need { "need" } else { "hazard" };
    Page { code: hazard.number, kind, title: hazard.title[0], why: hazard.why, wrong: "", right: "" }
}

#[cfg(test)]
mod tests {
    use std::collections::{BTreeMap, BTreeSet};
    use std::path::{Path, PathBuf};

    use super::{PROGRAM, page, pages};
    use crate::{Choice, Source, Trouble, prepare};

    #[test]
    fn each_code_has_one_page() {
        let codes: Vec<&str> = pages().map(|page| page.code).collect();
        assert_eq!(codes.iter().collect::<BTreeSet<_>>().len(), codes.len());
        assert!(pages().all(|page| !page.title.is_empty() && !page.why.is_empty()));
        assert_eq!(page("h8").map(|page| page.kind), Ok("hazard"));
        assert_eq!(page("H2").map(|page| page.kind), Ok("need"));
    }

    /// Every code in the sources has a page, and every page's code is said somewhere in them.
    #[test]
    fn no_code_is_without_a_page() {
        let mut said: BTreeMap<String, PathBuf> = BTreeMap::new();
        let mut open = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("..")];
        while let Some(path) = open.pop() {
            if path.is_dir() {
                // Pages, and what tests ask for, do not count.
                let is_source = |path: &PathBuf| {
                    ["tests", "benches", "ft-app/src/explain", "ft-app/src/explain.rs"]
                        .iter()
                        .all(|end| !path.ends_with(end))
                };
                let entries = std::fs::read_dir(&path).expect("the sources are there");
                open.extend(entries.map(|entry| entry.expect("they can be listed").path()).filter(is_source));
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = std::fs::read_to_string(&path).expect("sources are text");
                let text = text.split("#[cfg(test)]").next().unwrap_or_default();
                said.extend(
                    text.split('"').filter(|word| is_code(word)).map(|code| (code.to_owned(), path.clone())),
                );
            }
        }
        for (code, path) in &said {
            assert!(page(code).is_ok(), "{code} in {} has no page", path.display());
        }
        let is_hazard = |page: &super::Page| page.kind != "problem";
        for page in pages().filter(|page| !is_hazard(page)) {
            assert!(said.contains_key(page.code) || is_said_here(page.code), "{} is said nowhere", page.code);
        }
    }

    /// A letter and four digits, the first of them 0.
    fn is_code(word: &str) -> bool {
        word.len() == 5
            && word.starts_with(['E', 'F', 'R', 'S', 'W'])
            && word[1..].starts_with('0')
            && word[1..].bytes().all(|digit| digit.is_ascii_digit())
    }

    /// Whether the code's page and its first mention stand in the same table.
    fn is_said_here(code: &str) -> bool {
        ft_syntax::CODES.iter().chain(ft_compile::codes::PAGES).any(|page| page.code == code)
    }

    #[test]
    fn offers_the_nearest_code() {
        assert_eq!(page("F30"), Err(Some("F0030")));
        assert_eq!(page("F0072"), Err(Some("F0071")));
        assert_eq!(page("H99"), Err(Some("H14")));
        assert_eq!(page("hello"), Err(None));
        assert_eq!(page(""), Err(None));
    }

    #[test]
    fn the_core_form_example_is_true() {
        let of = |text: &str| {
            let source = Source { name: "tap.json".into(), text: text.into() };
            prepare(&source, &Choice::default())
        };
        let page = PROGRAM.iter().find(|page| page.code == "F0070").expect("it is listed");
        assert!(matches!(of(page.wrong), Err(Trouble::Form(_))));
        assert!(of(page.right).is_ok());
    }
}
