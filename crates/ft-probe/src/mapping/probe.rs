//! Reads one probe.

use std::collections::BTreeMap;

use ft_syntax::{Entry, Node};

use super::values::{Values, text};
use super::{Columns, Keep, Probe, Source};
use crate::limit::Limit;
use crate::unit::ProbeUnit;

const WORDS: &[&str] = &[
    "label",
    "measures",
    "at",
    "machine",
    "unit",
    "topic",
    "file",
    "every",
    "silent-after",
    "limit",
    "warn",
    "possible",
    "keep",
    "look-ahead",
];

/// A quarter of an hour; shorter than the half hour after which a release takes a probe for silent.
/// Source: none, our choice.
const KEEP_EVERY_S: f64 = 900.0;
/// Source: none, our choice: a value that dithers about a step must not fill the record.
const KEEP_LEAST_S: f64 = 60.0;
/// Source: none, our choice: time to go there, look and shut a door.
const AHEAD_S: f64 = 1800.0;
/// Source: none, our choice.
const WINDOW_S: f64 = 900.0;
/// So many intervals without a reading are a silence, but at least [`SILENT_LEAST_S`]. Source: none, our choice.
const SILENT_INTERVALS: f64 = 3.0;
const SILENT_LEAST_S: f64 = 30.0;

/// Reads a probe; `None` where it has problems.
pub fn probe(node: &Node, values: &mut Values) -> Option<Probe> {
    let before = values.problems.len();
    let name = values.argument(node, "a name");
    let mut parts: BTreeMap<&str, &Node> = BTreeMap::new();
    let mut labels = BTreeMap::new();
    for child in node.children() {
        let word = child.name.text.as_str();
        if word == "label" {
            labels.extend(label(child, values));
        } else if !WORDS.contains(&word) {
            values.unknown(word, child.name.span.clone(), WORDS, "a word of a probe");
        } else if parts.insert(word, child).is_some() {
            let message = format!("`{word}` stands twice");
            values.error("P0005", child.name.span.clone(), &message, "leave one of them out");
        }
    }
    let unit = unit(node, parts.get("unit").copied(), values);
    let every = if let Some(every) = parts.get("every") {
        values.seconds(every)
    } else {
        let message = "the probe does not say how often it promises a reading";
        values.error("P0003", node.name.span.clone(), message, "add `every \"10 s\"`");
        None
    };
    let source = source(node, &parts, values);
    let limit = parts.get("limit").and_then(|limit| values.limit(limit, unit));
    let warn = parts.get("warn").and_then(|warn| values.limit(warn, unit));
    let possible = parts.get("possible").and_then(|range| values.range(range, unit));
    let silent = parts.get("silent-after").and_then(|silent| values.seconds(silent));
    let keep = parts.get("keep").map(|keep| {
        values.only(keep, &["step", "every", "least"]);
        (
            values.difference(keep, "step", unit),
            values.seconds_of(keep, "every"),
            values.seconds_of(keep, "least"),
        )
    });
    let ahead = parts.get("look-ahead").and_then(|ahead| values.seconds(ahead));
    let window = parts.get("look-ahead").and_then(|ahead| {
        values.only(ahead, &["window"]);
        values.seconds_of(ahead, "window")
    });
    let machine = parts.get("machine").and_then(|machine| {
        values.only(machine, &["vessel"]);
        values.argument(machine, "the name of a machine")
    });
    let vessel = parts.get("machine").and_then(|machine| text(machine, "vessel"));
    let place = parts.get("at").and_then(|at| values.argument(at, "the name of a place"));
    let measures = parts.get("measures").and_then(|what| values.argument(what, "what it measures"));
    let (unit, every_s) = (unit?, every?);
    let (step, keep_every, keep_least) = keep.unwrap_or_default();
    let probe = Probe {
        name: name?,
        labels,
        measures: measures.unwrap_or_else(|| measured(unit).to_owned()),
        place,
        machine,
        vessel,
        unit,
        whose: parts.get("limit").and_then(|limit| text(limit, "whose")),
        limit,
        warn,
        possible: possible.unwrap_or_else(|| unit.possible()),
        every_s,
        silent_s: silent.unwrap_or_else(|| (SILENT_INTERVALS * every_s).max(SILENT_LEAST_S)),
        keep: Keep {
            step: step.unwrap_or_else(|| unit.step()),
            every_s: keep_every.unwrap_or(KEEP_EVERY_S),
            least_s: keep_least.unwrap_or(KEEP_LEAST_S),
        },
        ahead_s: ahead.unwrap_or(AHEAD_S),
        window_s: window.unwrap_or(WINDOW_S),
        source: source?,
    };
    agrees(&probe, node, &parts, values);
    (values.problems.len() == before).then_some(probe)
}

