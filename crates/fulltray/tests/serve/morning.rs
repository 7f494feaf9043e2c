//! The morning from outside: paper, links for inspectors, wear, temperatures, and the lengths of somebody's steps.

use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};

use crate::site::{Client, Site};
use crate::{open, with_crew, with_crew_on, work};

/// What a PDF says, by poppler's `pdftotext`; `None`, and a word about it, where that is not installed.
fn said(folder: &Path, bytes: &[u8]) -> Option<String> {
    assert!(bytes.starts_with(b"%PDF-"), "{:?}", String::from_utf8_lossy(&bytes[..bytes.len().min(200)]));
    let file = folder.join("out.pdf");
    std::fs::write(&file, bytes).expect("the folder can be written");
    match Command::new("pdftotext").arg("-layout").arg(&file).arg("-").output() {
        Ok(output) => Some(String::from_utf8_lossy(&output.stdout).into_owned()),
        Err(error) => {
            println!("skipped what the PDF says: {error}");
            None
        }
    }
}

/// Tells of lots: what happened so many minutes ago.
fn tell(client: &mut Client, person: &str, facts: &[(f64, Value)]) {
    let events: Vec<Value> =
        facts.iter().map(|(minutes_ago, fact)| client.told(person, *minutes_ago, fact)).collect();
    let answer = client.post("/api/events", &json!({ "events": events }));
    assert_eq!(answer.json["refused"], json!([]), "{}", answer.text);
}

fn received(lot: &str) -> Value {
    json!({ "what": "lot-received", "lot": lot, "product": "plain mix", "litres": 5.0, "origin": "delivered" })
}

fn opened(lot: &str) -> Value {
    json!({ "what": "lot-opened", "lot": lot, "reason": "pack" })
}

#[test]
fn a_label_is_printed_for_what_may_be_kept_and_none_for_what_must_go() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let mut teo = Client::new(&site.base);
    assert_eq!(teo.sign_in("Teo", "1470").status, 200);
    let stored = json!({ "what": "stored", "lot": "MIX-7", "place": "cold room" });
    tell(&mut teo, "Teo", &[(90.0, received("MIX-7")), (60.0, opened("MIX-7")), (59.0, stored)]);
    assert!(teo.get("/lots").text.contains("/lots/label/MIX-7"));

    let (status, media, bytes) = teo.file("/lots/label/MIX-7?copies=3&paper=letter");
    assert_eq!((status, media.as_str()), (200, "application/pdf"));
    if let Some(text) = said(folder.path(), &bytes) {
        assert_eq!(text.matches("MIX-7").count(), 3, "{text}");
        assert!(text.contains("24:00") && text.contains("cold room"), "the end of its last day: {text}");
    }
    assert_eq!(teo.file("/lots/label/MIX-7?paper=single").0, 200);
    assert_eq!(teo.get("/lots/label/MIX-7?paper=a3").json["code"], json!("W0487"));
    assert_eq!(teo.get("/lots/label/MIX-7?copies=101").json["code"], json!("W0488"));
    assert_eq!(teo.get("/lots/label/none").status, 404);

    tell(
        &mut lead,
        "Marisol",
        &[(1.0, json!({ "what": "recalled", "lot": "MIX-7", "because": "the supplier" }))],
    );
    let refused = teo.get("/lots/label/MIX-7");
    assert_eq!((refused.status, &refused.json["code"]), (409, &json!("W0489")), "{}", refused.text);
    assert!(!teo.get("/lots").text.contains("/lots/label/MIX-7"), "and the page offers none");
    let (status, _, bytes) = teo.file("/lots/packet/MIX-7");
    assert_eq!(status, 200);
    if let Some(text) = said(folder.path(), &bytes) {
        assert!(text.contains("Called back") && text.contains("the supplier"), "{text}");
    }
}

/// The text between two others.
fn between<'t>(text: &'t str, from: &str, until: &str) -> &'t str {
    let after = text.split_once(from).unwrap_or_else(|| panic!("{from} is not in {text}")).1;
    after.split_once(until).unwrap_or_else(|| panic!("{until} does not follow in {after}")).0
}

