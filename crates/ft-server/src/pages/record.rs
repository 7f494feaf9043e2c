//! The record, as people read it: all of it, of a day, or of a night.

use axum::response::Response;
use ft_pages::{Language, Page, RecordLine, RecordView, RunLine, SignatureLine};
use ft_record::{Fact, Stored};

use super::{Query, Visit};
use crate::clock::{clock, day};
use crate::current::Current;
use crate::known::Known;
use crate::leaf::{Leaf, Spans, extend, leaf};
use crate::problem::Problem;
use crate::site::Site;

/// Events on a leaf.
const LINES: u64 = 200;
/// Nights that are named where no day is chosen.
const NIGHTS: usize = 14;

/// The record.
pub async fn record(visit: Visit) -> Response {
    visit
        .page(Page::Record, |at| {
            Ok(ft_pages::record(&at.shell, &record_view(at.site, at.query, at.language)?))
        })
        .await
}

/// What is shown: of a night all of its events are read, since who signed it stands above every leaf; else the leaf's.
fn record_view(site: &Site, query: &Query, language: Language) -> Result<RecordView, Problem> {
    let head = site.store.head()?;
    let (runs, days) = {
        let known = site.known();
        let days: Option<Spans> =
            query.day.as_ref().map(|day| known.days.get(day).cloned().unwrap_or_default());
        (known.runs.clone(), days)
    };
    let shown = query.run.as_ref().and_then(|run| runs.iter().find(|line| line.id == *run)).cloned();
    let (of_leaf, signed, leaf) = if let Some(shown) = &shown {
        let mut events = site.store.run(&shown.id)?;
        let mut all = Spans::new();
        for stored in &events {
            extend(&mut all, stored.seq);
        }
        let leaf = leaf(&all, query.side(), LINES);
        let signed: Vec<Stored> = events.iter().filter(|stored| is_signature(stored)).cloned().collect();
        events.retain(|stored| leaf.spans.iter().any(|(first, last)| (*first..=*last).contains(&stored.seq)));
        (events, Some(signed), leaf)
    } else {
        let all = days.unwrap_or_else(|| if head.seq == 0 { Vec::new() } else { vec![(1, head.seq)] });
        let leaf = leaf(&all, query.side(), LINES);
        (read(site, &leaf)?, None, leaf)
    };
    let title = |line: &crate::known::RunLine| format!("{} {}", day(line.at_ms), line.procedure);
    let is_named = |line: &&crate::known::RunLine| match &query.day {
        Some(asked) => *asked == day(line.at_ms),
        None => true,
    };
    let most = if query.day.is_some() { usize::MAX } else { NIGHTS };
    let named = runs.iter().rev().filter(is_named).take(most).map(|line| RunLine {
        run: line.id.clone(),
        title: title(line),
        is_signed: line.is_signed,
        is_shown: shown.as_ref().is_some_and(|shown| shown.id == line.id),
    });
    let signatures = signed.as_ref().unwrap_or(&of_leaf).iter().filter(|stored| is_signature(stored));
    let signature = |stored: &Stored| {
        let who = stored.event.person.as_deref().unwrap_or("–");
        SignatureLine { text: format!("{who} · {}", clock(stored.event.at_ms)) }
    };
    let (current, known) = (site.current(), site.known());
    let chain = match language {
        Language::English => {
            format!("{} events in the record; each holds the hash of the one before.", head.seq)
        }
        Language::Spanish => {
            format!("{} hechos en el registro; cada uno lleva la huella del anterior.", head.seq)
        }
    };
    Ok(RecordView {
        runs: named.collect(),
        run: shown.as_ref().map(|shown| shown.id.clone()),
        title: shown.as_ref().map(title).unwrap_or_default(),
        signatures: signatures.map(signature).collect(),
        lines: of_leaf.iter().rev().map(|stored| line(stored, &current, &known, language)).collect(),
        leaves: query.leaves("/record", &leaf),
        chain,
        head: ft_record::hex(&head.hash),
    })
}

fn is_signature(stored: &Stored) -> bool {
    matches!(stored.event.fact, Fact::Signed { .. })
}

/// The events of a leaf.
fn read(site: &Site, leaf: &Leaf) -> Result<Vec<Stored>, Problem> {
    let mut events = Vec::new();
    for (first, last) in &leaf.spans {
        events.extend(site.store.since(first - 1, (last - first + 1) as usize)?);
    }
    Ok(events)
}

fn line(stored: &Stored, current: &Current, known: &Known, language: Language) -> RecordLine {
    let event = &stored.event;
    let label = event.machine.as_ref().and_then(|name| current.run.machine(name));
    // What the night takes back with an event, such as the other answers of a look, is known of the open one alone.
    let with = || current.night.corrections.iter().any(|one| one.takes_out(&event.id));
    RecordLine {
        seq: stored.seq,
        id: event.id.clone(),
        at: format!("{} {}", day(event.at_ms), clock(event.at_ms)),
        who: event.person.clone(),
        machine: label.map(|live| live.label(language.code()).to_owned()).or_else(|| event.machine.clone()),
        what: crate::sentence::sentence(&event.fact, label, language),
        is_corrected: known.is_taken_back(&event.id) || with(),
        conflict: None,
    }
}
