//! Probes against a real broker (Debian's `mosquitto`) and a real folder, at a real site.
//!
//! Where there is no broker each test of it says SKIPPED. All figures are invented.

use std::io::Write as _;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use ft_browser::Broker;
use serde_json::{Value, json};

use super::site::{Client, Site};
use super::with_crew_on;

/// Waits for something, half a minute at most.
#[track_caller]
fn until(what: &str, mut is_so: impl FnMut() -> bool) {
    let began = Instant::now();
    while !is_so() {
        assert!(began.elapsed() < Duration::from_secs(30), "never: {what}");
        std::thread::sleep(Duration::from_millis(50));
    }
}

fn now_ms() -> i64 {
    SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970").as_millis() as i64
}

/// A probe as the interface tells it.
fn probe(client: &mut Client, name: &str) -> Value {
    let all = client.get("/api/probes").json;
    let probes = all["probes"].as_array().expect("a list");
    probes.iter().find(|probe| probe["probe"] == json!(name)).expect("the probe").clone()
}

fn alarms(client: &mut Client, name: &str) -> Vec<String> {
    let probe = probe(client, name);
    let alarms = probe["alarms"].as_array().expect("a list").clone();
    alarms.iter().map(|alarm| alarm["alarm"].as_str().expect("a word").to_owned()).collect()
}

/// All facts of a kind in the record, through `fulltray record export`, with the machine of each.
fn facts(folder: &Path, kind: &str) -> Vec<Value> {
    let output = Command::new(env!("CARGO_BIN_EXE_fulltray"))
        .args(["record", "export"])
        .arg(folder.join("record.db"))
        .output()
        .expect("the program starts");
    let text = String::from_utf8(output.stdout).expect("text");
    let lines = text.lines().filter_map(|line| serde_json::from_str::<Value>(line).ok());
    let events = lines.filter_map(|line| line.get("stored").map(|stored| stored["event"].clone()));
    events.filter(|event| event["fact"]["what"] == json!(kind)).collect()
}

fn metric(client: &mut Client, line: &str) -> Option<f64> {
    let text = client.get("/metrics").text;
    text.lines().find_map(|one| one.strip_prefix(line)?.trim().parse().ok())
}

const PROBES: &str = r#"
    probe "back cooler" {
        label es "nevera de atrás"
        at "sinks"
        unit "°C"
        topic "test/cooler"
        every "1 s"
        silent-after "3 s"
        limit "< 5 °C" whose="the house rule"
        possible "-30..40 °C"
    }
    probe "hopper" {
        machine "slicer"
        unit "°C"
        topic "test/hopper" value="/t" unit="/u"
        every "60 s"
        limit "<= 41 °F"
    }
"#;

fn site_with_probes(folder: &Path, port: u16) -> (Site, Client) {
    let text = format!(
        "probes {{\n broker \"127.0.0.1:{port}\" client=\"test-{port}\" keep-alive=\"5 s\"\n{PROBES}}}\n"
    );
    std::fs::write(folder.join("test.probes.kdl"), text).expect("the folder can be written");
    let path = folder.join("test.probes.kdl");
    with_crew_on(Site::start_with(folder, &["--probes", path.to_str().expect("text")]))
}

