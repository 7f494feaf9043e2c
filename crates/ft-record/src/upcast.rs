//! Old events are read for ever: each version is lifted to the next until it has today's shape.
//!
//! What is stored is never rewritten; it is lifted each time that it is read. `tests/fixtures/v0` and so on hold
//! events of each version, and a test reads them all.

use std::fmt;

use serde_json::{Map, Value, json};

use crate::event::{Event, VERSION};

/// A text that no version of the record has written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable(String);

impl Unreadable {
    pub(crate) fn new(why: &impl fmt::Display) -> Self {
        Self(why.to_string())
    }
}

impl fmt::Display for Unreadable {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

impl std::error::Error for Unreadable {}

/// Reads an event of any version into today's shape.
///
/// # Errors
/// [`Unreadable`], naming the place in the JSON; a version newer than this program says so.
pub fn read_event(json: &str) -> Result<Event, Unreadable> {
    // Nearly all are of today: only what does not read so is looked at again.
    let today = match serde_json::from_str::<Event>(json) {
        Ok(event) if event.v == VERSION => return Ok(event),
        Ok(event) => Unreadable(format!("an event says version {} but has the shape of {VERSION}", event.v)),
        Err(error) => Unreadable::new(&error),
    };
    let Ok(Value::Object(mut object)) = serde_json::from_str::<Value>(json) else { return Err(today) };
    let version = match object.get("v") {
        // The first drafts carried no version.
        None => 0,
        Some(version) => {
            version.as_u64().ok_or_else(|| Unreadable("`v` is not a whole number".to_owned()))?
        }
    };
    if version > u64::from(VERSION) {
        return Err(Unreadable(format!(
            "it is of version {version}; this program knows versions 0 to {VERSION} and has to be newer"
        )));
    }
    if version == u64::from(VERSION) {
        return Err(today);
    }
    for lift in &LIFTS[version as usize..] {
        lift(&mut object)?;
    }
    serde_json::from_value(Value::Object(object)).map_err(|error| Unreadable::new(&error))
}

type Lift = fn(&mut Map<String, Value>) -> Result<(), Unreadable>;

/// By version: to the next one.
const LIFTS: [Lift; VERSION as usize] = [from_0];

/// Version 0, the drafts before the first release: no `v`; no zone, since all was UTC; steps instead of the
/// core form's events; readings in °C only.
fn from_0(event: &mut Map<String, Value>) -> Result<(), Unreadable> {
    event.insert("v".to_owned(), json!(1));
    event.entry("zone").or_insert_with(|| json!("UTC"));
    let Some(Value::Object(fact)) = event.get_mut("fact") else {
        return Err(Unreadable("it has no `fact`".to_owned()));
    };
    let what = fact.get("what").and_then(Value::as_str).unwrap_or_default().to_owned();
    match what.as_str() {
        "step-began" | "step-ended" => {
            let step = fact.get("step").and_then(Value::as_str);
            let step = step.ok_or_else(|| Unreadable(format!("`{what}` names no `step`")))?;
            let end = if what == "step-began" { "start" } else { "end" };
            *fact = object(json!({ "what": "happened", "event": format!("{step}@{end}") }));
        }
        "reading" => {
            if let Some(celsius) = fact.remove("celsius") {
                fact.insert("value".to_owned(), celsius);
                fact.insert("unit".to_owned(), json!("°C"));
                fact.insert("source".to_owned(), json!("hand"));
            }
        }
        _ => {}
    }
    Ok(())
}

fn object(value: Value) -> Map<String, Value> {
    match value {
        Value::Object(object) => object,
        _ => Map::new(),
    }
}
