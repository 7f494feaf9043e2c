//! Reads the record that a person names: a store, or a file of events.

use ft_record::Event;
use ft_store::{Store, StoreError};
use jiff::tz::TimeZone;

use crate::args::morning::RecordArgs;
use crate::exit::Failure;
use crate::input;

/// How many events are read at a time.
const PAGE: usize = 4096;

/// Every event, in the order in which the record has them, given to `take`.
pub fn each(store: Option<&str>, mut take: impl FnMut(&Event)) -> Result<(), Failure> {
    let Some(place) = store else {
        return Err(Failure::plain(
            "F0085",
            "no record is named",
            "name it with `--store PLACE`: a path, `sqlite:PATH`, `postgres://…`, or a `.jsonl` file of events",
        ));
    };
    if std::path::Path::new(place).extension().is_some_and(|end| end.eq_ignore_ascii_case("jsonl")) {
        return lines(place, take);
    }
    let store = Store::open_existing(place).map_err(|error| bad_store(&error))?;
    let mut seq = 0;
    loop {
        let page = store.since(seq, PAGE).map_err(|error| bad_store(&error))?;
        let Some(last) = page.last() else { return Ok(()) };
        seq = last.seq;
        for stored in &page {
            take(&stored.event);
        }
    }
}

/// What is wrong with a store, as the command line says it.
pub fn bad_store(error: &StoreError) -> Failure {
    Failure::plain("F0086", error.to_string(), "check the place, and that no other program holds it")
}

/// A line is an event, or a stored link with the event in it.
fn lines(path: &str, mut take: impl FnMut(&Event)) -> Result<(), Failure> {
    let source = input::text(path)?;
    for (index, line) in source.text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
        let event = read_line(line).map_err(|why| {
            Failure::plain(
                "F0082",
                format!("{path}:{}: this is no event: {why}", index + 1),
                "write one event, as JSON, on each line",
            )
        })?;
        take(&event);
    }
    Ok(())
}

fn read_line(line: &str) -> Result<Event, String> {
    #[derive(serde::Deserialize)]
    struct Link<'a> {
        #[serde(borrow)]
        event: &'a serde_json::value::RawValue,
    }
    let text = serde_json::from_str::<Link<'_>>(line).map_or(line, |link| link.event.get());
    ft_record::read_event(text).map_err(|error| error.to_string())
}

/// The kitchen's zone.
pub fn zone(args: &RecordArgs) -> Result<TimeZone, Failure> {
    ft_coldchain::read_zone(&args.zone).map_err(|bad| Failure::plain("F0087", bad.message, bad.remedy))
}

/// The moment of the question, milliseconds since 1970.
pub fn at_ms(args: &RecordArgs) -> Result<i64, Failure> {
    let Some(text) = &args.at else { return Ok(jiff::Timestamp::now().as_millisecond()) };
    let at: Result<jiff::Timestamp, _> = text.parse();
    at.map(jiff::Timestamp::as_millisecond).map_err(|_| {
        Failure::plain(
            "F0087",
            format!("`{text}` is not a moment"),
            "write it with its offset, such as 2026-06-01T07:30Z or 2026-06-01T09:30+02:00",
        )
    })
}
