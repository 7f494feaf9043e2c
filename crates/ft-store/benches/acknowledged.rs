//! Acknowledged events a second, as a ratio to how often this disk can sync: `cargo bench -p ft-store`.
//!
//! A group is how many events one `append` carries. The disk's own rate is taken in the same run, in the same folder:
//! a file to which 4 KiB are appended and synced, again and again.
#![allow(clippy::unwrap_used)]

#[path = "../tests/common/mod.rs"]
mod common;

use std::fs::File;
use std::io::Write as _;
use std::time::{Duration, Instant};

use common::{Cluster, note};
use ft_store::Store;

/// How long each row is measured; the median of as many slices is told.
const SLICES: usize = 5;
const SLICE: Duration = Duration::from_millis(800);

fn main() {
    // `cargo test --benches` only asks whether it runs.
    if !std::env::args().any(|word| word == "--bench") {
        return;
    }
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let mut file = File::create(folder.path().join("syncs")).unwrap();
    let syncs = median(|| {
        file.write_all(&[7; 4096]).unwrap();
        file.sync_data().unwrap();
        1
    });
    println!("the disk syncs {syncs:.0} times a second\n");
    println!("{:<12} {:>8} {:>10} {:>16} {:>14}", "database", "group", "devices", "events/s", "events/sync");
    measure("SQLite", &folder.path().join("record.db").display().to_string(), syncs);
    if let Some(cluster) = Cluster::start() {
        measure("PostgreSQL", &cluster.database(), syncs);
    }
}

fn measure(name: &str, place: &str, syncs: f64) {
    let store = Store::open(place).unwrap();
    let mut order = 0;
    for group in [1, 100, 1000] {
        let rate = median(|| {
            let events = (order + 1..=order + group).map(|order| note("a", order)).collect();
            order += group;
            store.append(events, 1).unwrap();
            group
        });
        println!("{name:<12} {group:>8} {:>10} {rate:>16.0} {:>14.2}", 1, rate / syncs);
    }
    // Sixteen tablets, each waiting for its own answer: the writer takes all that wait into one transaction.
    let begin = Instant::now();
    let devices: Vec<String> = (0..16).map(|at| char::from(b'b' + at).to_string()).collect();
    let each = 500;
    std::thread::scope(|scope| {
        for device in &devices {
            let store = store.clone();
            scope.spawn(move || {
                for order in 1..=each {
                    store.append(vec![note(device, order)], 1).unwrap();
                }
            });
        }
    });
    let rate = (16 * each) as f64 / begin.elapsed().as_secs_f64();
    println!("{name:<12} {:>8} {:>10} {rate:>16.0} {:>14.2}", 1, 16, rate / syncs);
}

fn median(mut work: impl FnMut() -> u64) -> f64 {
    let mut rates: Vec<f64> = (0..SLICES)
        .map(|_| {
            let (begin, mut count) = (Instant::now(), 0);
            while begin.elapsed() < SLICE {
                count += work();
            }
            count as f64 / begin.elapsed().as_secs_f64()
        })
        .collect();
    rates.sort_by(f64::total_cmp);
    rates[SLICES / 2]
}