#[test]
fn what_an_inspectors_link_gives_verifies_by_the_command_that_its_page_names() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let run = open(&mut lead);
    work(&mut lead, "Marisol", &run, 4);
    let link = lead.post("/api/inspect", &json!({ "days": 7 })).json;
    let path = link["path"].as_str().expect("a path").to_owned();

    let mut inspector = Client::new(&site.base);
    let page = inspector.get(&path);
    assert_eq!(page.status, 200, "{}", page.text);
    let record = between(&page.text, "href=\"", "\" download=\"record.jsonl\"");
    let record = record.rsplit("href=\"").next().expect("the last link before it");
    let (status, _, bytes) = inspector.file(record);
    assert_eq!(status, 200);
    let file = folder.path().join("record.jsonl");
    std::fs::write(&file, &bytes).expect("the folder can be written");

    // The command as the page has it, word for word, with this program in the place of the installed one.
    let command = between(&page.text, "<code id=\"command\">", "</code>").to_owned();
    let mut words = command.split_whitespace();
    assert_eq!(words.next(), Some("fulltray"), "{command}");
    let words: Vec<&str> = words.collect();
    let verify = |folder: &Path| {
        let output = Command::new(env!("CARGO_BIN_EXE_fulltray")).args(&words).current_dir(folder).output();
        let output = output.expect("the program starts");
        (output.status.code(), String::from_utf8_lossy(&output.stdout).into_owned())
    };
    let (code, told) = verify(folder.path());
    assert_eq!(code, Some(0), "{told}");
    assert!(told.starts_with("The chain holds") && told.contains("Sealed up to event"), "{told}");
    assert!(!told.contains("not sealed yet"), "what the link shows is signed as it stands: {told}");

    // Somebody was somebody else.
    let forged = String::from_utf8(bytes).expect("text").replacen("Marisol", "Mirasol", 1);
    std::fs::write(&file, forged).expect("likewise");
    let (code, told) = verify(folder.path());
    assert_eq!(code, Some(1), "{told}");
    assert!(told.starts_with("BROKEN at event"), "{told}");

    // The packet says the same key and the same command.
    let key = words.last().expect("the key is the last word");
    for days in ["", "?days=7", "?paper=letter&language=es"] {
        let (status, media, bytes) = inspector.file(&format!("{path}/packet/{run}{days}"));
        assert_eq!((status, media.as_str()), (200, "application/pdf"), "{days}");
        if let Some(text) = said(folder.path(), &bytes) {
            let close: String = text.split_whitespace().collect();
            assert!(close.contains(key), "{text}");
            assert!(close.contains("fulltrayrecordverifyrecord.jsonl--key"), "{text}");
            assert!(text.contains("Marisol"), "who did it: {text}");
        }
    }
    let tokens = lead.get("/people").text;
    let token = between(&tokens, "name=\"token\" value=\"", "\"").to_owned();
    assert_eq!(lead.post("/api/inspect/close", &json!({ "token": token })).status, 204);
    for of in ["", "/record.jsonl", "/lot?lot=none", "/packet/none"] {
        assert_eq!(inspector.get(&format!("{path}{of}")).status, 404, "{of}");
    }
}

#[test]
fn a_warm_shelf_shortens_a_date_and_no_log_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let (_site, mut lead) = with_crew(folder.path());
    let at = |lot: &str, place: &str| json!({ "what": "stored", "lot": lot, "place": place });
    let hour = 60.0;
    for (lot, place) in [("COLD", "cold room"), ("WARM", "shelf"), ("DARK", "cellar")] {
        let ago = 50.0 * hour;
        tell(&mut lead, "Marisol", &[(ago, received(lot)), (ago, opened(lot)), (ago, at(lot, place))]);
    }
    let reading = |of: &str, celsius: f64| json!({ "what": "reading", "of": of, "value": celsius, "unit": "°C", "source": "probe" });
    let mut readings: Vec<(f64, Value)> = Vec::new();
    for step in (0..=300_u32).rev() {
        let ago = f64::from(step) * 10.0;
        readings.push((ago, reading("cold room", 1.0)));
        // 54 °F is 12.2 °C: units are converted.
        let mut warm = reading("shelf", 54.0);
        warm["unit"] = json!("°F");
        readings.push((ago, warm));
    }
    for some in readings.chunks(400) {
        tell(&mut lead, "Marisol", some);
    }
    let page = lead.get("/lots").text;
    let of = |lot: &str| between(&page, &format!("data-place=\"{lot}\""), "</article>").to_owned();
    assert!(
        of("WARM").contains("Discard earlier, by") && of("WARM").contains("warmest 12.2"),
        "{}",
        of("WARM")
    );
    assert!(of("WARM").contains("It has to go") || page.contains("data-place=\"WARM\" data-due=\"now\""));
    assert!(of("COLD").contains("nothing to add") && of("COLD").contains("no permission"), "{}", of("COLD"));
    assert!(!of("DARK").contains("log10"), "nothing is predicted without a log: {}", of("DARK"));
    assert_eq!(lead.get("/lots/label/WARM").status, 409, "and so it gets no label");
    assert_eq!(lead.file("/lots/label/COLD").0, 200);
}

