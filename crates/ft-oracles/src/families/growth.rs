//! Growth: rates, primary models, doses of logged histories.

use serde_json::Value;

use super::Answer;

/// Answers rows about growth.
pub fn answer(_id: &str, _input: &Value) -> Answer {
    None
}
