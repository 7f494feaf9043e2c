//! The night on the tablet against the night on the server: the same fold over the same events.
//!
//! Three devices do what may be done, and now and then what may not; their clocks are wrong, touches are taken back,
//! things happen differently, and the events arrive in any order.

use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::Path;
use std::process::Command;

use ft_form::walk::State;
use ft_form::{Form, json};
use ft_record::fold::{Night, run};
use ft_record::{Event, Fact, Journey, PartRef, Stored, VERSION};
use ft_testkit::chance::Chance;
use ft_testkit::{kiosk, tiny};
use serde_json::{Value, json};

const PEOPLE: [&str; 3] = ["Marisol", "Teo", "Wren"];

/// Events of a night as three tablets tell it.
fn events(form: &Form, chance: &mut Chance) -> Vec<Event> {
    let mut state = State::start(form);
    let mut told: Vec<Event> = Vec::new();
    let mut orders = [0_u64; 3];
    for count in 0..form.events.len() * 3 / 2 + 4 {
        let device = chance.below(3);
        orders[device] += 1;
        let fact = match chance.below(20) {
            0 if !told.is_empty() => {
                Fact::Corrected { of: told[chance.below(told.len())].id.clone(), because: "slip".into() }
            }
            1 => {
                let event = form.events[chance.below(form.events.len())].name.clone();
                Fact::Differed { event: Some(event), found: BTreeMap::new(), because: "so".into() }
            }
            2 if !form.vars.is_empty() => {
                let var = &form.vars[chance.below(form.vars.len())];
                let found = BTreeMap::from([(var.name.clone(), var.lo + chance.below(4) as i32)]);
                Fact::Differed { event: None, found, because: "so".into() }
            }
            3 => Fact::TimerStarted {
                timer: format!("t{}", chance.below(2)),
                seconds: chance.below(90) as u32,
            },
            4 => Fact::TimerStopped { timer: format!("t{}", chance.below(2)) },
            5 => Fact::PartSeen { part: part(chance), slot: "A1".into() },
            6 => Fact::PartMissing { part: part(chance), last_seen: None },
            7 => Fact::PartMoved { part: part(chance), to: Journey::Washed },
            _ => {
                let open = state.open(form);
                let event = match open.as_slice() {
                    [] => chance.below(form.events.len()),
                    open if chance.percent(85) => open[chance.below(open.len())],
                    _ => chance.below(form.events.len()),
                };
                if open.contains(&event) {
                    state = state.after(form, event);
                }
                Fact::Happened { event: form.events[event].name.clone() }
            }
        };
        told.push(Event {
            v: VERSION,
            id: format!("id-{count}"),
            device: format!("d{device}"),
            order: orders[device],
            at_ms: 1_000_000 + 1000 * count as i64 + chance.below(6000) as i64 - 3000 * device as i64,
            zone: "UTC".into(),
            person: Some(PEOPLE[device].into()),
            run: Some("r".into()),
            machine: Some("m".into()),
            fact,
        });
    }
    for index in (1..told.len()).rev() {
        told.swap(index, chance.below(index + 1));
    }
    told
}

fn part(chance: &mut Chance) -> PartRef {
    let side = [None, Some("left".to_owned())][chance.below(2)].clone();
    PartRef { part: format!("p{}", chance.below(2)), side, number: None }
}

/// What both have to agree on.
fn told(form: &Form, night: &Night) -> Value {
    let machine = &night.machines["m"];
    let mut done: Vec<_> = machine.done.iter().collect();
    done.sort_by_key(|done| done.event);
    let done: Vec<Value> =
        done.iter().map(|done| json!([done.event, done.by, done.at_ms, done.id])).collect();
    // What names no event of the form waits for nothing that could happen.
    let conflicts: Vec<Value> = machine
        .conflicts
        .iter()
        .filter(|one| form.events.iter().any(|event| event.name == one.event))
        .map(|one| json!([one.event, one.id]))
        .collect();
    let mut parts: Vec<Value> = night
        .parts
        .get("m")
        .into_iter()
        .flatten()
        .map(|(part, now)| {
            let name = format!("{} {}", part.part, part.side.as_deref().unwrap_or(""));
            json!([name, now.missing, !now.missing && now.slot.is_some()])
        })
        .collect();
    parts.sort_by_key(Value::to_string);
    let mut timers: Vec<Value> = night.timers.iter().map(|of| json!([of.timer, of.ends_ms])).collect();
    timers.sort_by_key(Value::to_string);
    json!({ "vals": machine.state.vals, "done": done, "conflicts": conflicts, "parts": parts, "timers": timers })
}

#[test]
fn the_tablet_folds_as_the_server() {
    if Command::new("node").arg("--version").output().is_err() {
        println!("SKIPPED: there is no `node` to run the tablet's fold");
        return;
    }
    let path = std::env::temp_dir().join(format!("fulltray-nights-{}.jsonl", std::process::id()));
    let mut file = std::io::BufWriter::new(std::fs::File::create(&path).expect("a file for the nights"));
    let mut conflicts = 0;
    for seed in 0..900 {
        let mut chance = Chance::new(seed);
        let form = match seed % 3 {
            0 => tiny::form(seed, 9),
            1 => tiny::kits(seed),
            _ => kiosk::form(seed, kiosk::small(&mut chance)),
        };
        let events = events(&form, &mut chance);
        let mut stored: Vec<Stored> = Vec::new();
        for event in &events {
            let prev = stored.last().map_or([0; 32], |last| last.hash);
            stored.push(Stored::link(prev, stored.len() as u64 + 1, 0, event.clone()));
        }
        let night = run(&BTreeMap::from([("m".to_owned(), &form)]), &stored);
        conflicts += night.machines["m"].conflicts.len();
        let wire: Value = serde_json::from_str(&json::print(&form)).expect("JSON");
        writeln!(file, "{}", json!({ "form": wire, "events": events, "night": told(&form, &night) }))
            .expect("written");
    }
    file.flush().expect("written");
    assert!(conflicts > 100, "the nights are not too peaceful: {conflicts}");
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fold.mjs");
    let output = Command::new("node").arg(script).arg(&path).output().expect("node runs");
    std::fs::remove_file(&path).ok();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(String::from_utf8_lossy(&output.stdout).trim(), "900");
}