#[test]
fn lives_of_parts_come_from_a_table_of_the_past_and_from_the_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let (_site, mut lead) = with_crew(folder.path());
    let page = lead.get("/parts/slicer").text;
    let kind = between(&page, "<select name=\"part\"><option value=\"", "\"").to_owned();
    // Lives of 91, 79 and 97 days one after the other, and a part that is in since 100 days.
    let today = jiff::tz::TimeZone::system().to_datetime(jiff::Timestamp::now()).date();
    let ago = |days: i64| today.checked_sub(jiff::Span::new().days(days)).expect("a date");
    let rows = [(367, 276), (276, 197), (197, 100)];
    let mut table = "part,place,fitted,removed,end\n".to_owned();
    for place in ["slicer", "an older slicer"] {
        for (fitted, removed) in rows {
            table.push_str(&format!("{kind},{place},{},{},failed\n", ago(fitted), ago(removed)));
        }
    }
    table.push_str(&format!("{kind},slicer,{},,\n", ago(100)));
    let wrong = lead.post("/api/parts/past", &json!({ "table": "part,place\nblade,x\n" }));
    assert_eq!((wrong.status, &wrong.json["code"]), (422, &json!("W0491")), "{}", wrong.text);
    assert_eq!(lead.post("/api/parts/past", &json!({ "table": table })).status, 204);
    let costs = json!({ "part": kind, "planned": 10.0, "failure": 80.0, "lead_days": 21.0, "have": 0 });
    assert_eq!(lead.post("/api/parts/costs", &costs).status, 204);
    let bad = json!({ "part": kind, "planned": -1.0, "failure": 80.0, "lead_days": 21.0, "have": 0 });
    assert_eq!(lead.post("/api/parts/costs", &bad).json["code"], json!("W0492"));
    let page = lead.get("/parts/slicer").text;
    assert!(page.contains("6 / 7 of those seen had failed."), "six of seven");
    assert!(page.contains("Least cost at") && page.contains("<svg"), "the age of least cost and the curve");
    assert!(page.contains("overdue") || page.contains("is over"), "it outlived the age of least cost");
    let hold = between(&page, "<strong>", "</strong>");
    assert!(!hold.is_empty());
    // What is in since long ago is due, and the page of lots says what else is due today.
    assert!(between(&lead.get("/lots").text, "Also due today", "</ul>").contains(&kind));
    // The record's own: the old one is out, a new one is in.
    let run = open(&mut lead);
    let fact = json!({ "what": "part-replaced", "part": { "part": kind }, "failed": false });
    let replaced = lead.event("Marisol", &run, &fact);
    assert_eq!(lead.post("/api/events", &json!({ "events": [replaced] })).json["refused"], json!([]));
    assert!(
        lead.get("/parts/slicer").text.contains("6 / 7 of those seen"),
        "a part in for no day has no life yet"
    );
}

/// How long tonight's work takes, from its first begin until everybody is out, seconds. Not from when the night began: as
/// long as nothing is done, a plan that is made anew in the meantime begins when it is made.
fn length_s(client: &mut Client) -> i64 {
    let plan = client.get("/api/run").json["plan"].clone();
    let ms = |value: &Value| value.as_i64().unwrap_or_else(|| panic!("a time in {plan}"));
    let rows = plan["rows"].as_array().unwrap_or_else(|| panic!("rows in {plan}"));
    let first_ms =
        rows.iter().map(|row| ms(&row["start_ms"])).min().unwrap_or_else(|| panic!("work in {plan}"));
    (ms(&plan["out_ms"]) - first_ms) / 1000
}

