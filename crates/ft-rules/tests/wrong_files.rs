//! Wrong rule files: what is wrong, where, and what would be right.

use ft_diag::{Colour, Lines, render};
use ft_rules::{CODES, read, read_site, shipped};

/// Reads a body within a good set and compares what is told of it.
#[track_caller]
fn check(body: &str, expected: &[&str]) {
    let text = format!("rules x {{\n place \"p\"\n edition \"e\"\n kind house\n{body}\n}}");
    let told: Vec<String> = read(&text)
        .problems
        .iter()
        .map(|p| {
            format!(
                "{} `{}`: {}; {}",
                p.code,
                &text[p.span.clone()],
                p.message,
                p.remedy.as_deref().unwrap_or("-")
            )
        })
        .collect();
    assert_eq!(told, expected);
}

#[test]
fn misspelt_words_are_offered_the_nearest() {
    check(
        "limit cold-hodl at-most=\"41 °F\" ref=\"1\" sure=read",
        &["R0002 `cold-hodl`: `cold-hodl` is not a subject; did you mean `cold-hold`?"],
    );
    check("dutty rerun", &["R0002 `dutty`: `dutty` is not a word of a rule set; did you mean `duty`?"]);
    check(
        "limit cold-hold at-most=\"41 °F\" ref=\"1\" sure=read { when flavor=plain }",
        &["R0002 `flavor`: `flavor` is not a circumstance; did you mean `flavour`?"],
    );
    check(
        "limit cold-hold at-most=\"41 °F\" ref=\"1\" sure=read { when flavour=plane }",
        &["R0002 `plane`: `plane` is not a word for `flavour`; write one of: plain, bulky"],
    );
}

#[test]
fn amounts_need_the_unit_of_their_kind() {
    check(
        "limit cold-hold at-most=\"41\" ref=\"1\" sure=read",
        &["R0004 `\"41\"`: `41` has no unit; write its unit after it: °C, °F"],
    );
    check(
        "limit cold-hold at-most=\"2 h\" ref=\"1\" sure=read",
        &["R0004 `\"2 h\"`: `h` is not a unit of temperature; write one of: °C, °F"],
    );
    check(
        "limit sanitiser-ceiling at-most=\"-5 ppm\" ref=\"1\" sure=read",
        &["R0004 `\"-5 ppm\"`: `-5 ppm` is below what a strength can be; write at least 0 ppm"],
    );
    check(
        "sanitise chlorine ref=\"1\" sure=read { row ph-most=15 }",
        &["R0004 `15`: this is not a pH; write a number between 0 and 14"],
    );
}

#[test]
fn a_rule_says_where_it_stands_and_how_sure_we_are() {
    check(
        "limit cold-hold at-most=\"41 °F\"",
        &[
            "R0003 `limit`: the rule does not say where it stands in its text; add `ref=\"…\"`",
            "R0003 `limit`: the rule does not say how sure we are of it; add `sure=read`, `sure=adoption` or `sure=memory`",
        ],
    );
}

#[test]
fn limits_have_a_direction() {
    check(
        "limit cold-hold at-least=\"41 °F\" ref=\"1\" sure=read",
        &[
            "R0007 `\"41 °F\"`: the temperature of cold food is limited the other way round; write `at-most=…`",
        ],
    );
}

#[test]
fn plans_hold_together() {
    let remedy =
        "write `at-most`, or `at-most exceed of`, or `n c m M` with c ≤ n and m ≤ M, or `n absent-grams`";
    for plan in [
        "n=5 c=6 m=\"10 /g\" M=\"100 /g\"",
        "n=5 c=2 m=\"100 /g\" M=\"10 /g\"",
        "at-most=\"10 /g\" exceed=6 of=5",
    ] {
        let body = format!("microbes coliforms {plan} ref=\"1\" sure=read");
        check(&body, &[&format!("R0008 `{body}`: this is no sampling plan; {remedy}")]);
    }
}

#[test]
fn names_are_given_once_and_days_run_forward() {
    let twice = read(
        "rules x { place \"p\"; edition \"e\"; kind house; in-force from=\"2023-03-08\" until=\"2023-03-07\"\n\
         limit cold-hold at-most=\"41 °F\" ref=\"1\" sure=read\nlimit cold-hold at-most=\"45 °F\" ref=\"2\" sure=read }",
    );
    let codes: Vec<&str> = twice.problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["R0005", "R0006"]);
    check(
        "in-force from=\"8 March\"",
        &["R0005 `\"8 March\"`: this is not a date; write year, month and day, such as \"2023-03-08\""],
    );
}

#[test]
fn a_problem_is_drawn_with_line_and_caret() {
    let text = "rules x {\n  place \"p\"\n  edition \"e\"\n  kind house\n  limit cold-hold at-most=\"41\" ref=\"1\" sure=read\n}\n";
    let told = render(&read(text).problems, "x.rules.kdl", &Lines::new(text), Colour::Never);
    assert!(told.contains("R0004") && told.contains("x.rules.kdl:5") && told.contains('^'), "{told}");
}

#[test]
fn an_override_names_what_there_is() {
    let known: Vec<&ft_rules::RuleSet> = shipped().iter().collect();
    let says = |line: &str| {
        let (_, problems) = read_site(&format!("site \"s\" {{\n{line}\n}}"), &known);
        problems.first().map(|p| format!("{}: {}; {}", p.code, p.message, p.remedy.as_deref().unwrap_or("-")))
    };
    assert_eq!(
        says("stack us-food-cod").unwrap(),
        "R0009: there is no rule set `us-food-cod`; did you mean `us-food-code`?"
    );
    assert_eq!(
        says("override set=us-food-code rule=cold-hodl to=\"38 °F\" by=A on=\"2026-01-01\" why=b").unwrap(),
        "R0009: `us-food-code` has no rule `cold-hodl`; did you mean `cold-hold`?"
    );
    assert_eq!(
        says("override set=us-food-code rule=cold-hold to=\"38 °F\" on=\"2026-01-01\" why=b").unwrap(),
        "R0009: the override does not say `by`; add `by=\"…\"`"
    );
    assert_eq!(
        says("override set=us-food-code rule=cold-hold to=\"38 g\" by=A on=\"2026-01-01\" why=b").unwrap(),
        "R0004: `g` is not a unit of temperature; write one of: °C, °F"
    );
}

#[test]
fn every_code_has_its_page_and_any_text_at_all_is_read() {
    let codes: Vec<&str> = CODES.iter().map(|code| code.code).collect();
    let mut sorted = codes.clone();
    sorted.sort_unstable();
    sorted.dedup();
    assert_eq!(codes, sorted);
    for text in [
        "",
        "}",
        "rules",
        "rules x",
        "rules \"\" {}",
        "\u{0}",
        "rules x { limit }",
        "rules x { sanitise { row } }",
    ] {
        assert!(!read(text).problems.is_empty(), "{text:?} is told to be wrong");
    }
}
