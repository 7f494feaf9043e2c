//! Views as plain text for a terminal.

use std::fmt::Write as _;

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::due::Due;
use crate::view::{Contents, GlassView, InventoryView, TraceView};

/// What is held, what has to go first at the top.
pub fn inventory_text(view: &InventoryView) -> String {
    let mut text = format!("Held on {}:\n", view.today);
    if view.held.is_empty() {
        text.push_str("  nothing\n");
    }
    for held in &view.held {
        let due = match (held.due, &held.last_day) {
            (Due::Now, Some(day)) => format!("GO NOW, last day was {day}"),
            (Due::Now, None) => "GO NOW".to_owned(),
            (Due::Today, _) => "goes today".to_owned(),
            (Due::Later, Some(day)) => format!("until {day}"),
            (Due::Later, None) => String::new(),
        };
        let _ = writeln!(
            text,
            "  {} ({}{}): {:.2} L, {due}: {}{}",
            held.place,
            held.kind,
            held.stored.as_ref().map(|at| format!(", {at}")).unwrap_or_default(),
            held.contents.litres,
            held.decides,
            held.decided_by_lot
                .as_ref()
                .filter(|lot| **lot != held.place)
                .map(|lot| format!(" (lot {lot})"))
                .unwrap_or_default()
        );
        if held.contents.shares.len() > 1 {
            shares(&mut text, &held.contents, "    ");
        }
    }
    for short in &view.shortfalls {
        let _ = writeln!(
            text,
            "  Not accounted for: {:.2} L came out of {} while the books held {:.2} L",
            short.drawn_litres, short.place, short.held_litres
        );
    }
    let _ = write!(text, "\n{}\n", view.caution);
    text
}

/// What was in a glass.
pub fn glass_text(view: &GlassView, zone: &TimeZone) -> String {
    let mut text = format!("In a glass out of {} at {}:\n", view.place, clock(view.at_ms, zone));
    if view.contents.shares.is_empty() {
        text.push_str("  nothing: the books hold nothing there at that time\n");
    }
    shares(&mut text, &view.contents, "  ");
    let _ = write!(text, "\n{}\n", view.caution);
    text
}

/// Where a lot went.
pub fn trace_text(view: &TraceView, zone: &TimeZone) -> String {
    let mut text = format!("Lot {}", view.lot);
    if let Some(product) = &view.product {
        let _ = write!(text, ", {product}");
    }
    text.push('\n');
    if let Some(because) = &view.recalled {
        let _ = writeln!(text, "CALLED BACK: {because}");
    }
    let _ = writeln!(
        text,
        "{:.2} L came in; {:.2} L served, {:.2} L thrown away, {:.2} L still here",
        view.in_litres, view.served_litres, view.away_litres, view.held_litres
    );
    for (place, litres) in &view.hold_now {
        let _ = writeln!(text, "  hold back now: {place}, {litres:.3} L of it");
    }
    let _ = writeln!(text, "Places that held some of it:");
    for span in &view.places {
        let until = span.until_ms.map_or("now".to_owned(), |until| clock(until, zone));
        let _ = writeln!(text, "  {}: {} to {until}", span.place, clock(span.from_ms, zone));
    }
    if !view.nights.is_empty() {
        let _ = writeln!(text, "Served with some of it in it, {:.2} L in all:", view.touched_litres);
    }
    for line in &view.nights {
        let _ = writeln!(
            text,
            "  night of {}, {}: {:.3} L of it in {:.2} L",
            line.night, line.machine, line.litres, line.of_litres
        );
    }
    for line in &view.served {
        let _ = writeln!(
            text,
            "    {} to {}, {}: {:.3} L of {:.2} L, {:.2} %",
            clock(line.from_ms, zone),
            clock(line.until_ms, zone),
            line.place,
            line.litres,
            line.of_litres,
            100.0 * line.share
        );
    }
    let _ = write!(text, "\n{}\n", view.caution);
    text
}

fn shares(text: &mut String, contents: &Contents, indent: &str) {
    for share in &contents.shares {
        let age = share.age_days.map_or("age unknown".to_owned(), |age| format!("{age:.1} days old"));
        let _ = writeln!(text, "{indent}{:6.2} % lot {}, {age}", 100.0 * share.share, share.lot);
    }
}

fn clock(at_ms: i64, zone: &TimeZone) -> String {
    let at = Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH);
    zone.to_datetime(at).strftime("%Y-%m-%d %H:%M").to_string()
}
