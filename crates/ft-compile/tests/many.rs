//! A text with more problems than a person reads: the first ones are told, the rest is counted, nothing is hidden.

use std::fmt::Write as _;

use ft_diag::{MOST_TOLD, Problem, Severity};

fn read(text: &str) -> Vec<Problem> {
    ft_compile::read(text).1
}

fn of(problems: &[Problem], severity: Severity) -> usize {
    problems.iter().filter(|problem| problem.severity == severity).count()
}

/// A machine whose parts are each behind something that nobody declared.
fn behind_nothing(parts: usize) -> String {
    let mut text = "fulltray 1\nmachine \"m\" {\n".to_owned();
    for number in 0..parts {
        let _ = writeln!(text, "    part \"piece {number}\" material=\"plastic\" behind=\"thing {number}\"");
    }
    text + "}\n"
}

/// A machine with a part for each warning: the second language lacks its label.
fn without_spanish(parts: usize) -> String {
    let mut text =
        "fulltray 1\nmachine \"m\" {\n    title \"M\"\n    title es \"M\"\n    languages \"en\" \"es\"\n"
            .to_owned();
    for number in 0..parts {
        let _ = writeln!(text, "    part \"piece {number}\" material=\"plastic\" {{ label \"p\"; }}");
    }
    text + "}\n"
}

#[test]
fn the_first_hundred_are_told_and_the_rest_is_counted() {
    for text in [
        behind_nothing(1000),
        "a;".repeat(1000),
        "fulltray 1\nmachine \"m\" {\n place \"p\" x=1\n}"
            .replace(" place \"p\" x=1\n", &"place \"p\" x=1\n".repeat(1000)),
    ] {
        let problems = read(&text);
        assert!(problems.len() <= 2 * (MOST_TOLD + 1), "{} problems", problems.len());
        let more: Vec<&Problem> = problems.iter().filter(|p| p.code == "F0027").collect();
        assert_eq!(more.len(), 1);
        assert!(more[0].message.contains("more problems"), "{}", more[0].message);
    }
}

#[test]
fn fewer_are_told_as_ever() {
    let problems = read(&behind_nothing(40));
    let names = problems.iter().filter(|problem| problem.code == "F0037").count();
    assert_eq!(names, 40);
}

#[test]
fn warnings_hide_no_error_and_are_none_themselves() {
    let text = without_spanish(300);
    let problems = read(&text);
    assert_eq!(
        of(&problems, Severity::Error),
        0,
        "{:?}",
        problems.iter().find(|p| p.severity == Severity::Error)
    );
    assert_eq!(of(&problems, Severity::Warning), MOST_TOLD + 1);
    let broken = text.trim_end().trim_end_matches('}').to_owned()
        + "    part \"last\" behind=\"nothing\" material=\"plastic\"\n}\n";
    assert!(read(&broken).iter().any(|p| p.severity == Severity::Error && p.message.contains("nothing")));
}
