//! The plan as the night goes on: what if others were here, somebody leaves, a spare takes a part's place.

use serde_json::{Value, json};

use crate::site::Client;
use crate::{open, with_crew, work};

/// Who has something left to do by the plan from now on.
fn planned(run: &Value) -> Vec<String> {
    let rows = run["plan"]["rows"].as_array().expect("rows");
    let done = run["machines"][0]["done"].as_array().expect("a list");
    let is_left = |row: &&Value| {
        row["events"].as_array().is_some_and(|events| events.iter().any(|event| !done.contains(event)))
    };
    let people = rows.iter().filter(is_left).flat_map(|row| row["people"].as_array().expect("people"));
    let mut names: Vec<String> = people.filter_map(|name| name.as_str().map(str::to_owned)).collect();
    names.sort();
    names.dedup();
    names
}

#[test]
fn what_if_shows_another_plan_and_changes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let (_site, mut lead) = with_crew(folder.path());
    let before = lead.get("/api/run").json;
    let asked = lead.post("/api/plan/what-if", &json!({ "people": ["Teo"] }));
    assert_eq!(asked.status, 200, "{}", asked.text);
    assert_eq!(asked.json["now"]["people"], json!(["Marisol", "Teo"]));
    assert_eq!(asked.json["then"]["people"], json!(["Teo"]));
    let (now, then) = (&asked.json["now"]["out_s"], &asked.json["then"]["out_s"]);
    let later = then.as_i64().expect("a plan") - now.as_i64().expect("a plan");
    assert_eq!(asked.json["later_s"], json!(later));
    assert!(later > 0, "one person is later than two: {later}");
    let rows = asked.json["then"]["plan"]["rows"].as_array().expect("rows");
    assert!(
        rows.iter().all(|row| row["people"].as_array().is_some_and(|who| who.iter().all(|who| who == "Teo")))
    );
    for nobody in [json!(["Somebody else"]), json!([])] {
        let asked = lead.post("/api/plan/what-if", &json!({ "people": nobody }));
        assert!((400..500).contains(&asked.status), "{}", asked.text);
        assert!(!asked.json["message"].as_str().expect("a message").is_empty());
    }
    let after = lead.get("/api/run").json;
    assert_eq!(
        (&before["plan"], &before["seq"], &before["run"]),
        (&after["plan"], &after["seq"], &after["run"])
    );
}

#[test]
fn somebody_leaves_and_the_rest_is_planned_for_who_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let run = open(&mut lead);
    let mut teo = Client::new(&site.base);
    assert_eq!(teo.sign_in("Teo", "1470").status, 200);
    let before = teo.get("/api/run").json;
    assert_eq!(planned(&before), ["Marisol", "Teo"]);
    let known = lead.get("/api/run?language=es").json["plan_mark"].clone();
    let question =
        format!("?since={}&language=es&plan={}", before["seq"], known.as_str().unwrap_or_default());
    let listening = lead.listen(&question);
    let left = teo.event("Teo", &run, &json!({ "what": "person-left", "who": "Teo" }));
    assert_eq!(teo.post("/api/events", &json!({ "events": [left] })).json["refused"], json!([]));
    // Everybody who listens is told the new plan, in their language.
    let (told, after) =
        std::iter::repeat_with(|| (listening.next_of("plan"), lead.get("/api/run?language=es").json))
            .find(|(told, after)| told["mark"] == after["plan_mark"])
            .expect("it listens until it is told, or panics");
    assert_eq!(told["plan"]["rows"], after["plan"]["rows"]);
    assert_eq!(planned(&after), ["Marisol"]);
    let metrics = lead.get("/metrics").text;
    assert!(metrics.contains("fulltray_replans_total 1\n"), "{metrics}");
}

#[test]
fn a_spare_takes_the_place_of_what_is_missing() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let run = open(&mut lead);
    let mut teo = Client::new(&site.base);
    assert_eq!(teo.sign_in("Teo", "1470").status, 200);
    work(&mut teo, "Teo", &run, usize::MAX);
    let line = teo.get("/api/run").json["machines"][0]["parts"][0].clone();
    let mut part = json!({ "part": line["part"] });
    for field in ["side", "number"] {
        if !line[field].is_null() {
            part[field] = line[field].clone();
        }
    }
    let mut tell = |fact: Value| {
        let event = teo.event("Teo", &run, &fact);
        let answer = teo.post("/api/events", &json!({ "events": [event] }));
        assert_eq!(answer.json["refused"], json!([]), "{}", answer.text);
        let now = teo.get("/api/run").json["machines"][0]["parts"][0].clone();
        (now["state"].clone(), now["place"].clone())
    };
    assert_eq!(tell(json!({ "what": "part-missing", "part": part })).0, json!("missing"));
    assert_eq!(lead.post("/api/run/close", &json!({})).status, 409);
    let spare = tell(json!({ "what": "part-replaced", "part": part, "failed": false }));
    assert_eq!(spare, (json!("replaced"), json!("a spare, taken")));
    let slot = line["slot"].as_str().expect("a slot");
    let laid_out = tell(json!({ "what": "part-seen", "part": part, "slot": slot }));
    assert_eq!(laid_out, (json!("replaced"), json!(format!("slot {slot}"))));
    assert_eq!(lead.get("/api/search/slicer").json, json!([]), "nobody looks for it any more");
    let signed = lead.post("/api/run/close", &json!({}));
    assert_eq!(signed.status, 204, "{}", signed.text);
}