fn measured(unit: ProbeUnit) -> &'static str {
    match unit {
        ProbeUnit::Temperature(_) => "temperature",
        ProbeUnit::Strength(_) => "strength",
        ProbeUnit::Volume(_) => "volume",
        ProbeUnit::Mass(_) => "mass",
        ProbeUnit::Plain(symbol) => symbol,
    }
}

/// `label "cold room"`, or `label es "cámara fría"`.
fn label(node: &Node, values: &mut Values) -> Option<(String, String)> {
    let texts: Vec<&str> = node.arguments.iter().filter_map(Entry::as_text).collect();
    match texts[..] {
        [label] => Some(("en".to_owned(), label.to_owned())),
        [language, label] => Some((language.to_owned(), label.to_owned())),
        _ => {
            let remedy = "write it like `label es \"cámara fría\"`";
            values.error("P0003", node.name.span.clone(), "a label is one text", remedy);
            None
        }
    }
}

fn unit(probe: &Node, node: Option<&Node>, values: &mut Values) -> Option<ProbeUnit> {
    let Some(node) = node else {
        let message = "the probe does not say its unit";
        values.error("P0003", probe.name.span.clone(), message, "add `unit \"°C\"` or another");
        return None;
    };
    let text = values.argument(node, "a unit")?;
    let unit = ProbeUnit::of(&text);
    if unit.is_none() {
        let span = node.arguments[0].span.clone();
        let remedy = "write one of: °C, °F, mg/L, ppm, g/L, %, °Bx, pH, bar, L, mL, L/min, g, kg";
        values.error("P0006", span, &format!("`{text}` is not a unit of a probe"), remedy);
    }
    unit
}

fn source(node: &Node, parts: &BTreeMap<&str, &Node>, values: &mut Values) -> Option<Source> {
    match (parts.get("topic"), parts.get("file")) {
        (Some(topic), None) => from_topic(topic, values),
        (None, Some(file)) => from_file(file, values),
        (Some(_), Some(file)) => {
            let message = "a probe's readings come from one place, and here are two";
            values.error("P0005", file.name.span.clone(), message, "leave out `topic` or `file`");
            None
        }
        (None, None) => {
            let message = "the probe does not say where its readings come from";
            values.error("P0003", node.name.span.clone(), message, "add `topic \"…\"` or `file \"…\"`");
            None
        }
    }
}

fn from_topic(node: &Node, values: &mut Values) -> Option<Source> {
    values.only(node, &["value", "unit", "time"]);
    let topic = values.argument(node, "a topic")?;
    if topic.contains(['#', '+']) || topic.contains('\0') || topic.len() > 1000 {
        let message = "a topic with a wildcard is many probes, and their readings would be mixed";
        values.error("P0004", node.arguments[0].span.clone(), message, "write one probe for each topic");
        return None;
    }
    let value = values.pointer(node, "value");
    for name in ["unit", "time"] {
        if let (Some(entry), true) = (node.property(name), node.property("value").is_none()) {
            let message = format!("`{name}` points into JSON, and the value does not");
            values.error("P0003", entry.span.clone(), &message, "add `value=\"/…\"`");
        }
    }
    let (unit, time) = (values.pointer(node, "unit"), values.pointer(node, "time"));
    Some(Source::Topic { topic, value, unit, time })
}

