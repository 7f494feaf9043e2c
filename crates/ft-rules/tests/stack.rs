//! What a stack of sets says: who decides, what the others said, what is told with it.

use ft_rules::{
    Amount, Circumstances, Dimension, RuleSet, Solution, Stack, Verdict, read, read_site, shipped,
    shipped_named, subject_named,
};
use ft_units::{Strength, StrengthUnit, Temperature, TemperatureUnit, Time, TimeUnit};
use jiff::civil::{Date, date};

const DAY: Date = date(2026, 6, 1);

fn sets(names: &[&str]) -> Vec<&'static RuleSet> {
    names.iter().flat_map(|name| shipped_named(name)).collect()
}

fn own(text: &str) -> RuleSet {
    let read = read(text);
    assert!(read.problems.is_empty(), "{:?}", read.problems);
    read.set.expect("the text holds a set")
}

fn cold(text: &str) -> Option<Amount> {
    Some(Amount::parse(text, Dimension::Temperature).expect("a temperature"))
}

#[test]
fn the_strictest_decides_and_the_others_are_named() {
    let stack = Stack::new(sets(&["us-north-carolina", "us-food-code", "uk-1995", "us-iowa"]), &[], DAY);
    let answer = stack.ask(subject_named("cold-hold").unwrap(), cold("43 °F"), &Circumstances::unknown());
    let told: Vec<String> =
        answer.findings.iter().map(|f| format!("{} {} {}", f.set.name, f.needs, f.verdict.word())).collect();
    assert_eq!(
        told,
        [
            "us-food-code at most 41 °F fail",
            "uk-1995 at most 7.2 °C pass",
            "us-north-carolina at most 45 °F pass",
        ],
        "45 °F is 7.22 °C, so 7.2 °C is the stricter of the two by a hair"
    );
    assert_eq!(answer.verdict, Verdict::Fail);
    assert_eq!(answer.silent.iter().map(|set| set.name.as_str()).collect::<Vec<_>>(), ["us-iowa"]);
    assert!(answer.cautions.last().unwrap().contains("not law"));
}

/// Connecticut changed its rule on 8 March 2023. Source: Regs. Conn. State Agencies 21a-58-5, both texts.
#[test]
fn the_day_chooses_the_text() {
    let ask = |day| {
        let stack = Stack::new(sets(&["us-connecticut"]), &[], day);
        let answer = stack.ask_practice("sanitise-assembled", false, &Circumstances::unknown());
        (answer.verdict, answer.not_in_force.len())
    };
    assert_eq!(ask(date(2023, 3, 7)), (Verdict::Silent, 1));
    assert_eq!(ask(date(2023, 3, 8)), (Verdict::Fail, 1));
}

#[test]
fn a_label_speaks_only_where_its_chemical_is_used_and_then_outranks_a_shorter_contact() {
    let label = own(
        r#"rules label-tide { place "label"; edition "invented"; kind label; product "Tide Rinse"
           sanitise chlorine ref="directions" sure=read { row strength-least="100 mg/L" contact-least="60 s" } }"#,
    );
    let mut all = sets(&["us-food-code"]);
    all.push(&label);
    let stack = Stack::new(all, &[], DAY);
    let solution = |contact| Solution {
        agent: "chlorine",
        strength: Some(Strength::new(100.0, StrengthUnit::Ppm)),
        ph: Some(7.5),
        temperature: Some(Temperature::new(75.0, TemperatureUnit::Fahrenheit)),
        hardness: None,
        contact: Some(Time::new(contact, TimeUnit::Second)),
        rinsed_after: false,
    };
    let plain = Circumstances::unknown();
    assert_eq!(stack.ask_solution(&solution(10.0), &plain).verdict, Verdict::Pass);
    let used = plain.using("Tide Rinse");
    let answer = stack.ask_solution(&solution(10.0), &used);
    assert_eq!(answer.verdict, Verdict::Fail);
    assert_eq!(answer.winner().unwrap().because, "contact 10 s, needs at least 60 s");
    let contact = stack.contact_least(&solution(10.0), &used).unwrap();
    assert_eq!(contact.to_string(), "60 s");
}

#[test]
fn quat_without_its_label_cannot_be_judged() {
    let stack = Stack::new(sets(&["us-food-code"]), &[], DAY);
    let solution = Solution {
        agent: "quat",
        strength: Some(Strength::new(200.0, StrengthUnit::Ppm)),
        ph: None,
        temperature: Some(Temperature::new(75.0, TemperatureUnit::Fahrenheit)),
        hardness: None,
        contact: None,
        rinsed_after: false,
    };
    let answer = stack.ask_solution(&solution, &Circumstances::unknown());
    assert_eq!(answer.verdict, Verdict::NotTold);
    assert_eq!(
        answer.winner().unwrap().because,
        "not told: the strength that the label asks for (add the label as a rule set), hardness of the water"
    );
}

