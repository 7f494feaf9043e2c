//! `fulltray record` from the outside, and the lines of Python of docs/record.md.
// A helper of a test may stop the test.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::Path;
use std::process::Command;

use ft_record::{Event, Fact, VERSION, uuid7};
use ft_store::Store;

fn run(arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_fulltray")).args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

/// A record with two sealed nights and one event after them; its place and the public key.
fn record(folder: &Path) -> (String, String) {
    let place = folder.join("record.db").display().to_string();
    let store = Store::open(&place).unwrap();
    let note = |order: u64| Event {
        v: VERSION,
        id: uuid7(1_764_100_000_000 + order, [7; 10]),
        device: "sink".into(),
        order,
        at_ms: 1_764_100_000_000 + order as i64,
        zone: "Atlantic/Canary".into(),
        person: Some("Ana".into()),
        run: None,
        machine: None,
        fact: Fact::Note { text: format!("nº {order}: «\"\\\u{2028} ❄»\n") },
    };
    store.append((1..=10).map(note).collect(), 1).unwrap();
    store.seal(2).unwrap();
    store.append((11..=20).map(note).collect(), 3).unwrap();
    let seal = store.seal(4).unwrap();
    store.append(vec![note(21)], 5).unwrap();
    (place, seal.key)
}

#[test]
fn a_record_is_verified_where_it_lies_and_where_it_is_carried_to() {
    let folder = tempfile::tempdir().unwrap();
    let (place, key) = record(folder.path());
    let (code, out, _) = run(&["record", "verify", &place, "--key", &key]);
    assert_eq!(code, 0, "{out}");
    assert!(out.contains("21 events") && out.contains("1 at its end are not sealed"), "{out}");
    let file = folder.path().join("record.jsonl").display().to_string();
    assert_eq!(run(&["record", "export", &place, "--to", &file]).0, 0);
    let (code, out, _) = run(&["record", "verify", &file, "--key", &key, "--json"]);
    let answer: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(
        (code, &answer["holds"], &answer["events"], &answer["unsealed"]),
        (0, &true.into(), &21.into(), &1.into())
    );
    let (code, out, _) = run(&["record", "verify", &file, "--key", &"00".repeat(32)]);
    assert_eq!(code, 1);
    assert!(
        out.starts_with("BROKEN at event 10: the seal of event 10 does not hold: it is of another key"),
        "{out}"
    );
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replacen("nº 7", "nº 8", 1)).unwrap();
    let (code, out, _) = run(&["record", "verify", &file]);
    assert_eq!(code, 1);
    assert!(out.starts_with("BROKEN at event 7: event 7 is not what was hashed"), "{out}");
    let cut: String = text
        .lines()
        .filter(|line| !line.contains("\"seq\":20,\"received"))
        .fold(String::new(), |all, line| all + line + "\n");
    fs::write(&file, cut).unwrap();
    let (code, out, _) = run(&["record", "verify", &file]);
    assert!(code == 1 && out.starts_with("BROKEN at event 20: event 20 is missing"), "{out}");
    fs::write(&file, "{\"a\":1}\n").unwrap();
    let (code, _, err) = run(&["record", "verify", &file]);
    assert!(code == 2 && err.starts_with("error S0011"), "{err}");
}

#[test]
fn backup_restore_show_and_table() {
    let folder = tempfile::tempdir().unwrap();
    let (place, key) = record(folder.path());
    let name = |name: &str| folder.path().join(name).display().to_string();
    let (backup, again) = (name("backup.db"), name("again.db"));
    assert_eq!(run(&["record", "backup", &place, &backup]).0, 0);
    let (code, _, err) = run(&["record", "backup", &place, &backup]);
    assert!(code == 2 && err.starts_with("error S0008"), "{err}");
    let (code, out, _) = run(&["record", "restore", &backup, &again]);
    assert!(code == 0 && out.starts_with("21 events"), "{out}");
    assert_eq!(run(&["record", "verify", &again, "--key", &key]).0, 0);
    let (_, shown, _) = run(&["record", "show", &again, "--since", "19"]);
    assert_eq!(shown.lines().count(), 2);
    assert!(shown.starts_with("    20  2025-11-25 19:46:40  Ana  -  {"), "{shown}");
    let (_, table, _) = run(&["record", "export", &again, "--csv"]);
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    assert_eq!(rows.headers().unwrap().len(), 13);
    assert_eq!(rows.records().filter(|row| row.as_ref().unwrap().get(10) == Some("note")).count(), 21);
    let (code, _, err) = run(&["record", "show", &name("nowhere.db")]);
    assert!(code == 2 && err.starts_with("error S0004"), "{err}");
    assert!(!Path::new(&name("nowhere.db")).exists(), "asking makes no record");
}

#[test]
fn the_python_of_the_documentation_verifies_an_exported_record() {
    let page =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/record.md")).unwrap();
    let program = page.split("```python\n").nth(1).unwrap().split("```").next().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let (place, key) = record(folder.path());
    let file = folder.path().join("record.jsonl").display().to_string();
    assert_eq!(run(&["record", "export", &place, "--to", &file]).0, 0);
    let python = |arguments: &[&str]| {
        let output = Command::new("python3").arg("-c").arg(program).args(arguments).output().ok()?;
        Some((
            output.status.success(),
            String::from_utf8_lossy(&[output.stdout, output.stderr].concat()).into_owned(),
        ))
    };
    let Some((holds, said)) = python(&[&file]) else {
        eprintln!("SKIPPED: python3 is not installed, so the lines of docs/record.md were not tried");
        return;
    };
    assert!(holds && said == "holds: 21 events, sealed up to 20\n", "{said}");
    match python(&[&file, &key]) {
        Some((false, said)) if said.contains("No module named") => {
            eprintln!(
                "SKIPPED: the Python package `cryptography` is not installed, so no seal was checked by it"
            );
        }
        Some((holds, said)) => {
            assert!(holds, "{said}");
            let other = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a";
            assert!(!python(&[&file, other]).unwrap().0, "another key's seals do not hold");
        }
        None => unreachable!("it ran before"),
    }
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replacen("nº 7", "nº 8", 1)).unwrap();
    let (holds, said) = python(&[&file]).unwrap();
    assert!(!holds && said.contains("event 7 is not what was hashed"), "{said}");
}
