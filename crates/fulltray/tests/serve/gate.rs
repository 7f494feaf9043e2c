//! Every route, tried by every role and by nobody, against the table of who may.

use ft_server::gate::{May, Route, all};
use serde_json::json;

use crate::site::{Client, Site};
use crate::{open, with_crew};

/// A route's path with names in it. Lengths of steps are one's own, so that those are asked for by one's own name.
fn filled(path: &str, role: &str) -> String {
    let name = if path.contains("lengths") { format!("a {role}") } else { "nobody at all".to_owned() };
    path.replace("{machine}", "slicer")
        .replace("{name}", &name)
        .replace("{*path}", "fulltray.css")
        .replace("{lot}", "no lot")
        .replace("{token}", "no-token")
        .replace("{run}", "no-run")
        .replace(' ', "%20")
}

#[test]
fn every_route_lets_in_whom_the_table_lets_in_and_nobody_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    open(&mut lead);
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
    // Whoever signs out is nobody from then on, so that comes last.
    let (last, first): (Vec<&Route>, Vec<&Route>) = all().partition(|route| route.path == "/api/sign-out");
    for route in first.into_iter().chain(last) {
        for (role, client) in &mut clients {
            let path = filled(route.path, role);
            let answer = match (route.method, route.path) {
                // It never ends; its head tells who is let in.
                ("GET", "/api/stream") => client.head_of(&path),
                ("GET", _) => client.get(&path),
                _ => client.post(&path, &json!({})),
            };
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
    assert_eq!(clients[closer].1.get("/api/run").status, 401, "signed out is signed out");
    assert_eq!(clients[inspector].1.sign_in("a inspector", "1379").status, 200);
    assert_eq!(clients[closer].1.sign_in("a closer", "1379").status, 200);
    assert_eq!(clients[inspector].1.post("/api/events", &json!({ "events": [] })).status, 403);
    assert_eq!(clients[inspector].1.get("/record").status, 200);
    for path in ["/api/run/open", "/api/people", "/api/people/Teo/pin", "/api/check"] {
        assert_eq!(clients[closer].1.post(path, &json!({})).status, 403, "{path}");
    }
    // What is another's stays theirs: a lead may, a closer may not.
    assert_eq!(clients[closer].1.get("/api/people/Teo/lengths.csv").status, 403);
    assert_eq!(clients[closer].1.post("/api/people/Teo/lengths/erase", &json!({})).status, 403);
    assert_eq!(lead.get("/api/people/Teo/lengths.csv").status, 200);
}

#[test]
fn before_the_first_start_there_is_the_first_start_and_nothing_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let site = Site::start(folder.path());
    let mut client = Client::new(&site.base);
    for route in all() {
        let path = filled(route.path, "nobody");
        let answer = if route.method == "GET" { client.get(&path) } else { client.post(&path, &json!({})) };
        let case = format!("{} {}: {} {}", route.method, route.path, answer.status, answer.text);
        match route.may {
            May::Anybody if route.path == "/sign-in" => {
                assert_eq!(answer.location.as_deref(), Some("/set-up"), "{case}");
            }
            May::Anybody | May::FirstStart => {
                assert!(![303, 401, 403].contains(&answer.status) || route.path == "/api/sign-in", "{case}");
            }
            May::SignedIn | May::Roles(_) | May::Measure if route.page => {
                assert_eq!(answer.location.as_deref(), Some("/set-up"), "{case}");
            }
            May::SignedIn | May::Roles(_) | May::Measure => assert_eq!(answer.status, 401, "{case}"),
        }
    }
}