/// Readings come, wrong ones are counted, a limit raises an alarm that a person acknowledges, the broker is killed and
/// comes again, and everything is in the record.
#[test]
fn a_broker_with_its_probes_dies_and_comes_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let Some(mut broker) = Broker::start(folder.path()) else { return };
    // What the broker kept from before somebody asked: nobody knows how old it is.
    broker.send(&[("test/cooler", "2.0", true)]);
    let (site, mut lead) = site_with_probes(folder.path(), broker.port());
    until("the site asks for what is kept", || {
        metric(&mut lead, "fulltray_probe_refused_total{probe=\"back cooler\",code=\"P0111\"}") == Some(1.0)
    });
    assert_eq!(probe(&mut lead, "back cooler")["state"], json!("gap"), "nothing is known yet");

    broker.send(&[("test/cooler", "3.5", false), ("test/hopper", r#"{"t":39.2,"u":"F"}"#, false)]);
    until("both have come", || {
        probe(&mut lead, "back cooler")["value"] == json!(3.5)
            && probe(&mut lead, "hopper")["value"] == json!(4.0)
    });
    assert_eq!(probe(&mut lead, "back cooler")["state"], json!("good"));
    let page = lead.get("/readings?language=es").text;
    assert!(
        page.contains("nevera de atrás") && page.contains("3,5 °C") && page.contains("las últimas 24 horas")
    );

    let wrong = ["null", "warm", "-127", "3,5", "3.5 mg/L", ""];
    broker.send(&wrong.map(|payload| ("test/cooler", payload, false)));
    broker.send(&[("test/hopper", "{\"t\":", false), ("test/hopper", "{\"x\":1}", false)]);
    let count = |lead: &mut Client, probe: &str, code: &str| {
        metric(lead, &format!("fulltray_probe_refused_total{{probe=\"{probe}\",code=\"{code}\"}}"))
    };
    until("each wrong one is counted by its code", || {
        count(&mut lead, "back cooler", "P0102") == Some(4.0)
            && count(&mut lead, "back cooler", "P0105") == Some(1.0)
            && count(&mut lead, "back cooler", "P0106") == Some(1.0)
            && count(&mut lead, "hopper", "P0103") == Some(1.0)
            && count(&mut lead, "hopper", "P0104") == Some(1.0)
    });
    assert!(lead.get("/readings").text.contains("P0104"), "the page says what came last and was none");

    broker.send(&[("test/cooler", "6.5", false)]);
    until("the alarm", || alarms(&mut lead, "back cooler").first().is_some_and(|alarm| alarm == "outside"));
    until("the alarm is in the record", || probe(&mut lead, "back cooler")["alarms"][0]["id"].is_string());
    let id = probe(&mut lead, "back cooler")["alarms"][0]["id"].clone();
    let mut event = lead.event(
        "Marisol",
        "",
        &json!({ "what": "alarm-acknowledged", "of": id, "text": "The door stood open." }),
    );
    for field in ["run", "machine"] {
        event.as_object_mut().expect("an object").remove(field);
    }
    let sent = lead.post("/api/events", &json!({ "events": [event] }));
    assert_eq!(sent.json["refused"], json!([]), "{}", sent.text);
    until("everybody reads who has seen it", || {
        lead.get("/api/probes/cards").text.contains("The door stood open.")
    });
    let forged = lead.event("Marisol", "", &json!({ "what": "alarm-ended", "of": id }));
    let sent = lead.post("/api/events", &json!({ "events": [forged] }));
    assert_eq!(
        sent.json["refused"].as_array().map(Vec::len),
        Some(1),
        "a person cannot end an alarm by saying so"
    );

    broker.kill();
    until("the page says that the broker is away", || {
        lead.get("/readings").text.contains("id=\"broker-away\"")
    });
    assert_eq!(metric(&mut lead, "fulltray_broker_connected"), Some(0.0));
    until("its probe is a gap", || {
        let cooler = probe(&mut lead, "back cooler");
        cooler["state"] == json!("gap") && alarms(&mut lead, "back cooler").contains(&"silent".to_owned())
    });
    assert!(broker.again());
    until("it is there again", || metric(&mut lead, "fulltray_broker_connected") == Some(1.0));
    // Asked for anew as well: the broker forgot everybody.
    until("readings come again", || {
        broker.send(&[("test/cooler", "3.1", false)]);
        probe(&mut lead, "back cooler")["value"] == json!(3.1)
    });
    until("the silence is over", || !alarms(&mut lead, "back cooler").contains(&"silent".to_owned()));
    assert!(!lead.get("/readings").text.contains("id=\"broker-away\""));

    let (code, lines) = site.end();
    assert_eq!(code, Some(0));
    for said in [
        "connected to the broker",
        "is away",
        "alarm: outside at 6.5 °C",
        "alarm: silent",
        "no longer silent",
    ] {
        assert!(lines.iter().any(|line| line.contains(said)), "the log says {said:?}");
    }
    let readings = facts(folder.path(), "reading");
    let cooler = |event: &&Value| event["fact"]["of"] == json!("back cooler");
    let values: Vec<f64> =
        readings.iter().filter(cooler).filter_map(|event| event["fact"]["value"].as_f64()).collect();
    assert!(values.starts_with(&[3.5, 6.5, 3.1]), "{values:?}");
    let bad =
        readings.iter().find(|event| event["fact"]["value"] == json!(6.5)).expect("it is in the record");
    assert_eq!((&bad["fact"]["good"], &bad["fact"]["source"]), (&json!(false), &json!("probe")));
    assert_eq!(bad["fact"]["within"], json!("< 5 °C"));
    assert!(
        readings
            .iter()
            .any(|event| event["machine"] == json!("slicer") && event["fact"]["unit"] == json!("°C"))
    );
    let watched = facts(folder.path(), "probe-watched");
    let of_cooler =
        watched.iter().find(|event| event["fact"]["of"] == json!("back cooler")).expect("counted at the end");
    assert_eq!(of_cooler["fact"]["refused"], json!({ "P0102": 4, "P0105": 1, "P0106": 1, "P0111": 1 }));
    assert_eq!(of_cooler["fact"]["highest"], json!(6.5));
    let raised: Vec<Value> =
        facts(folder.path(), "alarm-raised").iter().map(|event| event["fact"]["alarm"].clone()).collect();
    assert!(raised.contains(&json!("outside")) && raised.contains(&json!("silent")), "{raised:?}");
    assert_eq!(facts(folder.path(), "alarm-acknowledged")[0]["person"], json!("Marisol"));
}

/// Hundreds of readings as fast as they come: few stand in the record, all are counted, and an alarm outlives a restart.
#[test]
fn a_fast_probe_does_not_fill_the_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let Some(broker) = Broker::start(folder.path()) else { return };
    let (site, mut lead) = site_with_probes(folder.path(), broker.port());
    until("it is there", || metric(&mut lead, "fulltray_broker_connected") == Some(1.0));
    // Each of its own millisecond: two of one moment would be one that was sent twice.
    let began = Instant::now();
    while began.elapsed() < Duration::from_secs(2) {
        broker.send(&[("test/cooler", "3.0", false), ("test/cooler", "3.1", false)]);
        std::thread::sleep(Duration::from_millis(2));
    }
    broker.send(&[("test/cooler", "7.0", false)]);
    until("the alarm", || alarms(&mut lead, "back cooler").contains(&"outside".to_owned()));
    until("it is in the record", || probe(&mut lead, "back cooler")["alarms"][0]["id"].is_string());
    let came = metric(&mut lead, "fulltray_probe_readings_total{probe=\"back cooler\"}").expect("counted");
    let kept = metric(&mut lead, "fulltray_probe_kept_total{probe=\"back cooler\"}").expect("counted");
    assert!(came > 100.0 && kept <= 3.0, "{came} came, {kept} are kept");
    assert_eq!(metric(&mut lead, "fulltray_probe_overflow_total"), Some(0.0));
    let id = probe(&mut lead, "back cooler")["alarms"][0]["id"].clone();
    let (code, _) = site.end();
    assert_eq!(code, Some(0));
    let watched: f64 = facts(folder.path(), "probe-watched")
        .iter()
        .filter(|event| event["fact"]["of"] == json!("back cooler"))
        .filter_map(|event| event["fact"]["came"].as_f64())
        .sum();
    assert!((watched - came).abs() < 0.5, "all are counted in the record: {watched} of {came}");

    let path = folder.path().join("test.probes.kdl");
    let site = Site::start_with(folder.path(), &["--probes", path.to_str().expect("text")]);
    let mut lead = lead.at(&site.base);
    let again = probe(&mut lead, "back cooler");
    assert_eq!(
        (&again["alarms"][0]["id"], &again["value"]),
        (&id, &json!(7.0)),
        "it goes on where it was: {again}"
    );
    assert_eq!(
        facts(folder.path(), "alarm-raised")
            .iter()
            .filter(|e| e["fact"]["alarm"] == json!("outside"))
            .count(),
        1
    );
}

/// Writes on at the end of a file.
fn add_to(file: &Path, text: &str) {
    let mut file = std::fs::OpenOptions::new().create(true).append(true).open(file).expect("a file");
    file.write_all(text.as_bytes()).expect("it can be written");
}

/// The line of a logger's file, so many seconds ago, by its clock in UTC.
fn row(seconds_ago: i64, value: &str) -> String {
    let at = now_ms() / 1000 - seconds_ago;
    let at = jiff::Timestamp::from_second(at).expect("a time");
    format!("{};{value}\n", at.strftime("%Y-%m-%d %H:%M:%S"))
}

/// A folder that grows: half lines, another unit, a clock that was set back, a file that goes, a folder that goes, and a
/// start over, after which nothing is said twice.
#[test]
fn a_folder_of_a_logger() {
    let folder = tempfile::tempdir().expect("a folder");
    let text = r#"probes {
        folder "loggers" look-every="200 ms"
        probe "cold shelf" {
            at "sinks"
            unit "°C"
            file "shelf-*.csv" time="When" value="Temp" zone="UTC" delimiter=";" decimal-comma=#true
            every "1 min"
            limit "< 5 °C"
        }
    }"#
    .replace("200 ms", "0.2 s");
    std::fs::write(folder.path().join("test.probes.kdl"), text).expect("the folder can be written");
    let path = folder.path().join("test.probes.kdl");
    let start = || Site::start_with(folder.path(), &["--probes", path.to_str().expect("text")]);
    let (site, mut lead) = with_crew_on(start());
    until("the page says that there is no folder", || {
        lead.get("/readings").text.contains("folder of the loggers")
    });
    let loggers = folder.path().join("loggers");
    std::fs::create_dir(&loggers).expect("a folder");
    until("it says that there is no file", || {
        lead.get("/readings").text.contains("There is no file `shelf-*.csv`")
    });

    let file = loggers.join("shelf-1.csv");
    let add = |text: &str| add_to(&file, text);
    add("When;Temp\n");
    add(&row(300, "3,5"));
    let half = row(240, "39,2 °F");
    add(&half[..half.len() - 6]);
    until("the first row", || probe(&mut lead, "cold shelf")["value"] == json!(3.5));
    std::thread::sleep(Duration::from_millis(600));
    assert_eq!(probe(&mut lead, "cold shelf")["value"], json!(3.5), "half a line waits");
    add(&half[half.len() - 6..]);
    until("the second row, converted", || probe(&mut lead, "cold shelf")["value"] == json!(4.0));
    let refused = |lead: &mut Client, code: &str| {
        metric(lead, &format!("fulltray_probe_refused_total{{probe=\"cold shelf\",code=\"{code}\"}}"))
    };
    add(&row(180, "120 mg/L"));
    add(&row(270, "3,0")); // The logger's clock was set back.
    add(&row(-3600, "3,0")); // And an hour ahead.
    add(&row(3 * 86_400, "3,0"));
    add("yesterday;3,0\n");
    until("each is counted", || {
        ["P0105", "P0107", "P0108", "P0109", "P0110"].iter().all(|code| refused(&mut lead, code) == Some(1.0))
    });
    add(&row(120, "6,0"));
    until("the alarm", || alarms(&mut lead, "cold shelf") == ["outside"]);

    std::fs::remove_file(&file).expect("it is there");
    until("the page says so", || lead.get("/readings").text.contains("There is no file `shelf-*.csv`"));
    std::fs::write(loggers.join("shelf-2.csv"), format!("When;Temp\n{}{}", row(150, "9,9"), row(45, "6,5")))
        .expect("a new one");
    until("the next day's file", || probe(&mut lead, "cold shelf")["value"] == json!(6.5));
    assert_eq!(refused(&mut lead, "P0109"), Some(2.0), "a row that is older than the last one is told");

    // Too soon after the one before to stand in the record; at the end it does, so that it is known afterwards.
    add_to(&loggers.join("shelf-2.csv"), &row(30, "6,6"));
    until("the last row", || probe(&mut lead, "cold shelf")["value"] == json!(6.6));
    assert_eq!(site.end().0, Some(0));
    let before = facts(folder.path(), "reading").len();
    let site = start();
    let mut lead = lead.at(&site.base);
    std::thread::sleep(Duration::from_millis(1500));
    assert_eq!(probe(&mut lead, "cold shelf")["value"], json!(6.6), "the last one");
    assert_eq!(refused(&mut lead, "P0109"), None, "what the record has is known, and not told again");
    assert_eq!(metric(&mut lead, "fulltray_probe_readings_total{probe=\"cold shelf\"}"), Some(0.0));
    assert_eq!(facts(folder.path(), "reading").len(), before, "nothing is said twice");
    let readings = facts(folder.path(), "reading");
    assert!(readings.iter().all(|event| event["fact"]["source"] == json!("file")));
    let values: Vec<&Value> = readings.iter().map(|event| &event["fact"]["value"]).collect();
    assert_eq!(values, [&json!(3.5), &json!(4.0), &json!(6.0), &json!(6.5), &json!(6.6)], "each by a rule");
}

