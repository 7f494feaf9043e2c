//! Killed at any moment, in hundreds of nights: nothing acknowledged is lost, nothing is half stored, the chain holds.
//!
//! The program that is killed is this test itself, started again: two devices append small batches and print each
//! batch once it is acknowledged. `FULLTRAY_FULL=1` plays 500 nights on SQLite and 100 on PostgreSQL, else 25 and 5.
#![allow(clippy::unwrap_used)]

mod common;

use std::collections::{BTreeMap, BTreeSet};
use std::io::{BufRead as _, BufReader, Write as _};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use common::{Cluster, event};
use ft_record::Fact;
use ft_store::Store;

const PLACE: &str = "FULLTRAY_TEST_PLACE";
const PART: &str = "FULLTRAY_TEST_PART";

/// Nights to play: in full, or as many as `./check` has time for.
fn nights(full: u64, few: u64) -> u64 {
    if std::env::var("FULLTRAY_FULL").is_ok_and(|value| value == "1") { full } else { few }
}

/// Numbers by seed: `SplitMix64` (Steele, Lea and Flood 2014).
fn chance(seed: u64) -> u64 {
    let mut z = seed.wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

/// The program that is killed; as a test of its own it does nothing.
#[test]
fn scripted_night() {
    let (Ok(place), Ok(part)) = (std::env::var(PLACE), std::env::var(PART)) else { return };
    let part: u64 = part.parse().unwrap();
    let store = Store::open(&place).unwrap();
    std::thread::scope(|scope| {
        for device in ["a", "b"] {
            let store = store.clone();
            scope.spawn(move || {
                let mut order = part * 100_000;
                loop {
                    let size = 1 + chance(order) % 4;
                    // Each says how many belong to its batch.
                    let text = format!("{device} {order} {size}");
                    let batch = (0..size).map(|_| {
                        order += 1;
                        event(device, order, Fact::Note { text: text.clone() })
                    });
                    let batch: Vec<_> = batch.collect();
                    store.append(batch, 1).unwrap();
                    // In one write, so that a line is whole or not there.
                    std::io::stdout().write_all(format!("\nacknowledged {text}\n").as_bytes()).unwrap();
                }
            });
        }
    });
}

fn start(place: &str, part: u64) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "scripted_night", "--nocapture", "--test-threads=1"])
        .envs([(PLACE, place.to_owned()), (PART, part.to_string())])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// The batches that were acknowledged before the end.
fn acknowledged(child: &mut Child) -> Vec<String> {
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let lines = lines.map_while(Result::ok);
    let said = lines.filter_map(|line| line.strip_prefix("acknowledged ").map(str::to_owned)).collect();
    child.wait().unwrap();
    said
}

/// What must hold after a crash; says how many batches there are.
fn judge(place: &str, acknowledged: &[String]) -> usize {
    let store = Store::open(place).unwrap();
    let verified = store.verify(None).unwrap();
    assert_eq!(verified.broken, None);
    let mut batches: BTreeMap<String, u64> = BTreeMap::new();
    let mut ids = BTreeSet::new();
    for stored in store.since(0, usize::MAX).unwrap() {
        assert!(ids.insert(stored.event.id.clone()), "stored twice");
        let Fact::Note { text } = stored.event.fact else { panic!() };
        *batches.entry(text).or_default() += 1;
    }
    for (batch, count) in &batches {
        let size: u64 = batch.rsplit(' ').next().unwrap().parse().unwrap();
        assert_eq!(*count, size, "half stored: {batch}");
    }
    for batch in acknowledged {
        assert!(batches.contains_key(batch), "acknowledged and lost: {batch}");
    }
    batches.len()
}

#[test]
fn nights_on_sqlite() {
    let (mut said, mut kept, count) = (0, 0, nights(500, 25));
    for night in 0..count {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path().join("record.db").display().to_string();
        let mut all = Vec::new();
        // The second part begins where the first was killed, so that mending is interrupted too.
        for part in 0..2 {
            let mut child = start(&place, part);
            std::thread::sleep(Duration::from_micros(chance(night * 2 + part) % 60_000));
            child.kill().unwrap();
            all.extend(acknowledged(&mut child));
        }
        kept += judge(&place, &all);
        said += all.len();
    }
    println!(
        "{count} nights, {} kills: {said} batches acknowledged, {kept} found, none lost, none half",
        count * 2
    );
    assert!(said as u64 > count, "the nights were too short to say anything");
}

#[test]
fn nights_on_postgresql() {
    let Some(mut cluster) = Cluster::start() else { return };
    let (mut said, mut kept, count) = (0, 0, nights(100, 5));
    for night in 0..count {
        let place = cluster.database();
        let mut all = Vec::new();
        for part in 0..2 {
            let mut child = start(&place, part);
            std::thread::sleep(Duration::from_micros(20_000 + chance(night * 2 + part) % 150_000));
            // First the program; then the server with every process of it.
            if part == 0 {
                child.kill().unwrap();
            } else {
                cluster.kill();
                child.kill().unwrap();
                cluster.run();
            }
            all.extend(acknowledged(&mut child));
        }
        kept += judge(&place, &all);
        cluster.discard(&place);
        said += all.len();
    }
    println!(
        "{count} nights, {} kills: {said} batches acknowledged, {kept} found, none lost, none half",
        count * 2
    );
    assert!(said as u64 > count, "the nights were too short to say anything");
}
