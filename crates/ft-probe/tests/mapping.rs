//! Files of probes: what is read, and what is said of one that is wrong. Everything in them is invented.
#![allow(clippy::unwrap_used)]
#![allow(clippy::float_cmp)] // Values go through unchanged, or are exact.

use ft_probe::{Limit, Places, ProbeUnit, Source, check_places, fits, read};

const GOOD: &str = r#"
probes {
    broker "localhost:1884" client="pier" user="kiosk" password-env="BROKER_PASSWORD" keep-alive="10 s"
    folder "loggers" look-every="2 s"
    probe "cold room" {
        label es "cámara fría"
        at "cold room"
        unit "°C"
        topic "pier/cold-room" value="/t" unit="/u" time="/at"
        every "10 s"
        silent-after "1 min"
        limit "<= 41 °F" whose="the house rule"
        warn "< 4.5 °C"
        possible "-40..140 °F"
        keep step="0.9 °F" every="10 min" least="30 s"
        look-ahead "20 min" window="10 min"
    }
    probe "hopper" {
        machine "shake freezer" vessel="hopper (left)"
        unit "°F"
        file "hopper-*.csv" time="Time" date="Date" value="Temp" zone="Atlantic/Canary" delimiter=";" decimal-comma=#true
        every "5 min"
    }
}
"#;

#[test]
fn everything_that_can_be_said() {
    let found = read(GOOD);
    assert_eq!(found.problems, []);
    let broker = found.mapping.broker.as_ref().unwrap();
    assert_eq!((broker.host.as_str(), broker.port, broker.keep_alive_s), ("localhost", 1884, 10));
    let [cold, hopper] = &found.mapping.probes[..] else { panic!("two probes") };
    assert_eq!(
        (cold.of().as_str(), cold.label("es"), cold.label("en")),
        ("cold room", "cámara fría", "cold room")
    );
    assert_eq!(cold.limit.as_ref().map(|limit| limit.bounds(cold.unit)), Some(vec![(5.0, true)]));
    assert_eq!((cold.possible, cold.keep.every_s, cold.window_s), ((-40.0, 60.0), 600.0, 600.0));
    assert!((cold.keep.step - 0.5).abs() < 1e-9, "a difference has no zero: {}", cold.keep.step);
    assert_eq!(hopper.of(), "shake freezer/hopper (left)", "a vessel's temperature is found by its vessel");
    assert_eq!(
        (hopper.silent_s, hopper.keep.every_s),
        (900.0, 900.0),
        "three intervals; a quarter of an hour"
    );
    assert_eq!(hopper.possible, ProbeUnit::of("°F").unwrap().possible());
    let Source::File(columns) = &hopper.source else { panic!("a file") };
    assert_eq!((columns.delimiter, columns.decimal_comma), (';', true));
    assert!(fits(&columns.file, "hopper-2026-06.csv") && !fits(&columns.file, "hopper-1.csv.tmp"));
    assert!(!fits("a*a", "a"), "the star stands for nothing, not for less");
}

/// The probe with one line put in its place: its codes, and what would be right.
#[track_caller]
fn check(wrong: &str, expected: &[(&str, &str)]) {
    let text = format!("probes {{\n broker \"localhost\"\n probe \"cold room\" {{\n{wrong}\n }}\n}}");
    let found = read(&text);
    let said: Vec<(&str, &str)> = found
        .problems
        .iter()
        .map(|problem| (problem.code, problem.remedy.as_deref().unwrap_or("")))
        .collect();
    let is_same = said.len() == expected.len()
        && said.iter().zip(expected).all(|(said, wanted)| said.0 == wanted.0 && said.1.contains(wanted.1));
    assert!(is_same, "{said:#?}\nand not {expected:?}");
    assert!(found.mapping.probes.is_empty(), "a probe with a problem is not watched");
}

