//! `fulltray record`.

use std::fs::File;
use std::io::{BufWriter, Read as _, Write};
use std::path::Path;

use ft_record::{Broken, Event, Follow, Link, Seal, Stored, hex};
use ft_store::{Store, StoreError};
use serde::Serialize;

use super::{out, show};
use crate::args::record::{RecordArgs, RecordCommand};
use crate::exit::{Answer, Failure};
use crate::input;

/// Links that are held at a time.
const STRIDE: usize = 1000;

/// Does what was asked; a chain that is broken is a no.
pub fn run(args: &RecordArgs) -> Result<Answer, Failure> {
    match &args.command {
        RecordCommand::Verify { place, key } => verify(place, key.as_deref(), args.json),
        RecordCommand::Export { place, csv, to } => export(place, *csv, to.as_deref()),
        RecordCommand::Backup { place, file } => {
            let head = existing(place)?.backup(Path::new(file))?;
            done(
                args.json,
                &Written { file, events: head.seq },
                &format!("{} events are in {file}\n", head.seq),
            )
        }
        RecordCommand::Restore { file, place } => {
            let head = Store::restore(place, Path::new(file)).and_then(|store| store.head())?;
            let text = format!("{} events of {file} are in {place}; its chain holds\n", head.seq);
            done(args.json, &Written { file: place, events: head.seq }, &text)
        }
        RecordCommand::Show { place, run, since, limit } => {
            let store = existing(place)?;
            let mut events = match run {
                Some(run) => store.run(run)?,
                None => store.since(*since, *limit)?,
            };
            events.retain(|stored| stored.seq > *since);
            events.truncate(*limit);
            let views: Vec<Shown> = events.iter().map(Shown::new).collect();
            show(args.json, &views, || events.iter().map(line).collect())?;
            Ok(Answer::Yes)
        }
    }
}

#[derive(Serialize)]
struct Written<'a> {
    file: &'a str,
    events: u64,
}

fn done(json: bool, view: &impl Serialize, text: &str) -> Result<Answer, Failure> {
    show(json, view, || text.to_owned())?;
    Ok(Answer::Yes)
}

fn existing(place: &str) -> Result<Store, Failure> {
    Ok(Store::open_existing(place)?)
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        Self::plain(error.trouble.code(), error.to_string(), error.trouble.remedy())
    }
}

#[derive(Serialize)]
struct Verdict {
    holds: bool,
    /// Events that hold.
    events: u64,
    /// The hash of the last of them.
    head: String,
    seals: Vec<Seal>,
    /// Events after the last seal: the chain holds for them, but nobody has signed them yet.
    unsealed: u64,
    /// The first link that does not hold.
    #[serde(skip_serializing_if = "Option::is_none")]
    broken: Option<BrokenView>,
}

#[derive(Serialize)]
struct BrokenView {
    seq: u64,
    sentence: String,
}

fn verify(place: &str, key: Option<&str>, json: bool) -> Result<Answer, Failure> {
    let (follow, broken) =
        if is_exported(place) { follow_file(place, key)? } else { follow_store(place, key)? };
    let (events, head) = follow.head();
    let seals = follow.held();
    let unsealed = events - seals.last().map_or(0, |seal| seal.seq);
    let broken = broken.map(|broken| BrokenView { seq: broken.seq, sentence: broken.to_string() });
    let verdict = Verdict { holds: broken.is_none(), events, head: hex(&head), seals, unsealed, broken };
    show(json, &verdict, || told(&verdict, key.is_some()))?;
    Ok(if verdict.holds { Answer::Yes } else { Answer::No })
}

fn told(verdict: &Verdict, key_given: bool) -> String {
    if let Some(broken) = &verdict.broken {
        return format!(
            "BROKEN at event {}: {}\nBefore it {} hold.\n",
            broken.seq, broken.sentence, verdict.events
        );
    }
    let mut text =
        format!("The chain holds: {} events, the last hash is {}.\n", verdict.events, verdict.head);
    for seal in &verdict.seals {
        text.push_str(&format!("Sealed up to event {} by the key {}.\n", seal.seq, seal.key));
    }
    if verdict.unsealed > 0 {
        text.push_str(&format!("{} at its end are not sealed yet.\n", verdict.unsealed));
    }
    if !key_given && !verdict.seals.is_empty() {
        text.push_str("Compare the key with the one that you have from the site, or give it with --key.\n");
    }
    text
}

/// A file of text; a database file begins with its own words.
fn is_exported(place: &str) -> bool {
    let mut first = [0; 1];
    let read = File::open(place).and_then(|mut file| file.read_exact(&mut first));
    place == "-" || (read.is_ok() && first == *b"{")
}

fn follow_file(place: &str, key: Option<&str>) -> Result<(Follow, Option<Broken>), Failure> {
    let source = input::text(place)?;
    let exported = ft_record::read_exported(&source.text).map_err(|error| {
        Failure::plain(
            "S0011",
            format!("{place}: {error}"),
            "name a file that `fulltray record export` wrote",
        )
    })?;
    let mut follow = Follow::new(exported.seals, key);
    let broken = take_all(&mut follow, &exported.links).and_then(|()| follow.end()).err();
    Ok((follow, broken))
}

