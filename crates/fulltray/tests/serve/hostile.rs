//! Whoever means harm: guessed PINs, forged, replayed and reordered events.

use serde_json::{Value, json};

use crate::site::{Answer, Client, Site};
use crate::{happened, names, open, with_crew, work};

#[test]
fn a_pin_cannot_be_guessed_and_a_lead_sets_a_new_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let mut thief = Client::new(&site.base);
    for _ in 0..3 {
        assert_eq!(thief.sign_in("Teo", "0000").status, 401);
    }
    // From now on each try waits, the right one too.
    assert_eq!(thief.sign_in("Teo", "1470").status, 429);
    assert_eq!(thief.sign_in("Nobody", "1470").status, 401);
    assert_eq!(lead.post("/api/people/Teo/pin", &json!({ "pin": "1234" })).status, 422);
    assert_eq!(lead.post("/api/people/Teo/pin", &json!({ "pin": "8520" })).status, 204);
    assert_eq!(thief.sign_in("Teo", "1470").status, 401);
    assert_eq!(thief.sign_in("Teo", "8520").status, 200);
    // The code of the first start is of no more use.
    let again = json!({ "code": site.code, "name": "Eve", "pin": "2580", "language": "en" });
    assert_eq!(thief.post("/api/set-up", &again).status, 409);
}

