//! Whether an answer is what a row expects.

use serde_json::Value;

/// Compares an answer with what is expected.
///
/// Numbers: `|answer - expected| <= tolerance * max(1, |expected|)`. Lists are compared element by element; the
/// tolerance is then one number for all, or a list of the same length. Texts must be equal. A tolerance that is a
/// text such as `must lie in [8.667,14.55] h` is a range that the *answer* must lie in, and the expected value
/// must be met to 1e-9 besides.
///
/// # Errors
/// One sentence with the first value that is off, and by how much it may be.
pub fn within(answer: &Value, expected: &Value, tolerance: &Value) -> Result<(), String> {
    if let Some(text) = tolerance.as_str() {
        if let Some((low, high)) = range(text) {
            let number = answer.as_f64().ok_or_else(|| format!("{answer} is not a number"))?;
            if !(low <= number && number <= high) {
                return Err(format!("{number} is outside {low} to {high}"));
            }
            return within(answer, expected, &Value::from(1e-9));
        }
        if text == "exact" {
            return within(answer, expected, &Value::from(0.0));
        }
        return Err(format!("the tolerance `{text}` is not understood"));
    }
    match (answer, expected) {
        (Value::Array(answers), Value::Array(expecteds)) => {
            if answers.len() != expecteds.len() {
                return Err(format!("{} values where {} are expected", answers.len(), expecteds.len()));
            }
            for (index, (answer, expected)) in answers.iter().zip(expecteds).enumerate() {
                let tolerance = match tolerance {
                    Value::Array(list) => list.get(index).ok_or("fewer tolerances than values")?,
                    one => one,
                };
                within(answer, expected, tolerance).map_err(|why| format!("value {}: {why}", index + 1))?;
            }
            Ok(())
        }
        (Value::Number(_), Value::Number(_)) => numbers(answer, expected, tolerance),
        (answer, expected) if answer == expected => Ok(()),
        (answer, expected) => Err(format!("{answer}, expected {expected}")),
    }
}

fn numbers(answer: &Value, expected: &Value, tolerance: &Value) -> Result<(), String> {
    let number = |value: &Value| value.as_f64().ok_or_else(|| format!("{value} is not a number"));
    let (answer, expected, tolerance) = (number(answer)?, number(expected)?, number(tolerance)?);
    let allowed = tolerance * expected.abs().max(1.0);
    // Written so that a NaN fails.
    if (answer - expected).abs() <= allowed {
        Ok(())
    } else {
        Err(format!("{answer}, expected {expected}, off by {:e} of {allowed:e}", (answer - expected).abs()))
    }
}

/// The two ends of `... [low,high] ...`.
fn range(text: &str) -> Option<(f64, f64)> {
    let (_, rest) = text.split_once('[')?;
    let (inside, _) = rest.split_once(']')?;
    let (low, high) = inside.split_once(',')?;
    Some((low.trim().parse().ok()?, high.trim().parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::within;
    use serde_json::json;

    #[test]
    fn a_value_just_outside_fails_and_just_inside_passes() {
        assert!(within(&json!(101.0), &json!(100.0), &json!(0.01)).is_ok());
        assert!(within(&json!(101.1), &json!(100.0), &json!(0.01)).is_err());
        assert!(within(&json!([1.0, 2.0]), &json!([1.0, 2.1]), &json!([0, 0.1])).is_ok());
        assert!(within(&json!([1.0]), &json!([1.0, 2.1]), &json!(1)).is_err());
        assert!(within(&json!("diverges"), &json!("diverges"), &json!(0)).is_ok());
        assert!(within(&json!(3.0), &json!("diverges"), &json!(9)).is_err());
        assert!(within(&json!(9.0), &json!(9.0), &json!("must lie in [8.667,14.55] h")).is_ok());
        assert!(within(&json!(8.0), &json!(8.0), &json!("must lie in [8.667,14.55] h")).is_err());
        assert!(within(&json!(null), &json!(1.0), &json!(1)).is_err());
    }
}
