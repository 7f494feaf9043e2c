//! The running site from outside: a real process, real HTTP, and a client that shares no code with it.

mod morning;
mod probes;
mod site;

use ft_server::gate::{May, all};
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

#[test]
fn every_route_lets_in_whom_the_table_lets_in_and_nobody_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    let roles = ["closer", "opener", "lead", "trainer", "inspector"];
    let mut clients = vec![("nobody", Client::new(&site.base))];
    for role in roles {
        let name = format!("a {role}");
        let new = json!({ "name": name, "roles": [role], "language": "en", "pin": "1379" });
        assert_eq!(lead.post("/api/people", &new).status, 201);
        let mut client = Client::new(&site.base);
        assert_eq!(client.sign_in(&name, "1379").status, 200);
        clients.push((role, client));
    }
    // Lengths are of a person: whoever is neither that person nor a lead is told so by the handler itself.
    let own = ["/api/people/{name}/lengths.csv", "/api/people/{name}/lengths/erase"];
    let skipped = ["/api/stream", "/api/sign-out", "/api/me/pin", "/api/run/open", "/api/plan/what-if"];
    for route in all().filter(|route| !skipped.contains(&route.path) && !own.contains(&route.path)) {
        let path = route.path.replace("{machine}", "slicer").replace("{name}", "nobody at all");
        let path = path.replace("{lot}", "none").replace("{run}", "none").replace("{token}", "none");
        let path = path.replace("{*path}", "fulltray.css").replace(' ', "%20");
        for (role, client) in &mut clients {
            let answer =
                if route.method == "GET" { client.get(&path) } else { client.post(&path, &json!({})) };
            let is_let_in = match route.may {
                May::Anybody => true,
                May::FirstStart => false,
                May::SignedIn => *role != "nobody",
                May::Measure => *role == "lead",
                May::Roles(these) => these.iter().any(|one| json!(one) == json!(role)),
            };
            let case =
                format!("{} {} as {role}: {} {}", route.method, route.path, answer.status, answer.text);
            assert!(answer.status < 500, "{case}");
            match (is_let_in, route.page, *role) {
                (true, ..) => {
                    assert!(![401, 403].contains(&answer.status) || route.path == "/api/sign-in", "{case}");
                }
                (false, true, "nobody") => {
                    assert_eq!(answer.status, 303, "{case}");
                    let to = answer.location.as_deref().unwrap_or_default();
                    assert!(to == "/" || to.starts_with("/sign-in?next=%2F"), "{to}: {case}");
                }
                (false, true, _) if matches!(route.may, May::FirstStart) => {
                    assert_eq!(answer.status, 303, "{case}");
                }
                (false, _, _) if matches!(route.may, May::FirstStart) => {
                    assert_eq!(answer.status, 409, "{case}");
                }
                (false, _, "nobody") => assert_eq!(answer.status, 401, "{case}"),
                (false, ..) => assert_eq!(answer.status, 403, "{case}"),
            }
        }
    }
    // By hand, so that a mistake in the table shows: who only reads changes nothing, who closes does not lead.
    let of = |name: &str| clients.iter().position(|(role, _)| *role == name).expect("it is there");
    let (closer, inspector) = (of("closer"), of("inspector"));
    assert_eq!(clients[inspector].1.post("/api/events", &json!({ "events": [] })).status, 403);
    assert_eq!(clients[inspector].1.get("/record").status, 200);
    for path in ["/api/run/open", "/api/people", "/api/people/Teo/pin", "/api/check"] {
        assert_eq!(clients[closer].1.post(path, &json!({})).status, 403, "{path}");
    }
    for path in ["/api/parts/costs", "/api/parts/past", "/api/settings/lengths", "/api/inspect"] {
        assert_eq!(clients[closer].1.post(path, &json!({})).status, 403, "{path}");
    }
    assert_eq!(clients[inspector].1.get("/lots/label/none").status, 403);
    assert_eq!(clients[inspector].1.get("/record/packet/none").status, 404, "they may, and there is none");
}

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
    assert_eq!(refused(&send(&mut teo, &event)).as_deref(), Some("W0435"));
    let event = teo.event("Teo", "no such night", &note);
    assert_eq!(refused(&send(&mut teo, &event)).as_deref(), Some("W0443"));

    // Out of its turn from a device that was offline: kept, set aside, and counted once it may happen.
    let now = teo.get("/api/run").json;
    let all = names(&mut teo, &now);
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
