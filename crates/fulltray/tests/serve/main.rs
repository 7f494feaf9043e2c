//! The running site from outside: a real process, real HTTP, and a client that shares no code with it.

mod fuzz;
mod gate;
mod hostile;
mod leaves;
mod morning;
mod night;
mod probes;
mod site;
mod stream;
mod trust;

use serde_json::{Value, json};
use site::{Client, Site};

/// A site with a lead (Marisol, 2580) who is signed in, and a closer (Teo, 1470).
fn with_crew(folder: &std::path::Path) -> (Site, Client) {
    with_crew_on(Site::start(folder))
}

/// The same at a site that has just been started for the first time.
fn with_crew_on(site: Site) -> (Site, Client) {
    let mut lead = Client::new(&site.base);
    let code = site.code.clone().expect("nobody is set up yet");
    let made = lead
        .post("/api/set-up", &json!({ "code": code, "name": "Marisol", "pin": "2580", "language": "en" }));
    assert_eq!(made.status, 200, "{}", made.text);
    let teo = json!({ "name": "Teo", "roles": ["closer"], "language": "en", "pin": "1470" });
    assert_eq!(lead.post("/api/people", &teo).status, 201);
    (site, lead)
}

fn open(lead: &mut Client) -> String {
    let opened = lead.post("/api/run/open", &json!({ "procedure": "closing" }));
    assert_eq!(opened.status, 201, "{}", opened.text);
    opened.json["run"].as_str().expect("a name").to_owned()
}

/// What the form of the slicer allows next: the first event whose `pre` is done, tried strictly in turn.
fn names(client: &mut Client, run: &Value) -> Vec<String> {
    let mark = run["machines"][0]["form"].as_str().expect("the form's mark");
    let form = client.get(&format!("/api/form/{mark}")).json;
    let events = form["events"].as_array().expect("events");
    events.iter().map(|event| event["name"].as_str().expect("a name").to_owned()).collect()
}

fn happened(name: &str) -> Value {
    json!({ "what": "happened", "event": name })
}

/// Does whatever may be done, strictly, until nothing is left or `most` have been done.
fn work(client: &mut Client, person: &str, run: &str, most: usize) -> usize {
    let mut done = 0;
    loop {
        let now = client.get("/api/run").json;
        let have: Vec<String> = now["machines"][0]["done"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|name| name.as_str().expect("a name").to_owned())
            .collect();
        let left: Vec<String> = names(client, &now).into_iter().filter(|name| !have.contains(name)).collect();
        if left.is_empty() || done >= most {
            return done;
        }
        let mut went = false;
        for name in left {
            if done >= most {
                return done;
            }
            let event = client.event(person, run, &happened(&name));
            let answer = client.post("/api/events", &json!({ "events": [event], "strict": true }));
            assert_eq!(answer.status, 200, "{}", answer.text);
            if answer.json["accepted"].as_array().is_some_and(|taken| !taken.is_empty()) {
                done += 1;
                went = true;
            }
        }
        assert!(went, "nothing may be done, and something is left");
    }
}

#[test]
fn a_closing_goes_to_its_signed_end_through_a_power_cut_and_a_missing_part() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let run = open(&mut lead);
    let mut teo = Client::new(&site.base);
    assert_eq!(teo.sign_in("Teo", "1470").status, 200);

    // The end first: refused, with what comes before it.
    let now = teo.get("/api/run").json;
    let all = names(&mut teo, &now);
    let last = all.last().expect("a form has events").clone();
    let early = teo.event("Teo", &run, &happened(&last));
    let refused = teo.post("/api/events", &json!({ "events": [early], "strict": true }));
    let sentence = refused.json["refused"][0]["sentence"].as_str().expect("a sentence");
    assert!(sentence.starts_with("Not yet: "), "{sentence}");
    assert!(sentence.len() > 20, "{sentence}");

    let before = work(&mut teo, "Teo", &run, 5);
    assert_eq!(before, 5);
    let early = lead.post("/api/run/close", &json!({}));
    assert_eq!(early.status, 409);
    assert!(early.json["message"].as_str().expect("a message").contains("steps have not been done"));

    // The power goes; what was acknowledged is there again, and everybody is still signed in.
    site.kill();
    let site = Site::start(folder.path());
    assert_eq!(site.code, None, "somebody is set up");
    let (mut lead, mut teo) = (lead.at(&site.base), teo.at(&site.base));
    let now = teo.get("/api/run");
    assert_eq!(now.status, 200, "{}", now.text);
    assert_eq!(now.json["run"], json!(run));
    assert_eq!(now.json["machines"][0]["done"].as_array().map(Vec::len), Some(5));

    work(&mut teo, "Teo", &run, usize::MAX);
    let part = now.json["machines"][0]["parts"][0]["part"].clone();
    let missing = teo.event(
        "Teo",
        &run,
        &json!({ "what": "part-missing", "part": { "part": part }, "last_seen": "rinse sink" }),
    );
    let taken = teo.post("/api/events", &json!({ "events": [missing] }));
    assert_eq!(taken.json["refused"], json!([]), "{}", taken.text);
    let stopped = lead.post("/api/run/close", &json!({}));
    assert_eq!(stopped.status, 409, "{}", stopped.text);
    assert!(stopped.json["message"].as_str().expect("a message").contains("is missing"));
    let search = lead.get("/api/search/slicer").json;
    assert_eq!(search[0]["look"][0], json!("Last seen: rinse sink."));
    let found = teo.event(
        "Teo",
        &run,
        &json!({ "what": "part-found", "part": { "part": part }, "place": "rinse sink" }),
    );
    teo.post("/api/events", &json!({ "events": [found] }));

    let signed = lead.post("/api/run/close", &json!({}));
    assert_eq!(signed.status, 204, "{}", signed.text);
    assert_eq!(lead.get("/api/run").json["state"], json!("signed"));
    let (code, lines) = site.end();
    assert_eq!(code, Some(0), "it ends in peace when it is asked to");
    assert!(lines.iter().all(|line| !line.contains("1470") && !line.contains("2580")), "no PIN in the log");
}
