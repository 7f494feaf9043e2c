//! Hygiene from the outermost door: what people type, what they read, how the program ends.

use std::io::Write as _;
use std::process::{Command, Stdio};

/// Runs the program and gives back its exit code, what it said, and what was wrong.
fn run(args: &[&str], input: &str) -> (i32, String, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_fulltray"))
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let written = child.stdin.take().expect("standard input is piped").write_all(input.as_bytes());
    // A program that refuses its arguments does not wait for its input.
    drop(written);
    let output = child.wait_with_output().expect("the program ends");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("the program writes UTF-8");
    (output.status.code().expect("it ends by itself"), text(output.stdout), text(output.stderr))
}

#[test]
fn why_tells_the_winner_the_others_and_the_caution() {
    let (code, said, _) = run(
        &["rules", "why", "cold-hold", "43 °F", "--set", "us-food-code", "--set", "us-north-carolina"],
        "",
    );
    assert_eq!(code, 1);
    assert!(said.starts_with(
        "temperature of cold food: 43 °F\nFAIL\n  decides  us-food-code 3-501.16: at most 41 °F"
    ));
    assert!(said.contains("also     us-north-carolina 09K .0206: at most 45 °F – pass"));
    assert!(said.contains("not law"));
}

#[test]
fn a_place_is_a_file() {
    let folder = std::env::temp_dir().join(format!("fulltray-hygiene-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the test");
    let file = folder.join("pier.rules.kdl");
    let path = file.to_str().expect("the path is text");
    std::fs::write(&file, "rules pier {\n place \"Pier\"\n edition \"house\"\n kind house\n limit cold-hold at-most=\"38 °F\" ref=\"house\" sure=read\n}\n").expect("written");
    assert_eq!(run(&["rules", "check", path], "").0, 0);
    let (code, said, _) =
        run(&["rules", "why", "cold-hold", "40 °F", "--set", "us-food-code", "--rules", path], "");
    assert_eq!(code, 1, "{said}");
    assert!(said.contains("decides  pier house: at most 38 °F"));
    std::fs::write(&file, "rules pier {\n place \"Pier\"\n edition \"house\"\n kind house\n limit cold-hold at-most=\"38\" ref=\"house\" sure=read\n}\n").expect("written");
    let (code, _, wrong) = run(&["rules", "check", path], "");
    assert_eq!(code, 2);
    assert!(wrong.contains("R0004") && wrong.contains("pier.rules.kdl:5") && wrong.contains('^'), "{wrong}");
    std::fs::remove_dir_all(&folder).expect("the folder is the test's own");
}

#[test]
fn a_dose_says_that_the_strip_decides() {
    let words = [
        "dose",
        "5.25 %",
        "100 mg/L",
        "10 L",
        "--ph",
        "7.5",
        "--temperature",
        "75 °F",
        "--set",
        "us-food-code",
    ];
    let (code, said, _) = run(&words, "");
    assert_eq!(code, 0);
    assert!(said.contains("19.05 mL") && said.contains("the strip decides") && said.contains("chlorine gas"));
    let (code, said, _) =
        run(&["dose", "8.25 %", "322 mg/L", "1 US gal", "--ph", "7", "--temperature", "75 °F"], "");
    assert_eq!(code, 1);
    assert!(said.contains("needs at most 200 ppm"));
    let life = [&words[..], &["--half-life", "140 min", "--json"]].concat();
    let (_, said, _) = run(&life, "");
    let json: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    assert!(
        (json["life"]["good_for_min"].as_f64().expect("a number") - 140.0).abs() < 1e-9,
        "100 to 50 mg/L is one half-life"
    );
}

#[test]
fn what_cannot_be_is_refused_in_words() {
    for (words, wrong) in [
        (vec!["dose", "-1 %", "100 mg/L", "10 L"], "a product of -1 % cannot be"),
        (vec!["dose", "5 %", "100 mg/L", "10 L", "--ph", "15"], "a pH of 15 cannot be"),
        (vec!["rules", "why", "cold-hodl"], "did you mean `cold-hold`?"),
        (vec!["rules", "--set", "us-iwoa"], "did you mean `us-iowa`?"),
        (vec!["rules", "--on", "yesterday"], "is not a date"),
        (vec!["product", "cup", "--gross", "20", "--mix", "110", "--tare", "30"], "cannot be"),
        (vec!["coldchain", "-", "--time", "t", "--temperature", "c"], "has no column `t`"),
    ] {
        let (code, _, said) = run(&words, "time,temp\n");
        assert_eq!(code, 2, "{words:?}");
        assert!(said.contains(wrong), "{words:?}: {said}");
    }
}

#[test]
fn a_log_is_accounted_for_row_by_row_and_its_mapping_remembered() {
    let log = "when,t\n2026-06-01T10:00,140\n2026-06-01T10:20,100\n2026-06-01T10:40,60\nnever,50\n2026-06-01T11:00,40\n";
    let file = std::env::temp_dir().join(format!("fulltray-mapping-{}.json", std::process::id()));
    let path = file.to_str().expect("the path is text");
    let (code, said, wrong) = run(
        &[
            "coldchain",
            "-",
            "--time",
            "when",
            "--temperature",
            "t",
            "--unit",
            "°F",
            "--zone",
            "America/New_York",
            "--cooling",
            "cooked",
            "--set",
            "us-food-code",
            "--remember",
            path,
        ],
        log,
    );
    assert_eq!(code, 0, "{said}{wrong}");
    assert!(
        said.contains("5 rows, 4 used") && said.contains("line 5: never (the time cannot be read)"),
        "{said}"
    );
    let (again, json, _) = run(&["coldchain", "-", "--mapping", path, "--above", "41 °F", "--json"], log);
    assert_eq!(again, 1, "it was above 41 °F");
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!((json["rows"].as_u64(), json["used"].as_u64()), (Some(5), Some(4)));
    std::fs::remove_file(&file).expect("the file is the test's own");
}

#[test]
fn a_cup_tells_the_usual_mistake_by_name() {
    let (code, said, _) =
        run(&["product", "cup", "--gross", "105", "--mix", "110", "--tare", "30", "--reported", "31.8"], "");
    assert_eq!(code, 0);
    assert!(said.contains("Overrun 46.7 %, within") && said.contains("divided by the weight of the mix"));
}

/// Source: Southern Nevada Health District: a part of 1 June in food of 3 June: use by 7 June.
#[test]
fn combined_lots_keep_the_earliest_date() {
    let (code, said, _) = run(&["datemark", "2026-06-01", "2026-06-03", "--set", "us-food-code"], "");
    assert_eq!(code, 0, "{said}");
    assert!(said.starts_with("Keep until 2026-06-07, discard after it"), "{said}");
    let frozen = ["datemark", "2026-06-01", "--frozen", "2026-06-02..2026-06-12", "--set", "us-food-code"];
    assert!(run(&frozen, "").1.starts_with("Keep until 2026-06-16"));
    let (code, said, _) = run(&["datemark", "2026-06-01", "none", "--set", "us-food-code"], "");
    assert_eq!(code, 1);
    assert!(said.starts_with("Discard"));
    assert_eq!(run(&["datemark", "2026-06-01", "--set", "us-iowa"], "").0, 3, "no text gives a limit");
}

/// Source: Food Code 3-501.19: at or below 41 °F at the start, then four hours.
#[test]
fn time_as_control_runs_four_hours_or_is_not_allowed() {
    let ask = |more: &[&str]| run(&[&["timecontrol", "--set", "us-food-code"], more].concat(), "");
    let (code, said, wrong) = ask(&["--start", "12:00", "--at", "40 °F", "--on", "2026-06-01"]);
    assert_eq!(code, 0, "{wrong}");
    assert!(said.starts_with("Serve or discard by 2026-06-01T16:00:00+00:00[UTC]"), "{said}");
    assert!(said.contains("decides  us-food-code 3-501.19: at most 4 h") && said.contains("not law"));
    let (code, said, _) = ask(&["--start", "12:00", "--at", "42 °F", "--json"]);
    assert_eq!(code, 1);
    let json: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    assert!(json["discard_at"].is_null() && json["temperature"]["verdict"] == "fail", "{said}");
    // The wall shows three hours in the night when clocks go back.
    let night = ["--start", "2026-10-25T01:30", "--at", "5 °C", "--zone", "Europe/Berlin"];
    assert!(ask(&night).1.contains("by 2026-10-25T04:30:00+01:00"));
    assert_eq!(run(&["timecontrol", "--start", "12:00", "--at", "40 °F", "--set", "us-iowa"], "").0, 3);
    for (more, wrong) in [
        (["--start", "noon", "--at", "40 °F", "--zone", "UTC"], "`noon` is not a time"),
        (["--start", "12:00", "--at", "40", "--zone", "UTC"], "has no unit"),
        (["--start", "12:00", "--at", "40 °F", "--zone", "Sea"], "is not a time zone"),
        (["--start", "2026-03-29T02:30", "--at", "40 °F", "--zone", "Europe/Berlin"], "jumped over"),
        (["--start", "2026-13-29T02:30", "--at", "40 °F", "--zone", "UTC"], "is not a time"),
    ] {
        let (code, _, said) = ask(&more);
        assert!(code == 2 && said.contains(wrong), "{more:?}: {said}");
    }
}

/// Source: Regs. Conn. State Agencies 21a-58-4a: 150 °F for 30 consecutive minutes, up within 1.5 h, down within 2 h.
#[test]
fn cycles_are_listed_and_judged() {
    let log = |hold_min: u32| {
        format!(
            "when,t\n2026-06-01T00:00,41\n2026-06-01T00:20,150\n2026-06-01T00:{},150\n2026-06-01T01:20,41\n",
            20 + hold_min
        )
    };
    let words =
        ["coldchain", "-", "--time", "when", "--temperature", "t", "--unit", "°F", "--set", "us-connecticut"];
    let ask = |more: &[&str], log: &str| run(&[&words[..], &["--cycles"], more].concat(), log);
    let (code, said, wrong) = ask(&["--json", "--gap", "1 h"], &log(35));
    assert_eq!(code, 0, "{said}{wrong}");
    let json: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    let cycle = &json["cycles"][0];
    assert_eq!(
        (cycle["heat_up_min"].as_f64(), cycle["hold_min"].as_f64(), cycle["cool_down_min"].as_f64()),
        (Some(20.0), Some(35.0), Some(25.0))
    );
    let (code, said, _) = ask(&["--gap", "1 h"], &log(29));
    assert!(code == 1 && said.contains("found 29 min, needs at least 30 min"), "{said}");
    assert_eq!(ask(&["--mix", "--gap", "1 h"], &log(35)).0, 1, "mix needs 155 °F");
    let (code, said, _) = ask(&["--hot", "160 °F"], &log(35));
    assert!(code == 1 && said.contains("No heat-treatment cycle"), "{said}");
    let silent = ["--cycles", "--hot", "150 °F", "--cold", "41 °F", "--gap", "1 h"];
    let iowa = [&words[..words.len() - 1], &["us-iowa"], &silent].concat();
    let (code, said, _) = run(&iowa, &log(35));
    assert!(code == 3 && said.contains("no permission"), "{said}");
    let (code, _, said) = ask(&["--hot", "40 °F"], &log(35));
    assert!(code == 2 && said.contains("is not above"), "{said}");
}

/// Source: Food Code 4-602.11(D)(2): 16 h in a room above 45 °F and up to 50 °F.
#[test]
fn cleaning_intervals_follow_the_room() {
    let ask = |interval, room| {
        run(&["rules", "why", "cleaning-interval", interval, "--room", room, "--set", "us-food-code"], "")
    };
    let (code, said, _) = ask("18 h", "48 °F");
    assert!(code == 1 && said.contains("at most 16 h"), "{said}");
    assert_eq!((ask("16 h", "50 °F").0, ask("16 h", "51 °F").0), (0, 1));
    let (code, _, said) = ask("18 h", "48");
    assert!(code == 2 && said.contains("has no unit"), "{said}");
}
