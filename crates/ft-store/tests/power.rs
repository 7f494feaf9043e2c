//! The power fails: the disk keeps what was synced, and of the rest whatever it likes.
//!
//! No file system that drops unsynced writes is needed: `strace` writes down each write, truncation, sync and removal
//! of the program, in order, with the bytes. Out of that list the disk is built anew as it may have been at the moment of
//! each acknowledgement: all that was synced by then, and a random part of what was not. The record is opened there.
//! What this does not show: a disk that says that it has synced and has not, and sectors that are written in half.
#![allow(clippy::unwrap_used)]

mod common;

use std::collections::BTreeMap;
use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use common::note;
use ft_store::Store;

const PLACE: &str = "FULLTRAY_TEST_POWER";

/// The program that loses its power; as a test of its own it does nothing.
#[test]
fn a_night_under_strace() {
    let Ok(place) = std::env::var(PLACE) else { return };
    let store = Store::open(&place).unwrap();
    for order in 1..=40 {
        store.append(vec![note("a", order)], 1).unwrap();
        std::io::stdout().write_all(format!("acknowledged {order}.\n").as_bytes()).unwrap();
    }
}

enum Done {
    Write { file: String, at: usize, bytes: Vec<u8> },
    Truncate { file: String, length: usize },
    Sync { file: String },
    Remove { file: String },
    Acknowledged(u64),
}

#[test]
fn what_was_acknowledged_survives_the_power() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("record.db");
    let trace = folder.path().join("trace");
    let traced = Command::new("strace")
        .args([
            "-f",
            "-y",
            "-xx",
            "-s",
            "1000000",
            "-e",
            "trace=pwrite64,write,ftruncate,fsync,fdatasync,unlink",
            "-o",
        ])
        .arg(&trace)
        .arg(std::env::current_exe().unwrap())
        .args(["--exact", "a_night_under_strace", "--nocapture", "--test-threads=1"])
        .env(PLACE, &place)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    if !traced.is_ok_and(|status| status.success()) || !trace.exists() {
        eprintln!("SKIPPED: strace is not installed or may not trace, so no power was lost");
        return;
    }
    let done = read(&fs::read_to_string(&trace).unwrap(), &place.display().to_string());
    let moments: Vec<usize> =
        (0..done.len()).filter(|&at| matches!(done[at], Done::Acknowledged(_))).collect();
    assert_eq!(moments.len(), 40, "each acknowledgement was seen");
    assert!(
        done.iter().filter(|one| matches!(one, Done::Sync { .. })).count() >= 40,
        "one sync each, at least"
    );
    let mut tried = 0;
    for &moment in &moments {
        let Done::Acknowledged(count) = done[moment] else { unreachable!() };
        // Right then, and some way into the next append.
        for (seed, end) in [(0, moment), (1, moment), (2, moment + 2), (3, moment + 4)] {
            let end = end.min(done.len() - 1);
            let disk = tempfile::tempdir().unwrap();
            build(&done[..=end], disk.path(), count * 10 + seed);
            let found = Store::open_existing(&disk.path().join("record.db").display().to_string()).unwrap();
            let verified = found.verify(None).unwrap();
            assert_eq!(verified.broken, None);
            assert!(verified.events >= count, "{count} were acknowledged, {} are there", verified.events);
            tried += 1;
        }
    }
    // The judge of this test: a program that never synced would have lost something.
    let careless: Vec<Done> = done.into_iter().filter(|one| !matches!(one, Done::Sync { .. })).collect();
    let disk = tempfile::tempdir().unwrap();
    build(&careless, disk.path(), 1);
    let found = Store::open_existing(&disk.path().join("record.db").display().to_string());
    let kept = found.and_then(|store| store.verify(None)).map_or(0, |verified| verified.events);
    assert!(kept < 40, "without a sync {kept} of 40 were kept: this test sees nothing");
    println!("{tried} moments without power: nothing acknowledged was lost");
}

/// The list of what the program did to its files.
fn read(trace: &str, place: &str) -> Vec<Done> {
    let mut done = Vec::new();
    // A call of one thread may be told in two lines, when another came between.
    let mut begun: BTreeMap<&str, String> = BTreeMap::new();
    for line in trace.lines() {
        let Some((pid, call)) = line.split_once(' ') else { continue };
        let call = call.trim_start();
        let whole = if let Some(first) = call.strip_suffix("<unfinished ...>") {
            begun.insert(pid, first.trim_end().to_owned());
            continue;
        } else if let Some((_, rest)) =
            call.strip_prefix("<... ").and_then(|rest| rest.split_once("resumed>"))
        {
            begun.remove(pid).unwrap_or_default() + rest
        } else {
            call.to_owned()
        };
        done.extend(one(&whole, place));
    }
    done
}

fn one(call: &str, place: &str) -> Option<Done> {
    let (name, rest) = call.split_once('(')?;
    let quoted = || unescape(rest.split('"').nth(1)?);
    if name == "unlink" {
        let path = String::from_utf8(quoted()?).ok()?;
        return Some(Done::Remove { file: path.strip_prefix(place)?.to_owned() });
    }
    let path = String::from_utf8(unescape(rest.split_once('<')?.1.split_once('>')?.0)?).ok()?;
    if name == "write" {
        let text = String::from_utf8(quoted()?).ok()?;
        let count = text.strip_prefix("acknowledged ")?.strip_suffix(".\n")?;
        return Some(Done::Acknowledged(count.parse().ok()?));
    }
    let file = path.strip_prefix(place)?.to_owned();
    // What stands after the last bracket is what the call answered; before it are the numbers.
    let numbers = rest.rsplit_once(')')?.0;
    let last = || numbers.rsplit(", ").next()?.parse().ok();
    match name {
        "pwrite64" => Some(Done::Write { file, at: last()?, bytes: quoted()? }),
        "ftruncate" => Some(Done::Truncate { file, length: last()? }),
        "fsync" | "fdatasync" => Some(Done::Sync { file }),
        _ => None,
    }
}

/// Bytes from strace's `\x41\x42`; a path may be in plain letters.
fn unescape(text: &str) -> Option<Vec<u8>> {
    if !text.starts_with("\\x") {
        return Some(text.as_bytes().to_vec());
    }
    text.split("\\x").skip(1).map(|digits| u8::from_str_radix(digits.get(..2)?, 16).ok()).collect()
}

/// The disk as it may be: each write that was synced later, and by chance those that were not.
fn build(done: &[Done], folder: &Path, seed: u64) {
    let mut files: BTreeMap<&str, Vec<u8>> = BTreeMap::new();
    for (at, one) in done.iter().enumerate() {
        let synced = |file: &str| {
            done[at..].iter().any(|later| matches!(later, Done::Sync { file: other } if other == file))
        };
        let lucky = || (seed + at as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 63 == 1;
        match one {
            Done::Write { file, at, bytes } if synced(file) || lucky() => {
                let content = files.entry(file).or_default();
                content.resize(content.len().max(at + bytes.len()), 0);
                content[*at..at + bytes.len()].copy_from_slice(bytes);
            }
            Done::Truncate { file, length } if synced(file) || lucky() => {
                files.entry(file).or_default().resize(*length, 0);
            }
            Done::Remove { file } => {
                files.remove(file.as_str());
            }
            _ => {}
        }
    }
    for (file, content) in files {
        fs::write(folder.join(format!("record.db{file}")), content).unwrap();
    }
}
