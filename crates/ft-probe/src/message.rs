//! A message of a broker to a reading.

use jiff::Timestamp;
use serde_json::Value;

use crate::arrival::{Arrival, Reading, Refusal, shown};
use crate::mapping::{Probe, Source};
use crate::value::{in_unit, value};

/// The longest message that is looked into, bytes.
pub const LONGEST: usize = 4096;

/// Reads a message that came at `now_ms` for a probe. `is_retained`: the broker had kept it from before.
///
/// # Errors
/// [`Refusal`], `P0101` to `P0111`.
pub fn reading(probe: &Probe, payload: &[u8], is_retained: bool, now_ms: i64) -> Arrival {
    let Source::Topic { value: at, unit, time, .. } = &probe.source else {
        return Err(Refusal::new("P0104", "the probe is read from a file", "give it a topic"));
    };
    let text = std::str::from_utf8(payload).ok().filter(|text| text.len() <= LONGEST).ok_or_else(|| {
        let message = format!("a message of {} bytes is no text of at most {LONGEST}", payload.len());
        Refusal::new("P0101", message, "send a number, or a small text in JSON")
    })?;
    let fresh = |at_ms: Option<i64>| match (at_ms, is_retained) {
        (Some(at_ms), _) => Ok(at_ms),
        (None, false) => Ok(now_ms),
        (None, true) => Err(Refusal::new(
            "P0111",
            "the broker had kept it from before, and it does not say when it was measured",
            "send it without `retain`, or with a time that the mapping points to",
        )),
    };
    let Some(at) = at else {
        let (value, is_converted) = value(probe, text, None, false)?;
        return Ok(Reading { at_ms: fresh(None)?, value, is_converted });
    };
    let json: Value = serde_json::from_str(text).map_err(|_| {
        Refusal::new("P0103", format!("`{}` is not JSON", shown(text)), "send JSON, or map the plain number")
    })?;
    let found = json.pointer(at).ok_or_else(|| nothing_at(at))?;
    let said = unit.as_deref().and_then(|unit| json.pointer(unit)).and_then(Value::as_str);
    let (value, is_converted) = match found {
        Value::Number(number) => in_unit(probe, number.as_f64().unwrap_or(f64::NAN), said)?,
        Value::String(text) => value(probe, text, said, false)?,
        Value::Null | Value::Bool(_) | Value::Array(_) | Value::Object(_) => {
            let message = format!("at `{at}` stands `{}`, which is not a number", shown(&found.to_string()));
            return Err(Refusal::new("P0102", message, "look at the probe, or point elsewhere"));
        }
    };
    let own_time = match time {
        None => None,
        Some(time) => Some(moment(json.pointer(time).ok_or_else(|| nothing_at(time))?)?),
    };
    Ok(Reading { at_ms: fresh(own_time)?, value, is_converted })
}

fn nothing_at(pointer: &str) -> Refusal {
    Refusal::new(
        "P0104",
        format!("the message has nothing at `{pointer}`"),
        "point to where the value stands",
    )
}

/// A text with an offset, or a number since 1970: milliseconds where it is too large for seconds.
fn moment(value: &Value) -> Result<i64, Refusal> {
    let at_ms = match value {
        // As seconds this would be the year 5138; as milliseconds it is 1973.
        Value::Number(number) => number.as_f64().map(|t| if t < 1e11 { t * 1000.0 } else { t }),
        Value::String(text) => text.trim().parse::<Timestamp>().ok().map(|at| at.as_millisecond() as f64),
        Value::Null | Value::Bool(_) | Value::Array(_) | Value::Object(_) => None,
    };
    at_ms.filter(|at| at.is_finite() && at.abs() < 1e15).map(|at| at as i64).ok_or_else(|| {
        let message = format!("`{}` is no time", shown(&value.to_string()));
        Refusal::new("P0107", message, "send it like \"2026-06-01T21:30:00Z\", or as seconds since 1970")
    })
}