fn from_file(node: &Node, values: &mut Values) -> Option<Source> {
    values.only(node, &["time", "date", "value", "unit", "zone", "format", "delimiter", "decimal-comma"]);
    let file = values.argument(node, "the name of a file, such as \"cold-*.csv\"")?;
    let span = node.arguments[0].span.clone();
    if file.matches('*').count() > 1 || file.contains(['/', '\\']) {
        let message = format!("`{file}` is no name of a file in the folder");
        values.error("P0004", span, &message, "write a name with at most one `*` and no folder");
        return None;
    }
    let mut column = |name: &str| {
        let found = text(node, name);
        if found.is_none() {
            let message = format!("the file does not say which column is `{name}`");
            values.error("P0003", node.name.span.clone(), &message, &format!("add `{name}=\"…\"`"));
        }
        found
    };
    let (time, value, zone) = (column("time"), column("value"), column("zone"));
    if let (Some(zone), Some(entry)) = (&zone, node.property("zone"))
        && let Err(bad) = ft_coldchain::read_zone(zone)
    {
        values.error("P0004", entry.span.clone(), &bad.message, &bad.remedy);
    }
    let delimiter = match text(node, "delimiter").as_deref() {
        Some("tab" | "\t") => '\t',
        Some(";") => ';',
        None | Some(",") => ',',
        Some(other) => {
            let span = node.property("delimiter").map_or(span, |entry| entry.span.clone());
            let message = format!("`{other}` does not stand between columns");
            values.error("P0004", span, &message, "write \",\", \";\" or \"tab\"");
            return None;
        }
    };
    let decimal_comma = values.flag(node, "decimal-comma");
    Some(Source::File(Columns {
        file,
        time: time?,
        date: text(node, "date"),
        value: value?,
        unit: text(node, "unit"),
        zone: zone?,
        format: text(node, "format"),
        delimiter,
        decimal_comma,
    }))
}

/// What a probe says of itself agrees.
fn agrees(probe: &Probe, node: &Node, parts: &BTreeMap<&str, &Node>, values: &mut Values) {
    let span = |word: &str| parts.get(word).map_or(node.span.clone(), |part| part.span.clone());
    if probe.silent_s < probe.every_s {
        let message = "it would be called silent before its next reading is due";
        values.error("P0007", span("silent-after"), message, "make it at least as long as `every`");
    }
    let bounds = |limit: &Option<Limit>| -> Vec<(f64, bool)> {
        limit.iter().flat_map(|limit| limit.bounds(probe.unit)).collect()
    };
    let (limits, warns) = (bounds(&probe.limit), bounds(&probe.warn));
    let (low, high) = probe.possible;
    if limits.iter().any(|(limit, _)| !(low..=high).contains(limit)) {
        let message = "the limit lies outside what the probe can show, so that it could never be seen";
        values.error("P0007", span("limit"), message, "make `possible` wider, or look at the unit");
    }
    let is_late = |(warn, is_upper): &(f64, bool)| {
        let of_side = limits.iter().find(|(_, upper)| upper == is_upper);
        of_side.is_none_or(|(limit, _)| if *is_upper { warn >= limit } else { warn <= limit })
    };
    if warns.iter().any(is_late) {
        let message = "it would warn only when the limit is met, or there is no limit on that side";
        values.error("P0007", span("warn"), message, "warn before the limit, such as at 4 °C for < 5 °C");
    }
    if probe.vessel.is_some() && probe.machine.is_none() {
        values.error("P0003", span("machine"), "a vessel belongs to a machine", "name the machine too");
    }
}