fn follow_store(place: &str, key: Option<&str>) -> Result<(Follow, Option<Broken>), Failure> {
    let store = existing(place)?;
    let mut follow = Follow::new(store.seals()?, key);
    loop {
        let links = store.links(follow.head().0, STRIDE)?;
        if links.is_empty() {
            let broken = follow.end().err();
            return Ok((follow, broken));
        }
        if let Err(broken) = take_all(&mut follow, &links) {
            return Ok((follow, Some(broken)));
        }
    }
}

fn take_all(follow: &mut Follow, links: &[Link]) -> Result<(), Broken> {
    links.iter().try_for_each(|link| follow.take(link).map(|_| ()))
}

fn export(place: &str, csv: bool, to: Option<&str>) -> Result<Answer, Failure> {
    let store = existing(place)?;
    let Some(file) = to else {
        let mut text = Vec::new();
        write(&store, csv, &mut text)?;
        out(&String::from_utf8_lossy(&text))?;
        return Ok(Answer::Yes);
    };
    let mut writer = BufWriter::new(File::create(file).map_err(|error| unwritable(&error))?);
    let events = write(&store, csv, &mut writer)?;
    writer.flush().and_then(|()| writer.get_ref().sync_all()).map_err(|error| unwritable(&error))?;
    out(&format!("{events} events are in {file}\n"))?;
    Ok(Answer::Yes)
}

fn unwritable(error: &std::io::Error) -> Failure {
    Failure::plain(
        "F0073",
        format!("the export cannot be written: {error}"),
        "name a file in a folder that you may write to",
    )
}

/// Writes all events, and how many they are.
fn write(store: &Store, csv: bool, into: &mut dyn Write) -> Result<u64, Failure> {
    if csv { write_csv(store, into) } else { write_lines(store, into) }
}

fn write_lines(store: &Store, into: &mut dyn Write) -> Result<u64, Failure> {
    store.export(|line| into.write_all(line.as_bytes()).map_err(|error| unwritable(&error)))
}

fn write_csv(store: &Store, into: &mut dyn Write) -> Result<u64, Failure> {
    let bad = |error: csv::Error| unwritable(&error.into());
    let mut table = csv::Writer::from_writer(into);
    table
        .write_record([
            "seq",
            "received_ms",
            "id",
            "device",
            "order",
            "at_ms",
            "zone",
            "person",
            "run",
            "machine",
            "what",
            "fact",
            "hash",
        ])
        .map_err(bad)?;
    let mut at = 0;
    loop {
        let events = store.since(at, STRIDE)?;
        let Some(last) = events.last() else { break };
        at = last.seq;
        for stored in &events {
            let Event { id, device, order, at_ms, zone, person, run, machine, .. } = &stored.event;
            let (what, fact) = fact_of(&stored.event);
            let words = |text: &Option<String>| text.clone().unwrap_or_default();
            let row = [
                stored.seq.to_string(),
                stored.received_ms.to_string(),
                id.clone(),
                device.clone(),
                order.to_string(),
                at_ms.to_string(),
                zone.clone(),
                words(person),
                words(run),
                words(machine),
                what,
                fact,
                hex(&stored.hash),
            ];
            table.write_record(row).map_err(bad)?;
        }
    }
    table.flush().map_err(|error| unwritable(&error))?;
    Ok(at)
}

/// The kind of a fact, and the whole of it as JSON.
fn fact_of(event: &Event) -> (String, String) {
    let fact = serde_json::to_value(&event.fact).expect("a fact is plain data");
    (fact["what"].as_str().unwrap_or_default().to_owned(), fact.to_string())
}

#[derive(Serialize)]
struct Shown<'a> {
    seq: u64,
    received_ms: i64,
    hash: String,
    event: &'a Event,
}

impl<'a> Shown<'a> {
    fn new(stored: &'a Stored) -> Self {
        Self {
            seq: stored.seq,
            received_ms: stored.received_ms,
            hash: hex(&stored.hash),
            event: &stored.event,
        }
    }
}

/// One event as a line for a person: place, clock where it happened, who, machine, what.
fn line(stored: &Stored) -> String {
    let event = &stored.event;
    let at = jiff::Timestamp::from_millisecond(event.at_ms).and_then(|at| at.in_tz(&event.zone));
    let at =
        at.map_or_else(|_| format!("{} ms", event.at_ms), |at| at.strftime("%Y-%m-%d %H:%M:%S").to_string());
    let (_, fact) = fact_of(event);
    let who = event.person.as_deref().unwrap_or("-");
    let machine = event.machine.as_deref().unwrap_or("-");
    format!("{:>6}  {at}  {who}  {machine}  {fact}\n", stored.seq)
}
