//! `fulltray release`, `lots` and `practice` as a person uses them.

use std::io::Write as _;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

use ft_record::Fact;
use ft_year::{Site, Year};

fn fulltray(arguments: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_fulltray"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    // The program may end before it has read everything.
    let _ = child.stdin.take().expect("it has an input").write_all(input.as_bytes());
    child.wait_with_output().expect("the program ends")
}

#[track_caller]
fn check(output: &Output, code: i32, says: &[&str]) {
    let told =
        format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(code), "{told}");
    for words in says {
        assert!(told.contains(words), "`{words}` is not in: {told}");
    }
}

fn place(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name)
}

fn written(name: &str, events: &[ft_record::Event]) -> String {
    let path = place(name);
    let lines: Vec<String> =
        events.iter().map(|event| serde_json::to_string(event).expect("plain data")).collect();
    std::fs::write(&path, lines.join("\n")).expect("the test folder can be written");
    path.to_str().expect("a plain path").to_owned()
}

const AT: [&str; 4] = ["--at", "2026-01-03T10:00Z", "--set", "us-food-code"];

#[test]
fn a_good_night_is_released_and_a_missing_ring_is_not() {
    let site = Site::demo();
    let mut year = Year::new(&site, 1);
    let mut events: Vec<_> = (0..2).flat_map(|_| year.next_night()).collect();
    events.retain(|event| event.at_ms <= year.asked_ms());
    let good = written("good.jsonl", &events);
    let ask =
        |place: &str, more: &[&str]| fulltray(&[&["release", "--store", place][..], &AT, more].concat(), "");
    check(&ask(&good, &[]), 0, &["juice tower: may serve", "slicer: may serve", "a person decides"]);
    check(&ask(&good, &["--machine", "samovar"]), 2, &["F0071", "juice tower"]);
    let mut worse = events.last().expect("a night has events").clone();
    worse.id = "missing".into();
    worse.machine = Some("juice tower".into());
    let part =
        ft_record::PartRef { part: "plunger ring".into(), side: Some("berry".into()), number: Some(2) };
    worse.fact = Fact::PartMissing { part, last_seen: None };
    events.push(worse);
    let bad = written("bad.jsonl", &events);
    check(&ask(&bad, &[]), 1, &["MAY NOT SERVE", "plunger ring (berry), number 2", "event missing"]);
    check(&ask(&bad, &["--language", "es"]), 1, &["NO PUEDE SERVIR", "No se encuentra la pieza"]);
    check(&ask(&bad, &["--machine", "slicer"]), 0, &["slicer: may serve"]);
    let json = ask(&bad, &["--json"]);
    let view: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    let juice = view.as_array().expect("a list").iter().find(|one| one["machine"] == "juice tower");
    assert_eq!(juice.expect("it is there")["reasons"][0]["code"], "part-missing");
    // The same out of a store.
    let store_path = place("release-store.db");
    let _ = std::fs::remove_file(&store_path);
    let path = store_path.to_str().expect("a plain path");
    let store = ft_store::Store::open(path).expect("a store is made");
    store.append(events, 0).expect("the events are stored");
    drop(store);
    check(&ask(path, &["--machine", "juice tower"]), 1, &["plunger ring (berry), number 2"]);
    check(&ask("nowhere.db", &[]), 2, &["F0086"]);
    check(&fulltray(&["release"], ""), 2, &["F0085", "--store"]);

    let lots = |more: &[&str]| fulltray(&[&["lots", "--store", path][..], &AT, more].concat(), "");
    check(&lots(&[]), 0, &["Held on 2026-01-03", "juice tower/bowl (berry)", "us-food-code"]);
    check(&lots(&["glass", "juice tower/bowl (berry)"]), 0, &["% lot L1-juice tower bowl (berry)", "L0-"]);
    check(
        &lots(&["trace", "L0-juice tower bowl (berry)"]),
        0,
        &["K1-juice tower bowl (berry)", "night of 2026-01-02"],
    );
    check(&lots(&["trace", "L0-juice tower bowl (bery)"]), 2, &["F0088", "did you mean"]);
}