#[test]
fn lengths_of_steps_plan_the_next_night_and_are_gone_when_they_are_erased() {
    let folder = tempfile::tempdir().expect("a folder");
    // With so many schedules the plans that are compared are the best ones that anybody has seen; a second apart is not
    // chance.
    let (site, mut lead) = with_crew_on(Site::start_with(folder.path(), &["--work", "100000"]));
    let mut teo = Client::new(&site.base);
    assert_eq!(teo.sign_in("Teo", "1470").status, 200);
    let card_s = length_s(&mut teo);
    let run = open(&mut lead);
    // All steps by Teo, each begun and ended within a moment: hands took next to nothing.
    work(&mut teo, "Teo", &run, usize::MAX);
    assert_eq!(lead.post("/api/run/close", &json!({})).status, 204);
    let table = teo.get("/api/people/Teo/lengths.csv").text;
    assert!(table.starts_with("ended_ms,step,number,minutes\n") && table.lines().count() > 2, "{table}");
    assert_eq!(lead.get("/api/people/Teo/lengths.csv").text, table, "a lead may hand them over");
    assert_eq!(teo.get("/api/people/Marisol/lengths.csv").status, 403);
    let own = teo.get("/people").text;
    assert!(own.contains("Your steps take") && own.contains("never to rank people"), "{own}");
    assert!(
        !lead.get("/people").text.contains("Your steps take"),
        "nobody sees another's, a lead no more than others"
    );

    let second = open(&mut lead);
    let learnt_s = length_s(&mut teo);
    assert!(learnt_s < card_s, "{learnt_s} s with what was learnt, {card_s} s by the card");

    // Erased in the middle of the night: gone from the file, the page, and the plan of the night that is open.
    assert_eq!(teo.post("/api/people/Marisol/lengths/erase", &json!({})).status, 403);
    let event = teo.told("Teo", 0.0, &json!({ "what": "lengths-erased", "who": "Teo" }));
    let by_event = teo.post("/api/events", &json!({ "events": [event] })).json;
    assert_eq!(by_event["refused"][0]["code"], json!("W0441"), "only by its own route, which plans anew");
    assert_eq!(teo.post("/api/people/Teo/lengths/erase", &json!({})).status, 204);
    assert_eq!(teo.get("/api/people/Teo/lengths.csv").text, "ended_ms,step,number,minutes\n");
    assert!(!teo.get("/people").text.contains("Your steps take"));
    let after_s = length_s(&mut teo);
    assert!(learnt_s < after_s, "{after_s} s after the erasure, {learnt_s} s before");

    // And after a restart, from the record alone.
    site.kill();
    let site = Site::start(folder.path());
    let (mut lead, mut teo) = (lead.at(&site.base), teo.at(&site.base));
    assert_eq!(teo.get("/api/people/Teo/lengths.csv").text, "ended_ms,step,number,minutes\n");
    assert_eq!(lead.get("/api/run").json["run"], json!(second));

    // Where the kitchen says no, nothing is used, whatever is known.
    work(&mut teo, "Teo", &second, usize::MAX);
    assert_eq!(lead.post("/api/run/close", &json!({})).status, 204);
    assert_eq!(lead.post("/api/settings/lengths", &json!({ "used": "no" })).status, 204);
    open(&mut lead);
    assert_eq!(length_s(&mut teo), card_s);
    assert!(teo.get("/people").text.contains("Not used"));
    assert_eq!(lead.post("/api/settings/lengths", &json!({ "used": "perhaps" })).status, 422);
}

#[test]
fn practice_counts_for_the_skill_of_what_was_practised() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, _lead) = with_crew(folder.path());
    let mut teo = Client::new(&site.base);
    assert_eq!(teo.sign_in("Teo", "1470").status, 200);
    let session = json!({ "who": "Teo", "procedure": "closing", "moves": 80, "slips": {}, "passed": true });
    let fact = json!({ "what": "practised", "session": session });
    // Of no machine, and so of no skill.
    tell(&mut teo, "Teo", &[(1.0, fact.clone())]);
    let page = teo.get("/people").text;
    assert!(page.contains("no practice of it passed yet") && page.contains("1 / 1"), "{page}");
    let mut on_slicer = teo.event("Teo", "", &fact);
    on_slicer.as_object_mut().expect("an object").remove("run");
    let answer = teo.post("/api/events", &json!({ "events": [on_slicer] }));
    assert_eq!(answer.json["refused"], json!([]), "{}", answer.text);
    let page = teo.get("/people").text;
    assert!(
        !page.contains("no practice of it passed yet") && page.contains("done under watch: 0 / 3"),
        "{page}"
    );
}