/// A mapping that is wrong ends the start, with code, place and what would be right.
#[test]
fn a_wrong_mapping_is_told_before_anything_begins() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("test.kitchen.kdl"), super::site::KITCHEN).expect("it can be written");
    let slicer = include_str!("../../../../demo/slicer.machine.kdl");
    std::fs::write(folder.path().join("slicer.machine.kdl"), slicer).expect("likewise");
    let says = |probes: &str| {
        std::fs::write(folder.path().join("test.probes.kdl"), probes).expect("it can be written");
        let output = Command::new(env!("CARGO_BIN_EXE_fulltray"))
            .args(["serve", "--listen", "127.0.0.1:0", "--store"])
            .arg(folder.path().join("record.db"))
            .arg("--probes")
            .arg(folder.path().join("test.probes.kdl"))
            .arg(folder.path().join("test.kitchen.kdl"))
            .output()
            .expect("the program starts");
        assert!(!output.status.success());
        String::from_utf8_lossy(&output.stderr).into_owned()
    };
    let text = says("probes {\n    broker \"localhost\"\n    probe \"a\" { unit \"°C\"; topic \"t\"; }\n}\n");
    assert!(
        text.contains("P0003") && text.contains("test.probes.kdl:3") && text.contains("every \"10 s\""),
        "{text}"
    );
    let text = says(
        "probes {\n    broker \"localhost\"\n    probe \"a\" { unit \"°C\"; topic \"t\"; every \"1 s\"; at \"sink\"; }\n}\n",
    );
    assert!(text.contains("P0008") && text.contains("did you mean `sinks`?"), "{text}");
}