#[test]
fn forged_replayed_and_reordered_events_do_no_harm() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let run = open(&mut lead);
    let mut teo = Client::new(&site.base);
    assert_eq!(teo.sign_in("Teo", "1470").status, 200);
    let note = json!({ "what": "note", "text": "hello" });
    let send =
        |client: &mut Client, event: &Value| client.post("/api/events", &json!({ "events": [event] })).json;
    let refused = |answer: &Value| answer["refused"][0]["code"].as_str().map(str::to_owned);

    // Sent twice: once in the record.
    let first = teo.event("Teo", &run, &note);
    let (one, two) = (send(&mut teo, &first), send(&mut teo, &first));
    assert_eq!((&one["accepted"][0]["is_new"], &two["accepted"][0]["is_new"]), (&json!(true), &json!(false)));
    assert_eq!(one["accepted"][0]["seq"], two["accepted"][0]["seq"]);

    // In somebody else's name, who never signed in on this browser.
    let forged = teo.event("Marisol", &run, &note);
    assert_eq!(refused(&send(&mut teo, &forged)).as_deref(), Some("W0440"));
    // Another event under a number that is taken.
    let mut other = teo.event("Teo", &run, &note);
    other["order"] = first["order"].clone();
    assert_eq!(refused(&send(&mut teo, &other)).as_deref(), Some("W0431"));
    // What only the server says, and what only a lead says.
    let roles = json!({ "what": "roles-changed", "who": "Teo", "roles": ["lead"] });
    let event = teo.event("Teo", &run, &roles);
    assert_eq!(refused(&send(&mut teo, &event)).as_deref(), Some("W0441"));
    let lead_signs = json!({ "what": "signed", "as": "lead" });
    let event = teo.event("Teo", &run, &lead_signs);
    assert_eq!(refused(&send(&mut teo, &event)).as_deref(), Some("W0442"));
    // Things that are not there, and times that are not.
    let event = teo.event("Teo", &run, &happened("no such step"));
    assert_eq!(refused(&send(&mut teo, &event)).as_deref(), Some("W0447"));
    let mut event = teo.event("Teo", &run, &note);
    event["at_ms"] = json!(1);
    assert_eq!(refused(&send(&mut teo, &event)).as_deref(), Some("E0004"));
    let mut event = teo.event("Teo", &run, &note);
    event["at_ms"] = json!(event["at_ms"].as_u64().expect("a time") + 25 * 3600 * 1000);
    assert_eq!(refused(&send(&mut teo, &event)).as_deref(), Some("W0435"));
    let event = teo.event("Teo", "no such night", &note);
    assert_eq!(refused(&send(&mut teo, &event)).as_deref(), Some("E0015"));
    let event = teo.event("Teo", "01900000-0000-7000-8000-000000000001", &note);
    assert_eq!(refused(&send(&mut teo, &event)).as_deref(), Some("W0443"));
    let mut event = teo.event("Teo", &run, &note);
    event["machine"] = json!("no such machine");
    assert_eq!(refused(&send(&mut teo, &event)).as_deref(), Some("E0007"));
    // In the name of the server's own device, with a number that the server has yet to give.
    let events = teo.get("/api/run").json["events"].clone();
    let mut event = teo.event("Teo", &run, &note);
    event["device"] = events[0]["event"]["device"].clone();
    event["order"] = json!(1_000_000);
    assert_eq!(refused(&send(&mut teo, &event)).as_deref(), Some("W0434"));
    // Under an id that another event has: the first stays as it was.
    let mut event = teo.event("Teo", &run, &json!({ "what": "note", "text": "goodbye" }));
    event["id"] = first["id"].clone();
    assert_eq!(send(&mut teo, &event)["accepted"][0]["is_new"], json!(false));
    let now = teo.get("/api/run").json;
    let told: Vec<&Value> =
        now["events"].as_array().expect("events").iter().map(|one| &one["event"]).collect();
    assert!(told.iter().any(|event| event["fact"]["text"] == "hello"));
    assert!(told.iter().all(|event| event["fact"]["text"] != "goodbye"));

    // Out of its turn from a device that was offline: kept, set aside, and counted once it may happen.
    let all = {
        let now = teo.get("/api/run").json;
        names(&mut teo, &now)
    };
    let last = all.last().expect("a form has events");
    let early = teo.event("Teo", &run, &happened(last));
    assert_eq!(send(&mut teo, &early)["refused"], json!([]));
    let now = teo.get("/api/run").json;
    assert_eq!(now["machines"][0]["conflicts"][0]["event"], json!(last));
    assert_eq!(now["machines"][0]["done"], json!([]));

    // Requests of another site, bodies that are too large or no JSON.
    let plain = teo.post_with("/api/events", &json!({ "events": [] }), &[]);
    assert_eq!(plain.status, 403);
    let headers = [("x-fulltray", "1"), ("origin", "https://elsewhere.example")];
    assert_eq!(teo.post_with("/api/events", &json!({ "events": [] }), &headers).status, 403);
    let large = json!({ "events": ["x".repeat(600_000)] });
    assert_eq!(teo.post("/api/events", &large).status, 413);
    assert_eq!(teo.post("/api/events", &json!({ "events": 5 })).status, 422);
    assert_eq!(teo.get("/sign-in?next=https://elsewhere.example").status, 200);
}

