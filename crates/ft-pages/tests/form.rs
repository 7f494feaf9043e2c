//! The interpreter of the tablet against the one of the server: the same answers on random walks, word for word.
//!
//! Walks mostly do what may be done, and now and then what may not, as tired people do. The forms are small ones
//! without any sense, kit that is taken crosswise, invented closings, and every machine of the demo kitchen.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use ft_compile::Variant;
use ft_form::walk::{NotYet, State};
use ft_form::{Allowed, Form, json};
use ft_prove::live::{Cause, May, may, what_if, why_not_yet};
use ft_testkit::chance::Chance;
use ft_testkit::{kiosk, tiny};
use serde_json::{Value, json};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Masks as they count: without bits beyond the variable's values, and as text, for they may have 64 bits.
fn pair(form: &Form, part: &Allowed) -> Value {
    let var = &form.vars[part.var];
    let values = (var.hi - var.lo + 1) as u32;
    let mask = if values >= 64 { part.mask } else { part.mask & ((1 << values) - 1) };
    json!([part.var, mask.to_string()])
}

fn pairs(form: &Form, parts: &[Allowed]) -> Vec<Value> {
    parts.iter().map(|part| pair(form, part)).collect()
}

fn answers(form: &Form, state: &State, event: usize) -> Value {
    let may = match may(form, state, event) {
        May::Yes => json!({ "kind": "yes" }),
        May::Hazardous(hazards) => json!({ "kind": "hazardous", "hazards": hazards }),
        May::Not(why) => json!({ "kind": "not", "why": match why {
            NotYet::Done => json!({ "kind": "done" }),
            NotYet::Waits(events) => json!({ "kind": "waits", "events": events }),
            NotYet::Blocked(parts) => json!({ "kind": "blocked", "parts": pairs(form, &parts) }),
        } }),
    };
    let would = what_if(form, state, event);
    let causes = why_not_yet(form, state, event).into_iter().map(|cause| match cause {
        Cause::Waits(event) => json!({ "kind": "waits", "event": event }),
        Cause::Blocked { part, makers } => {
            json!({ "kind": "blocked", "part": pair(form, &part), "makers": makers })
        }
        Cause::Hazard(hazard) => json!({ "kind": "hazard", "hazard": hazard }),
    });
    json!({
        "event": event,
        "may": may,
        "whatIf": {
            "vals": would.after.vals, "hazards": would.hazards, "opens": would.opens, "closes": would.closes,
            "isDeadEnd": would.is_dead_end, "missed": pairs(form, &would.missed),
        },
        "why": causes.collect::<Vec<_>>(),
    })
}

/// A walk to the end of the form, with the answers for a few events at each place.
fn walk(form: &Form, seed: u64, asked_at_each: usize) -> Value {
    let mut chance = Chance::new(seed);
    let mut state = State::start(form);
    let mut places = Vec::new();
    loop {
        let open = state.open(form);
        let asked: Vec<Value> = (0..asked_at_each.min(form.events.len()))
            .map(|_| answers(form, &state, chance.below(form.events.len())))
            .collect();
        let undone: Vec<usize> = (0..form.events.len()).filter(|&event| !state.done[event]).collect();
        let then = match (open.as_slice(), undone.as_slice()) {
            (_, []) => None,
            ([], undone) => Some(undone[chance.below(undone.len())]),
            (_, undone) if chance.percent(4) => Some(undone[chance.below(undone.len())]),
            (open, _) => Some(open[chance.below(open.len())]),
        };
        places.push(json!({ "asked": asked, "then": then }));
        let Some(event) = then else { break };
        state = state.after(form, event);
    }
    Value::Array(places)
}

fn demo_forms() -> Vec<Form> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(root().join("demo"))
        .expect("the demo kitchen")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.to_string_lossy().ends_with(".machine.kdl"))
        .collect();
    files.sort();
    let mut forms = Vec::new();
    for file in files {
        let (read, problems) = ft_compile::read(&std::fs::read_to_string(&file).expect("a demo file"));
        assert!(!ft_compile::has_errors(&problems), "{} is well", file.display());
        for procedure in 0..read.procedures.len() {
            let lowered = ft_compile::compile(&read, procedure, &Variant::default(), 2);
            forms.push(lowered.unwrap_or_else(|_| panic!("{} compiles", file.display())).form);
        }
    }
    forms
}

#[test]
fn the_tablet_answers_as_the_server() {
    if Command::new("node").arg("--version").output().is_err() {
        println!("SKIPPED: there is no `node` to run the tablet's interpreter");
        return;
    }
    let path = std::env::temp_dir().join(format!("fulltray-walks-{}.jsonl", std::process::id()));
    let mut file = std::io::BufWriter::new(std::fs::File::create(&path).expect("a file for the walks"));
    let mut count = 0;
    let mut write = |form: &Form, seed: u64, asked: usize| {
        let wire: Value = serde_json::from_str(&json::print(form)).expect("JSON");
        let walk = walk(form, seed, asked);
        count += walk
            .as_array()
            .expect("places")
            .iter()
            .map(|p| p["asked"].as_array().map_or(0, Vec::len))
            .sum::<usize>();
        writeln!(file, "{}", json!({ "form": wire, "walk": walk })).expect("written");
    };
    for seed in 0..600 {
        write(&tiny::form(seed, 9), seed, 9);
        write(&tiny::kits(seed), seed, 6);
    }
    for seed in 0..60 {
        let size = kiosk::small(&mut Chance::new(seed));
        write(&kiosk::form(seed, size), seed, 4);
    }
    for (seed, form) in demo_forms().iter().enumerate() {
        write(form, seed as u64, 4);
    }
    file.flush().expect("written");
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/form.mjs");
    let output = Command::new("node").arg(script).arg(&path).output().expect("node runs");
    std::fs::remove_file(&path).ok();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(String::from_utf8_lossy(&output.stdout).trim(), count.to_string(), "everything was asked");
    println!("{count} questions, the same answers");
}