#[test]
fn each_mistake_with_its_code_and_what_would_be_right() {
    let of = |line: &str| format!("unit \"°C\"\nevery \"10 s\"\ntopic \"a/b\"\n{line}");
    check("every \"10 s\"\ntopic \"a/b\"", &[("P0003", "unit")]);
    check("unit \"°C\"\ntopic \"a/b\"", &[("P0003", "every")]);
    check("unit \"°C\"\nevery \"10 s\"", &[("P0003", "topic")]);
    check("unit \"kelvin\"\nevery \"10 s\"\ntopic \"a/b\"", &[("P0006", "°C, °F")]);
    check(&of("limmit \"< 5 °C\""), &[("P0002", "did you mean `limit`?")]);
    check(&of("limit \"5 °C\""), &[("P0004", "< 5 °C")]);
    check(&of("limit \"< 200 mg/L\""), &[("P0006", "write it in °C")]);
    check(&of("limit \"< 400 °C\""), &[("P0007", "wider")]);
    check(&of("limit \"< 5 °C\"\nwarn \"< 5 °C\""), &[("P0007", "before the limit")]);
    check(&of("warn \"< 4 °C\""), &[("P0007", "before the limit")]);
    check(&of("silent-after \"5 s\""), &[("P0007", "at least as long")]);
    check(&of("every \"5 s\""), &[("P0005", "leave one")]);
    check(&of("keep step=\"5 min\""), &[("P0004", "0.3 °C")]);
    check(&of("file \"a.csv\" time=\"t\" value=\"v\" zone=\"UTC\""), &[("P0005", "leave out")]);
    check("unit \"°C\"\nevery \"10\"\ntopic \"a/b\"", &[("P0004", "s, min")]);
    check("unit \"°C\"\nevery \"10 s\"\ntopic \"a/#\"", &[("P0004", "one probe for each topic")]);
    check("unit \"°C\"\nevery \"10 s\"\ntopic \"a\" value=\"t\"", &[("P0004", "value=\"/t\"")]);
    check("unit \"°C\"\nevery \"10 s\"\ntopic \"a\" time=\"/t\"", &[("P0003", "value=\"/…\"")]);
    check(
        "unit \"°C\"\nevery \"1 s\"\nfile \"../a.csv\" time=\"t\" value=\"v\" zone=\"UTC\"",
        &[("P0004", "no folder")],
    );
    check(
        "unit \"°C\"\nevery \"1 s\"\nfile \"a.csv\" time=\"t\" value=\"v\" zone=\"Mars\"",
        &[("P0004", "Europe/Berlin")],
    );
    check("unit \"°C\"\nevery \"1 s\"\nfile \"a.csv\" time=\"t\" zone=\"UTC\"", &[("P0003", "value")]);
    check(&of("machine \"m\" vessel=\"v\"\nat"), &[("P0003", "in quotes")]);
}

fn codes(text: &str) -> Vec<&'static str> {
    read(text).problems.iter().map(|problem| problem.code).collect()
}

#[test]
fn the_list_itself() {
    let probe =
        |name: &str, rest: &str| format!("probe \"{name}\" {{ unit \"°C\"; every \"1 s\"; {rest}; }}");
    let topic = "topic \"a/b\"";
    let two = format!("{}; {}", probe("a", topic), probe("a", topic));
    assert_eq!(codes(&format!("probes {{ broker \"b\"; {two}; }}")), ["P0005"]);
    let vessel = "machine \"m\" vessel=\"v\"; topic \"a/b\"";
    let two = format!("{}; {}", probe("a", vessel), probe("m/v", topic));
    assert_eq!(codes(&format!("probes {{ broker \"b\"; {two}; }}")), ["P0005"], "one name in the record");
    assert_eq!(codes(&format!("probes {{ {}; }}", probe("a", topic))), ["P0003"], "no broker");
    let file = "file \"a.csv\" time=\"t\" value=\"v\" zone=\"UTC\"";
    assert_eq!(codes(&format!("probes {{ {}; }}", probe("a", file))), ["P0003"], "no folder");
    for broker in ["mqtt://localhost:1883", "localhost:many", ":1883"] {
        assert_eq!(codes(&format!("probes {{ broker \"{broker}\"; }}")), ["P0004"], "{broker}");
    }
    let host = |text: &str| {
        let broker = read(&format!("probes {{ broker \"{text}\"; }}")).mapping.broker.unwrap();
        (broker.host, broker.port)
    };
    assert_eq!(host("[::1]:1999"), ("::1".to_owned(), 1999));
    assert_eq!(host("::1"), ("::1".to_owned(), 1883));
    assert_eq!(codes(""), ["P0001"]);
    assert_eq!(codes("probes { }\nprobes { }"), ["P0001"]);
    assert_eq!(codes("kitchen { }"), ["P0001"]);
    for text in
        ["probes {", "probes { probe }", "probes { probe \"\" { every; unit; topic; limit; keep step=1; } }"]
    {
        assert!(!codes(text).is_empty(), "{text}");
    }
}

#[test]
fn what_the_kitchen_does_not_have() {
    let read = read(GOOD);
    let vessels = ["hopper (left)", "hopper (right)"].map(str::to_owned).into();
    let mut kitchen = Places {
        places: ["cold room".to_owned()].into(),
        machines: [("shake freezer".to_owned(), vessels)].into(),
    };
    assert_eq!(check_places(&read, &kitchen), []);
    kitchen.places = ["cold rom".to_owned()].into();
    kitchen.machines.insert("shake freezer".to_owned(), ["hopper".to_owned()].into());
    let problems = check_places(&read, &kitchen);
    let said: Vec<_> =
        problems.iter().map(|problem| (problem.code, problem.remedy.as_deref().unwrap())).collect();
    assert_eq!(said, [("P0008", "did you mean `cold rom`?"), ("P0008", "write one of: hopper")]);
    assert_eq!(&GOOD[problems[0].span.clone()], "\"cold room\"");
}

#[test]
fn a_limit_is_the_one_that_the_release_reads() {
    assert!(Limit::read("100..200 mg/L").is_some() && Limit::read("≤ 5 °C").is_some());
}