/// A small machine that can be practised in three moves.
const FORM: &str = r#"{"name":"tea urn","people":1,
 "vars":[{"name":"power","lo":0,"hi":1,"init":1,"kind":"enum","vals":["off","on"]}],
 "events":[
  {"name":"Power off","step":"Power off","kind":"do","pre":[],"guard":[],"eff":[{"v":0,"op":"set","c":0,"when":[]}],"dur":0},
  {"name":"Lid off","step":"Lid off","kind":"do","pre":[],"guard":[],"eff":[],"dur":0},
  {"name":"Wash","step":"Wash","kind":"do","pre":[1],"guard":[],"eff":[],"dur":0}],
 "hazards":[{"id":"wet and live","on":2,"when":[[0,2]],"x-words":{"en":"water on a live urn","es":"agua en una urna conectada"}}],
 "goal":[[0,1]]}"#;

#[test]
fn practice_is_passed_and_failed_and_written_down() {
    let form = place("urn.json");
    std::fs::write(&form, FORM).expect("the test folder can be written");
    let form = form.to_str().expect("a plain path");
    let store = place("practice.db");
    let _ = std::fs::remove_file(&store);
    let store = store.to_str().expect("a plain path");
    let right = "Power off\nLid off\nWash\n";
    check(&fulltray(&["practice", form, "--who", "Wren", "--store", store], right), 0, &["PASSED: 3 of 3"]);
    // Washed under power: the hazard's own sentence is told, and it is a slip.
    let wrong = "Lid off\nWash\nPower off\nWash\n";
    let failed = fulltray(&["practice", form, "--machine", "the urn", "--store", store], wrong);
    check(&failed, 1, &["It would have gone wrong: water on a live urn", "Not passed: 3 of 4", "1 × Wash"]);
    check(
        &fulltray(&["practice", form, "--language", "es"], wrong),
        1,
        &["agua en una urna conectada", "No aprobado"],
    );
    check(&fulltray(&["practice", form], "Lid off\n"), 3, &["Left before the end"]);
    let json = fulltray(&["practice", form, "--json"], wrong);
    let view: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON and nothing else");
    let told = (view["slips"]["Wash"].as_u64(), view["dangers"].as_u64(), view["passed"].as_bool());
    assert_eq!(told, (Some(1), Some(1), Some(false)));
    let kept = ft_store::Store::open_existing(store).expect("it was made");
    let sessions: Vec<(Option<String>, bool)> = kept
        .since(0, 10)
        .expect("it can be read")
        .into_iter()
        .filter_map(|stored| match stored.event.fact {
            Fact::Practised { session } => Some((stored.event.machine, session.passed)),
            _ => None,
        })
        .collect();
    assert_eq!(sessions, [(Some("tea urn".to_owned()), true), (Some("the urn".to_owned()), false)]);
}

/// A demo machine, by always taking an offered number: the seed decides what is offered, so that it can be repeated.
#[test]
fn a_demo_machine_can_be_practised_to_its_end() {
    let script = "1\n2\n3\n4\n".repeat(400);
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/juice.machine.kdl");
    let once = fulltray(&["practice", file, "--json"], &script);
    let again = fulltray(&["practice", file, "--json"], &script);
    check(&once, 1, &["\"finished\": true", "\"passed\": false"]);
    assert_eq!(once.stdout, again.stdout);
}

#[test]
fn wear_reads_the_records_own_replacements() {
    let site = Site::demo();
    let mut year = Year::new(&site, 1);
    let events: Vec<_> = (0..200).flat_map(|_| year.next_night()).collect();
    let replaced: Vec<_> =
        events.into_iter().filter(|event| matches!(event.fact, Fact::PartReplaced { .. })).collect();
    let record = written("replaced.jsonl", &replaced);
    let told = fulltray(&["wear", "--store", &record, "--today", "2026-07-20", "--json"], "");
    let view: serde_json::Value = serde_json::from_slice(&told.stdout).expect("JSON");
    let parts: Vec<&str> =
        view["parts"].as_array().expect("a list").iter().filter_map(|part| part["part"].as_str()).collect();
    assert!(parts.contains(&"plunger ring") && parts.contains(&"bowl gasket"), "{parts:?}");
    check(&fulltray(&["wear"], ""), 2, &["<FILE>"]);
}
