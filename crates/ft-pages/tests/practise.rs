//! Practice sessions in the tablet's own program, on procedures of the demo kitchen with their proved order.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use ft_compile::Variant;
use ft_form::json;
use ft_prove::{Limits, order, with_order};
use serde_json::Value;

fn wire(form: &ft_form::Form) -> Value {
    serde_json::from_str(&json::print(form)).expect("JSON")
}

#[test]
fn who_does_right_passes_and_who_does_wrong_does_not() {
    if Command::new("node").arg("--version").output().is_err() {
        println!("SKIPPED: there is no `node` to run the tablet's program");
        return;
    }
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    let mut files: Vec<PathBuf> = std::fs::read_dir(demo)
        .expect("the demo kitchen")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    // The two that are proved fastest.
    files.retain(|path| ["juice.machine.kdl", "slicer.machine.kdl"].iter().any(|name| path.ends_with(name)));
    files.sort();
    let path = std::env::temp_dir().join(format!("fulltray-practice-{}.jsonl", std::process::id()));
    let mut out = std::fs::File::create(&path).expect("a file for the forms");
    let mut count = 0;
    for file in files {
        let (read, _) = ft_compile::read(&std::fs::read_to_string(&file).expect("a demo file"));
        for procedure in 0..read.procedures.len() {
            let Ok(carded) = ft_compile::compile(&read, procedure, &Variant::default(), 2) else {
                panic!("{} compiles", file.display());
            };
            let groups: Vec<_> = carded.loads.iter().map(|load| load.parts.clone()).collect();
            let freely = ft_compile::compile_freely(&read, procedure, &Variant::default(), 2, &groups);
            let Ok(lowered) = freely else {
                panic!("{} compiles without the card's order", file.display());
            };
            let Ok(order) = order(&lowered.form, &Limits::default()) else {
                panic!("{} has an order", file.display());
            };
            let both = serde_json::json!({ "form": wire(&with_order(&lowered.form, &order)), "free": wire(&lowered.form) });
            writeln!(out, "{both}").expect("written");
            count += 1;
        }
    }
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/practise.mjs");
    let output = Command::new("node").arg(script).arg(&path).output().expect("node runs");
    std::fs::remove_file(&path).ok();
    let told = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success(), "{told}{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(told.lines().count(), count, "every procedure was practised");
    print!("{told}");
}
