//! A `MaxSAT` solver (RC2 of python-sat, through `maxsat.py`, with its own reading of the core form) confirms on
//! small forms that no repair is smaller, and tells how far orders are from the loosest.
//!
//! Where Python or python-sat is missing the test says so and skips.

use std::collections::BTreeSet;
use std::io::Write;
use std::process::{Command, Stdio};

use ft_form::Form;
use ft_prove::{Limits, Repair, order, repair};
use ft_testkit::tiny;

fn ask(forms: &[Form]) -> Option<Vec<serde_json::Value>> {
    let there = Command::new("python3").args(["-c", "import pysat"]).output().ok()?.status.success();
    if !there {
        return None;
    }
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/maxsat.py");
    let mut python = Command::new("python3")
        .arg(script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("Python was there a moment ago");
    let mut input = python.stdin.take().expect("it is piped");
    let lines: String = forms.iter().map(|form| ft_form::json::print(form) + "\n").collect();
    let writer = std::thread::spawn(move || input.write_all(lines.as_bytes()));
    let output = python.wait_with_output().expect("Python ends");
    writer.join().expect("the thread ends").expect("Python reads everything");
    let text = String::from_utf8(output.stdout).expect("JSON is UTF-8");
    Some(text.lines().map(|line| serde_json::from_str(line).expect("one answer a line")).collect())
}

/// How many pairs follow from these.
fn pairs_in_all(size: usize, pairs: impl Iterator<Item = (usize, usize)>) -> u64 {
    let mut all: BTreeSet<(usize, usize)> = pairs.collect();
    for middle in 0..size {
        for first in 0..size {
            for then in 0..size {
                if all.contains(&(first, middle)) && all.contains(&(middle, then)) {
                    all.insert((first, then));
                }
            }
        }
    }
    all.len() as u64
}

#[test]
fn on_small_forms() {
    let forms: Vec<Form> = (50_000..52_000)
        .map(|seed| tiny::form(seed, 5))
        .filter(|form| form.events.iter().all(|event| !event.nature))
        .collect();
    let Some(answers) = ask(&forms) else {
        println!("skipped: python-sat is not installed (pip install python-sat)");
        return;
    };
    assert_eq!(answers.len(), forms.len());
    let (mut repairs, mut orders, mut loosest, mut excess) = (0, 0, 0, 0);
    for (form, answer) in forms.iter().zip(&answers) {
        let found = match repair(form, &Limits::default()) {
            Repair::Nothing => Some(0),
            Repair::Add(added) => Some(added.len() as u64),
            Repair::Impossible { .. } => None,
            Repair::TooLarge => panic!("{} is not large", form.name),
        };
        assert_eq!(found, answer["repair"].as_u64(), "{}", form.name);
        repairs += u32::from(found.is_some_and(|size| size > 0));
        let Ok(order) = order(form, &Limits::default()) else { continue };
        if !order.waits.is_empty() {
            continue;
        }
        let pairs = order.edges.iter().map(|edge| (edge.before, edge.after));
        let found = pairs_in_all(form.events.len(), pairs);
        let least = answer["order"].as_u64().expect("there is an order, so there is a loosest");
        assert!(found >= least, "{}: {found} pairs, and MaxSAT found none under {least}", form.name);
        if found > 0 {
            orders += 1;
            loosest += u32::from(found == least);
            excess += found - least;
        }
    }
    println!("{} forms: {repairs} repairs, all as small as can be", forms.len());
    println!(
        "{orders} orders, {loosest} of them the loosest there is, the others {excess} pairs over in all"
    );
    assert!(repairs >= 20 && orders >= 50, "{repairs} {orders}");
}
