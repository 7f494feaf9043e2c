//! The interface under generated requests: `schemathesis` reads our `OpenAPI` document and asks a real server, signed in as
//! a lead, with bodies and questions that fit the document and with ones that do not. No answer is an error of the
//! server, and each is one that the document promises.
//!
//! Source of the program: schemathesis, MIT, from the Python package index; installed by `./check` for tests alone.

use std::path::PathBuf;
use std::process::Command;

use crate::site::Client;
use crate::{open, with_crew};

/// What is asked in every answer.
const CHECKS: &str = "not_a_server_error,status_code_conformance,content_type_conformance,response_schema_conformance,\
                      response_headers_conformance,ignored_auth,unsupported_method";

/// Where `./check` puts it, or on the path beside the Python that is asked for.
fn schemathesis() -> Option<PathBuf> {
    let python = std::env::var_os("FULLTRAY_PYTHON").map(PathBuf::from);
    let cache = std::env::var_os("FULLTRAY_CACHE")
        .map(PathBuf::from)
        .or_else(|| std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".cache/fulltray")));
    let beside = python.and_then(|python| python.parent().map(|folder| folder.join("st")));
    let cached = cache.map(|cache| cache.join("python/bin/st"));
    beside.into_iter().chain(cached).find(|program| program.exists())
}

fn is_full() -> bool {
    std::env::var("FULLTRAY_FULL").is_ok_and(|value| value == "1")
}

/// Runs it on some of the paths; panics with its report where it finds something.
fn run(program: &PathBuf, client: &Client, base: &str, seconds: u32, paths: &[&str]) {
    let cookies: Vec<String> = client.cookies.iter().map(|(name, value)| format!("{name}={value}")).collect();
    let report = tempfile::tempdir().expect("a folder");
    let output = Command::new(program)
        .args(["run", &format!("{base}/api/openapi.json"), "--checks", CHECKS])
        .args(["--phases", "examples,coverage,fuzzing", "--mode", "all", "--seed", "1"])
        .args(["--max-time", &seconds.to_string(), "--request-timeout", "30", "--continue-on-failure"])
        .args(["--max-examples", if is_full() { "1000" } else { "20" }])
        .args(["--suppress-health-check", "all", "--no-color", "--warnings", "off"])
        .args(["--header", "x-fulltray: 1", "--header", &format!("cookie: {}", cookies.join("; "))])
        .args(paths)
        .current_dir(report.path())
        .output()
        .expect("it starts");
    let told = String::from_utf8_lossy(&output.stdout);
    println!(
        "{}",
        told.lines().rev().take(12).collect::<Vec<_>>().into_iter().rev().collect::<Vec<_>>().join("\n")
    );
    assert!(output.status.success(), "{told}\n{}", String::from_utf8_lossy(&output.stderr));
}

#[test]
fn no_request_breaks_the_server_or_the_document() {
    let Some(program) = schemathesis() else {
        println!("SKIPPED: schemathesis is not installed, so no generated requests were sent");
        return;
    };
    let folder = tempfile::tempdir().expect("a folder");
    let (site, mut lead) = with_crew(folder.path());
    open(&mut lead);
    // The stream never ends; what ends the session is asked below, by somebody whose session may end.
    let ends = [
        "/api/sign-out",
        "/api/me/pin",
        "/api/people/{name}/pin",
        "/api/people/{name}/roles",
        "/api/sign-in",
        "/api/set-up",
    ];
    let mut most = vec!["--exclude-path", "/api/stream"];
    let mut rest = Vec::new();
    for path in ends {
        most.extend(["--exclude-path", path]);
        rest.extend(["--include-path", path]);
    }
    run(&program, &lead, &site.base, if is_full() { 900 } else { 40 }, &most);
    run(&program, &lead, &site.base, if is_full() { 120 } else { 10 }, &rest);
    // It stands, and what it has kept holds.
    assert_eq!(Client::new(&site.base).get("/health").status, 200);
    site.kill();
    let place = folder.path().join("record.db");
    let verified =
        Command::new(env!("CARGO_BIN_EXE_fulltray")).args(["record", "verify"]).arg(place).status();
    assert!(verified.is_ok_and(|status| status.success()), "the chain holds");
}
