//! Numbers and words of a sentence.

/// One thing that an answer says.
#[derive(Debug, Clone, PartialEq)]
pub enum Said {
    /// A number.
    Number(f64),
    /// A word or words.
    Word(String),
}

/// A verdict as the rows write it.
pub fn pass(met: bool) -> Said {
    word(if met { "pass" } else { "fail" })
}

/// A word or words.
pub fn word(text: &str) -> Said {
    Said::Word(text.to_owned())
}

/// The numbers of a sentence, in order: digits with a point, commas between thousands, a minus sign in front.
pub fn numbers(text: &str) -> Vec<f64> {
    places(text).into_iter().map(|(_, number)| number).collect()
}

fn places(text: &str) -> Vec<(usize, f64)> {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut found = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let point_first = bytes[at] == b'.' && digit(at + 1);
        if !digit(at) && !point_first {
            at += 1;
            continue;
        }
        // A digit that ends a word, as in `S1`, is part of a name.
        let in_word = at > 0 && bytes[at - 1].is_ascii_alphabetic();
        let start = at;
        let mut number = String::new();
        while at < bytes.len() {
            let thousands =
                bytes[at] == b',' && digit(at + 1) && digit(at + 2) && digit(at + 3) && !digit(at + 4);
            if digit(at) || (bytes[at] == b'.' && digit(at + 1)) {
                number.push(char::from(bytes[at]));
            } else if !thousands {
                break;
            }
            at += 1;
        }
        let minus = start > 0 && bytes[start - 1] == b'-' && (start == 1 || bytes[start - 2] == b' ');
        if let (false, Ok(value)) = (in_word, number.parse::<f64>()) {
            found.push((start, if minus { -value } else { value }));
        }
    }
    found
}

/// Looks for everything that was said in the expectation, in order. The first has to be the first word or number
/// of the expectation, and every part between semicolons or slashes that begins with a verdict has to be met.
pub fn compare(said: &[Said], expected: &str, tolerance: f64) -> Result<(), String> {
    let numbers = places(expected);
    let mut at = 0;
    for (index, part) in said.iter().enumerate() {
        let found = match part {
            Said::Word(word) => {
                expected[at..].find(word.as_str()).map(|place| (at + place, at + place + word.len()))
            }
            Said::Number(value) => numbers
                .iter()
                .find(|(place, number)| at <= *place && (number - value).abs() <= tolerance)
                .map(|(place, _)| (*place, place + 1)),
        };
        let (place, end) =
            found.ok_or_else(|| format!("says {said:?}, expected `{expected}` within {tolerance}"))?;
        let skipped_verdict = ["pass", "fail"].iter().any(|verdict| expected[at..place].contains(verdict));
        if skipped_verdict || (index == 0 && expected[..place].contains(|c: char| c.is_ascii_digit())) {
            return Err(format!("says {said:?} first, expected `{expected}`"));
        }
        at = end;
    }
    let more = ["pass", "fail"].iter().any(|verdict| expected[at..].contains(verdict));
    if said.is_empty() || more {
        return Err(format!("says only {said:?}, expected `{expected}`"));
    }
    Ok(())
}