#[test]
fn what_is_not_told_is_taken_the_strict_way_and_said() {
    let stack = Stack::new(sets(&["us-maryland"]), &[], DAY);
    let fifteen = [Amount::parse("15 /g", Dimension::Count).unwrap()];
    let answer = stack.ask_microbes("coliforms", &fifteen, &Circumstances::unknown());
    assert_eq!(answer.grade, Some(ft_rules::Grade::Unsatisfactory), "plain or bulky was not told");
    let cleaning = Stack::new(sets(&["us-food-code"]), &[], DAY);
    let answer = cleaning.ask(subject_named("cleaning-interval").unwrap(), None, &Circumstances::unknown());
    assert_eq!(answer.winner().unwrap().needs, "at most 4 h");
    assert!(answer.cautions[0].starts_with("Not told: temperature of the room"));
}

#[test]
fn a_count_in_grams_is_not_held_against_a_limit_in_millilitres() {
    let stack = Stack::new(sets(&["us-utah"]), &[], DAY);
    let counts = [Amount::parse("60000 /g", Dimension::Count).unwrap()];
    let answer = stack.ask_microbes("plate-count", &counts, &Circumstances::unknown());
    assert_eq!(answer.grade, Some(ft_rules::Grade::NotTold));
}

/// Utah warns when more than one of the last four is over. Source: R70-350-3.
#[test]
fn utah_warns_at_the_second_of_four() {
    let stack = Stack::new(sets(&["us-utah"]), &[], DAY);
    let grade = |counts: &[f64]| {
        let counts: Vec<Amount> =
            counts.iter().map(|c| Amount::parse(&format!("{c} /g"), Dimension::Count).unwrap()).collect();
        stack.ask_microbes("coliforms", &counts, &Circumstances::unknown()).grade.unwrap()
    };
    assert_eq!(grade(&[5.0, 12.0, 5.0, 5.0]), ft_rules::Grade::Satisfactory);
    assert_eq!(grade(&[5.0, 12.0, 5.0, 12.0]), ft_rules::Grade::Unsatisfactory);
    assert_eq!(
        grade(&[12.0, 5.0, 5.0, 5.0, 12.0]),
        ft_rules::Grade::OverLimit,
        "the first is no longer among the four"
    );
}

#[test]
fn an_override_counts_from_its_day_and_stays_on_record() {
    let known: Vec<&RuleSet> = shipped().iter().collect();
    let (site, problems) = read_site(
        r#"site "Pier kiosk" {
            stack us-food-code
            override set=us-food-code rule=cold-hold to="38 °F" by="A. Keeper" on="2026-06-01" why="warm spells"
        }"#,
        &known,
    );
    assert!(problems.is_empty(), "{problems:?}");
    let ask = |day| {
        let stack = Stack::new(sets(&["us-food-code"]), &site.overrides, day);
        let answer = stack.ask(subject_named("cold-hold").unwrap(), cold("40 °F"), &Circumstances::unknown());
        (answer.verdict, answer.cautions.join(" "))
    };
    assert_eq!(ask(date(2026, 5, 31)).0, Verdict::Pass);
    let (verdict, cautions) = ask(date(2026, 6, 1));
    assert_eq!(verdict, Verdict::Fail);
    assert!(cautions.contains("the site's own figure, by A. Keeper on 2026-06-01: warm spells"));
}

#[test]
fn a_figure_from_memory_is_said_to_be_from_memory() {
    let stack = Stack::new(sets(&["us-food-code"]), &[], DAY);
    let answer =
        stack.ask(subject_named("wash-temperature").unwrap(), cold("110 °F"), &Circumstances::unknown());
    assert_eq!(answer.verdict, Verdict::Pass);
    assert!(answer.cautions.iter().any(|caution| caution.contains("from memory")));
    let view = ft_rules::AnswerView::from(&answer);
    assert!(view.text().contains("from memory, not checked in the text"));
}

#[test]
fn no_text_is_no_permission() {
    let stack = Stack::new(sets(&["us-iowa"]), &[], DAY);
    let answer = stack.ask(subject_named("shelf-height").unwrap(), None, &Circumstances::unknown());
    assert_eq!(answer.verdict, Verdict::Silent);
    assert!(answer.cautions[0].contains("no permission"));
}

/// Source: testing sheet of the Pennsylvania agriculture department: each barrel or head, and the centre twist.
#[test]
fn every_head_and_the_twist() {
    let heads = ["vanilla".to_owned(), "berry".to_owned()];
    let stack = Stack::new(sets(&["us-pennsylvania"]), &[], DAY);
    let needed = |heads: &[String], twist| stack.samples_needed(heads, twist, &Circumstances::unknown());
    assert_eq!(needed(&heads, true), ["vanilla", "berry", "twist"]);
    assert_eq!(needed(&heads, false).len(), 2);
    assert_eq!(needed(&heads[..1], true), ["vanilla"], "one head has nothing to twist with");
    let silent = Stack::new(sets(&["us-iowa"]), &[], DAY);
    assert_eq!(silent.samples_needed(&heads, true, &Circumstances::unknown()), ["vanilla"]);
}

