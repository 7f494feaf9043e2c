//! Reading the inputs of rows: numbers by key, lists by key, an error that names the key.

use serde_json::Value;

/// The number under `key`.
///
/// # Errors
/// There is none, or it is not a number.
pub fn number(input: &Value, key: &str) -> Result<f64, String> {
    input.get(key).and_then(Value::as_f64).ok_or_else(|| format!("no number `{key}`"))
}

/// The numbers under `key`; a single number is a list of one.
///
/// # Errors
/// There is none, or one of them is not a number.
pub fn numbers(input: &Value, key: &str) -> Result<Vec<f64>, String> {
    match input.get(key) {
        Some(Value::Array(list)) => list
            .iter()
            .map(|value| value.as_f64().ok_or_else(|| format!("`{key}` holds {value}, not a number")))
            .collect(),
        Some(one) => Ok(vec![one.as_f64().ok_or_else(|| format!("`{key}` is not a number"))?]),
        None => Err(format!("no list `{key}`")),
    }
}

/// The text under `key`.
///
/// # Errors
/// There is none, or it is not a text.
pub fn text<'a>(input: &'a Value, key: &str) -> Result<&'a str, String> {
    input.get(key).and_then(Value::as_str).ok_or_else(|| format!("no text `{key}`"))
}

/// Applies a formula to the number under `key`, or to each of the numbers there; the answer has the same shape.
///
/// # Errors
/// As [`numbers`].
pub fn each(input: &Value, key: &str, formula: impl Fn(f64) -> f64) -> Result<Value, String> {
    let values: Vec<f64> = numbers(input, key)?.into_iter().map(formula).collect();
    Ok(if input.get(key).is_some_and(Value::is_array) { Value::from(values) } else { Value::from(values[0]) })
}

/// The first word of an id, up to its first hyphen: `BS` of `BS-weekly-peak`.
pub fn family(id: &str) -> &str {
    id.split('-').next().unwrap_or(id)
}