/// The same events in any order, some of them twice, come to the same night.
#[test]
fn a_night_is_the_same_in_whatever_order_it_arrives() {
    let (straight, shuffled) =
        (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let (site, mut lead) = with_crew(straight.path());
    let run = open(&mut lead);
    let mut teo = Client::new(&site.base);
    assert_eq!(teo.sign_in("Teo", "1470").status, 200);
    work(&mut teo, "Teo", &run, 12);
    let told = teo.get("/api/run").json;
    let events: Vec<Value> =
        told["events"].as_array().expect("events").iter().map(|one| one["event"].clone()).collect();

    // Another site opens its own night; the steps come from the last to the first, each third one twice.
    let (site, mut lead) = with_crew(shuffled.path());
    let run = open(&mut lead);
    let mut teo = Client::new(&site.base);
    assert_eq!(teo.sign_in("Teo", "1470").status, 200);
    let mut steps: Vec<Value> =
        events.into_iter().filter(|event| event["fact"]["what"] == "happened").collect();
    assert_eq!(steps.len(), 12);
    let twice: Vec<Value> = steps.iter().step_by(3).cloned().collect();
    steps.extend(twice);
    for mut event in steps.into_iter().rev() {
        event["run"] = json!(run);
        let answer = teo.post("/api/events", &json!({ "events": [event] }));
        assert_eq!(answer.json["refused"], json!([]), "{}", answer.text);
    }
    let now = teo.get("/api/run").json;
    assert_eq!(now["machines"][0]["done"], told["machines"][0]["done"]);
    assert_eq!(now["machines"][0]["values"], told["machines"][0]["values"]);
    assert_eq!(now["machines"][0]["conflicts"], json!([]));
}

/// What is refused is told in the reader's language.
#[test]
fn refusals_in_spanish() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let run = open(&mut lead);
    let mut teo = Client::new(&site.base);
    teo.cookies.push(("fulltray-language".into(), "es".into()));
    assert_eq!(teo.sign_in("Teo", "0000").json["message"], json!("El nombre y el PIN no corresponden."));
    assert_eq!(teo.sign_in("Teo", "1470").status, 200);
    let last = {
        let now = teo.get("/api/run").json;
        names(&mut teo, &now)
    }
    .pop()
    .expect("a form has events");
    let early = teo.event("Teo", &run, &happened(&last));
    let mut nameless = teo.event("Teo", &run, &happened(&last));
    nameless["machine"] = json!("");
    let answer = teo.post("/api/events", &json!({ "events": [early, nameless], "strict": true })).json;
    let sentence = |at: usize| answer["refused"][at]["sentence"].as_str().expect("a sentence");
    assert!(sentence(0).starts_with("Todavía no: "), "{}", sentence(0));
    assert!(!sentence(0).contains(" has ") && !sentence(0).contains(" waits "), "{}", sentence(0));
    assert_eq!(sentence(1), "«» no es un nombre: debe tener de 1 a 200 letras en una línea.");
}

/// Signs in from another address of this computer, by a client that may choose it.
fn from_elsewhere(site: &Site, name: &str, pin: &str) -> Option<String> {
    let host = site.base.trim_start_matches("http://");
    let program = "
import http.client, json, sys
host, name, pin = sys.argv[1:]
site = http.client.HTTPConnection(host, source_address=('127.0.0.2', 0))
site.request('POST', '/api/sign-in', json.dumps({'name': name, 'pin': pin}), {'x-fulltray': '1', 'content-type': 'application/json'})
print(site.getresponse().status)
";
    crate::site::python(program, &[host, name, pin])
}

#[test]
fn whoever_guesses_at_many_names_is_slowed_down_at_their_address() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let mut tablet = Client::new(&site.base);
    assert_eq!(tablet.sign_in("Teo", "1470").status, 200);
    let mut thief = Client::new(&site.base);
    let mut tries = 0;
    let last: Answer = loop {
        let answer = thief.sign_in(&format!("Somebody {tries}"), "1379");
        if answer.status != 401 {
            break answer;
        }
        tries += 1;
        assert!(tries < 100, "nobody stops it");
    };
    // A few more where the clock went on meanwhile.
    assert!((20..24).contains(&tries), "{tries}");
    assert_eq!((last.status, &last.json["code"]), (429, &json!("W0427")));
    assert!(last.json["message"].as_str().is_some_and(|message| message.contains("wait ")), "{}", last.text);
    // The right PIN waits as well, but not on the tablet on which Teo has been before, and not elsewhere.
    assert_eq!(thief.sign_in("Teo", "1470").status, 429);
    assert_eq!(tablet.sign_in("Teo", "1470").status, 200);
    assert_eq!(tablet.sign_in("Marisol", "2580").status, 429);
    assert_eq!(lead.sign_in("Marisol", "2580").status, 200);
    match from_elsewhere(&site, "Teo", "1470") {
        Some(status) => assert_eq!(status.trim(), "200"),
        None => println!("SKIPPED: no sign-in from another address was tried"),
    }
}
