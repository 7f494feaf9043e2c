//! The record of a night, as people read it.

use axum::response::Response;
use ft_pages::{Language, Page, RecordLine, RecordView, RunLine, SignatureLine};

use super::Visit;
use crate::clock::{clock, day};
use crate::problem::Problem;
use crate::site::Site;

/// The record of a night.
pub async fn record(visit: Visit) -> Response {
    visit
        .page(Page::Record, |at| {
            Ok(ft_pages::record(&at.shell, &record_view(at.site, at.query.run.as_deref(), at.language)?))
        })
        .await
}

fn record_view(site: &Site, run: Option<&str>, language: Language) -> Result<RecordView, Problem> {
    let runs = site.known().runs.clone();
    let shown = runs.iter().rev().find(|line| run.is_none_or(|run| line.id == run)).cloned();
    let title = |line: &crate::known::RunLine| format!("{} {}", day(line.at_ms), line.procedure);
    let lines: Vec<RunLine> = runs
        .iter()
        .rev()
        .map(|line| RunLine {
            run: line.id.clone(),
            title: title(line),
            is_signed: line.is_signed,
            is_shown: shown.as_ref().is_some_and(|shown| shown.id == line.id),
        })
        .collect();
    let events = match &shown {
        Some(shown) => site.store.run(&shown.id)?,
        None => Vec::new(),
    };
    let current = site.current();
    let mut signatures = Vec::new();
    let mut shown_lines = Vec::new();
    for stored in &events {
        let event = &stored.event;
        let label = event.machine.as_ref().and_then(|name| current.run.machine(name));
        if let ft_record::Fact::Signed { .. } = event.fact {
            let text = format!("{} · {}", event.person.as_deref().unwrap_or("–"), clock(event.at_ms));
            signatures.push(SignatureLine { text });
        }
        shown_lines.push(RecordLine {
            seq: stored.seq,
            id: event.id.clone(),
            at: clock(event.at_ms),
            who: event.person.clone(),
            machine: label
                .map(|live| live.label(language.code()).to_owned())
                .or_else(|| event.machine.clone()),
            what: crate::sentence::sentence(&event.fact, label, language),
            is_corrected: current.night.corrections.iter().any(|one| one.takes_out(&event.id)),
            conflict: None,
        });
    }
    let head = site.store.head()?;
    let chain = match language {
        Language::English => {
            format!("{} events in the record; each holds the hash of the one before.", head.seq)
        }
        Language::Spanish => {
            format!("{} hechos en el registro; cada uno lleva la huella del anterior.", head.seq)
        }
    };
    Ok(RecordView {
        runs: lines,
        run: shown.as_ref().map(|shown| shown.id.clone()),
        title: shown.as_ref().map(title).unwrap_or_default(),
        lines: shown_lines,
        signatures,
        chain,
        head: ft_record::hex(&head.hash),
    })
}
