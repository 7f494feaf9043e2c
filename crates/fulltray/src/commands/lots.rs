//! `fulltray lots`: what is held, what has to go, from a glass to its lots, from a lot to its glasses.

use std::collections::BTreeMap;

use ft_lots::{
    Books, Due, GlassView, InventoryView, Limits, TraceView, glass_text, inventory_text, trace_text,
};

use super::rules::book;
use super::show;
use crate::args::morning::{LotsArgs, LotsCommand};
use crate::exit::{Answer, Failure};
use crate::record;

/// Answers from the record. What has to go now, or was served of a lot that was called back, is a no.
pub fn run(args: &LotsArgs) -> Result<Answer, Failure> {
    let (zone, at_ms) = (record::zone(&args.record)?, record::at_ms(&args.record)?);
    let book = book(&args.rules)?;
    let limits = Limits::of(&book.stack(), zone.clone());
    let mut books = Books::new();
    record::each(args.record.store.as_deref(), |event| books.apply(event))?;
    let json = args.rules.json;
    match &args.command {
        Some(LotsCommand::Glass { place }) => {
            let view = GlassView::new(&books, place, at_ms, &limits);
            show(json, &view, || glass_text(&view, &zone))?;
            Ok(if view.contents.shares.is_empty() { Answer::Unfinished } else { Answer::Yes })
        }
        Some(LotsCommand::Trace { lot }) => {
            if !books.lots().contains_key(lot) {
                return Err(unknown(&books, lot));
            }
            let view = TraceView::new(&books, lot, &limits);
            show(json, &view, || trace_text(&view, &zone))?;
            Ok(if view.recalled.is_some() { Answer::No } else { Answer::Yes })
        }
        Some(LotsCommand::Due) | None => {
            let mut view = InventoryView::new(&books, at_ms, &limits, &BTreeMap::new());
            if args.command.is_some() {
                view.held.retain(|held| held.due <= Due::Today);
            }
            show(json, &view, || inventory_text(&view))?;
            let must_go = view.held.iter().any(|held| held.due == Due::Now);
            Ok(if must_go { Answer::No } else { Answer::Yes })
        }
    }
}

fn unknown(books: &Books, lot: &str) -> Failure {
    let remedy = match ft_diag::nearest(lot, books.lots().keys().map(String::as_str)) {
        Some(near) => format!("did you mean `{near}`?"),
        None => "`fulltray lots` lists what is held".to_owned(),
    };
    Failure::plain("F0088", format!("the record knows no lot `{lot}`"), remedy)
}
