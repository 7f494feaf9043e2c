//! The event stream: what was missed comes first, each event once and in order, whatever came between.

use serde_json::{Value, json};

use crate::site::{Client, Listening, Site};
use crate::{open, with_crew};

fn note(text: &str) -> Value {
    json!({ "what": "note", "text": text })
}

/// The places in the record of the next so many events.
fn places(listening: &Listening, count: usize) -> Vec<u64> {
    (0..count).map(|_| listening.next_of("stored")["seq"].as_u64().expect("a place")).collect()
}

#[test]
fn resumes_where_it_was_after_a_cut_and_after_the_server_was_killed() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let run = open(&mut lead);
    let now = lead.get("/api/run").json;
    let (epoch, seq) =
        (now["epoch"].as_str().expect("a name").to_owned(), now["seq"].as_u64().expect("a place"));

    // From the begin on, then live.
    let listening = lead.listen(&format!("?epoch={epoch}&since=0"));
    assert_eq!(listening.next().map(|(kind, _)| kind).as_deref(), Some("beat"));
    assert_eq!(places(&listening, seq as usize), (1..=seq).collect::<Vec<_>>());
    let event = lead.event("Marisol", &run, &note("one"));
    lead.post("/api/events", &json!({ "events": [event] }));
    let stored = listening.next_of("stored");
    assert_eq!((&stored["seq"], &stored["event"]["fact"]["text"]), (&json!(seq + 1), &json!("one")));
    assert_eq!(stored["event"]["id"], event["id"]);

    // The cable is out while others go on; then only what is new.
    drop(listening);
    let events = ["two", "three"].map(|text| lead.event("Marisol", &run, &note(text)));
    lead.post("/api/events", &json!({ "events": events }));
    let listening = lead.listen(&format!("?epoch={epoch}&since={}", seq + 1));
    assert_eq!(places(&listening, 2), [seq + 2, seq + 3]);

    // The server is killed: the stream ends, and goes on at the next one with the same epoch.
    site.kill();
    while listening.next().is_some() {}
    let site = Site::start(folder.path());
    let mut lead = lead.at(&site.base);
    assert_eq!(lead.get("/api/run").json["epoch"], json!(epoch));
    let listening = lead.listen(&format!("?epoch={epoch}&since={}", seq + 2));
    assert_eq!(listening.next_of("stored")["event"]["fact"]["text"], json!("three"));
    let event = lead.event("Marisol", &run, &note("four"));
    lead.post("/api/events", &json!({ "events": [event] }));
    assert_eq!(listening.next_of("stored")["event"]["fact"]["text"], json!("four"));
}

#[test]
fn whoever_comes_from_another_record_or_from_later_reads_all_anew() {
    let folder = tempfile::tempdir().expect("a folder");
    let (_site, mut lead) = with_crew(folder.path());
    let now = lead.get("/api/run").json;
    let (epoch, seq) = (now["epoch"].as_str().expect("a name"), now["seq"].as_u64().expect("a place"));
    for question in ["?epoch=another&since=1".to_owned(), format!("?epoch={epoch}&since={}", seq + 100)] {
        let listening = lead.listen(&question);
        assert_eq!(listening.next().map(|(kind, _)| kind).as_deref(), Some("beat"));
        assert_eq!(listening.next(), Some(("epoch".to_owned(), json!({ "epoch": epoch }))), "{question}");
        // Nothing old follows; what happens next does, once the pages were read anew.
        lead.post("/api/people", &json!({ "name": question, "roles": [], "language": "en", "pin": "1379" }));
        let told = listening.next_of("stored");
        assert_eq!(told["event"]["fact"]["who"], json!(question));
    }
    for bad in ["?since=-1", "?since=x"] {
        assert_eq!(lead.head_of(&format!("/api/stream{bad}")).status, 400, "{bad}");
    }
}

/// More at once than a listener may be behind: it reads on in the record, and nothing is missing or twice.
#[test]
fn a_listener_that_falls_behind_misses_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let run = open(&mut lead);
    let seq = lead.get("/api/run").json["seq"].as_u64().expect("a place");
    let listening = lead.listen(&format!("?since={seq}"));
    let mut teo = Client::new(&site.base);
    assert_eq!(teo.sign_in("Teo", "1470").status, 200);
    for _ in 0..5 {
        let events: Vec<Value> = (0..500).map(|_| teo.event("Teo", &run, &note("more"))).collect();
        let answer = teo.post("/api/events", &json!({ "events": events })).json;
        assert_eq!(answer["accepted"].as_array().map(Vec::len), Some(500));
    }
    assert_eq!(places(&listening, 2500), (seq + 1..=seq + 2500).collect::<Vec<_>>());
}