/// Source: Food Code 4-602.11: the room's temperature in its own unit; 5 °C is 41 °F, so a day.
#[test]
fn cleaning_by_the_room_in_either_unit() {
    let stack = Stack::new(sets(&["us-food-code"]), &[], DAY);
    let hours = |value, unit| {
        let room = Circumstances::unknown().in_room(Temperature::new(value, unit));
        stack.ask(subject_named("cleaning-interval").unwrap(), None, &room).winner().unwrap().needs.clone()
    };
    for (value, unit, expected) in [
        (5.0, TemperatureUnit::Celsius, "at most 24 h"),
        (5.1, TemperatureUnit::Celsius, "at most 20 h"),
        (50.0, TemperatureUnit::Fahrenheit, "at most 16 h"),
        (50.1, TemperatureUnit::Fahrenheit, "at most 10 h"),
        (55.0, TemperatureUnit::Fahrenheit, "at most 10 h"),
        (55.1, TemperatureUnit::Fahrenheit, "at most 4 h"),
        (25.0, TemperatureUnit::Celsius, "at most 4 h"),
    ] {
        assert_eq!(hours(value, unit), expected, "{value} {unit:?}");
    }
}

/// Source: Kansas K.A.R. 4-7-533 and Iowa Code 190.12: a violation is three of the last five.
#[test]
fn three_of_the_last_five() {
    let stack = Stack::new(sets(&["us-kansas"]), &[], DAY);
    let product = Circumstances::unknown().with("stage", "product").unwrap();
    let grade = |thousands: &[f64]| {
        let counts: Vec<Amount> = thousands
            .iter()
            .map(|k| Amount::parse(&format!("{} /g", k * 1000.0), Dimension::Count).unwrap())
            .collect();
        stack.ask_microbes("plate-count", &counts, &product).grade.unwrap()
    };
    assert_eq!(grade(&[60.0, 60.0, 40.0, 40.0, 40.0]), ft_rules::Grade::Satisfactory);
    assert_eq!(grade(&[60.0, 60.0, 40.0, 40.0, 60.0]), ft_rules::Grade::Unsatisfactory);
    assert_eq!(
        grade(&[60.0, 60.0, 60.0, 40.0, 40.0, 40.0]),
        ft_rules::Grade::Satisfactory,
        "only five count"
    );
    assert_eq!(grade(&[50.0]), ft_rules::Grade::Satisfactory, "at the limit is within");
}

/// Source: Regulation (EC) 2073/2005, rows 2.2.8 and 1.13: n 5, c 2, m 10, M 100; absence in 25 g.
#[test]
fn attribute_plans() {
    let stack = Stack::new(sets(&["eu-2073-2005"]), &[], DAY);
    let grade = |organism: &str, counts: &[f64]| {
        let counts: Vec<Amount> =
            counts.iter().map(|c| Amount::parse(&format!("{c} /g"), Dimension::Count).unwrap()).collect();
        stack.ask_microbes(organism, &counts, &Circumstances::unknown()).grade.unwrap()
    };
    use ft_rules::Grade::{Acceptable, NotTold, Satisfactory, Unsatisfactory};
    assert_eq!(grade("enterobacteriaceae", &[10.0; 5]), Satisfactory);
    assert_eq!(grade("enterobacteriaceae", &[11.0, 100.0, 5.0, 5.0, 5.0]), Acceptable);
    assert_eq!(grade("enterobacteriaceae", &[11.0, 11.0, 11.0, 5.0, 5.0]), Unsatisfactory);
    assert_eq!(grade("enterobacteriaceae", &[101.0, 5.0, 5.0, 5.0, 5.0]), Unsatisfactory);
    assert_eq!(grade("enterobacteriaceae", &[5.0; 4]), NotTold, "four are no plan of five");
    assert_eq!(grade("enterobacteriaceae", &[101.0]), Unsatisfactory, "one is enough to fail");
    assert_eq!(grade("salmonella", &[0.0; 5]), Satisfactory);
    assert_eq!(grade("salmonella", &[0.0, 0.0, 1.0, 0.0, 0.0]), Unsatisfactory);
    assert_eq!(grade("listeria-monocytogenes", &[100.0; 5]), Satisfactory);
    assert_eq!(grade("listeria-monocytogenes", &[100.0, 101.0, 0.0, 0.0, 0.0]), Unsatisfactory);
}
