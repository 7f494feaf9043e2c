//! What a word without quotes means: a text, or a number.

use ft_diag::{Collector, Problem, shorten};

use crate::chars::{is_reserved, looks_like_number};
use crate::tree::{Number, Value};

/// The value of a word, reporting what was probably meant where it has none.
pub fn of_word(word: &str, start: usize, problems: &mut Collector) -> Value {
    let span = start..start + word.len();
    if is_reserved(word) {
        problems.add(span, |span| {
            Problem::error("F0009", span, format!("the value `{word}` needs a `#` in front"))
                .with_remedy(format!("write `#{word}`, or `\"{word}\"` for the text"))
        });
        return of_keyword(&format!("#{word}")).unwrap_or(Value::Null);
    }
    if !looks_like_number(word) {
        return Value::String(word.to_owned());
    }
    if let Some(value) = number(word) {
        return Value::Number(Number { value, raw: word.to_owned() });
    }
    problems.add(span, |span| bad_number(word, span));
    Value::String(word.to_owned())
}

/// The value of `#true` and its like.
pub fn of_keyword(word: &str) -> Option<Value> {
    let number = |value| Some(Value::Number(Number { value, raw: word.to_owned() }));
    match word {
        "#true" => Some(Value::Bool(true)),
        "#false" => Some(Value::Bool(false)),
        "#null" => Some(Value::Null),
        "#inf" => number(f64::INFINITY),
        "#-inf" => number(f64::NEG_INFINITY),
        "#nan" => number(f64::NAN),
        _ => None,
    }
}

fn bad_number(word: &str, span: std::ops::Range<usize>) -> Problem {
    let said = shorten(word);
    let (head, tail) = word.split_once(',').unwrap_or((word, ""));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    if digits(head.trim_start_matches(['+', '-'])) && digits(tail) {
        let with_point = shorten(&word.replacen(',', ".", 1));
        return Problem::error("F0008", span, format!("`{said}` has a comma in its number"))
            .with_remedy(format!("write `{with_point}`: the decimal sign is a point in every language"));
    }
    Problem::error("F0007", span, format!("`{said}` begins like a number but is none"))
        .with_remedy(remedy_for_number(word))
}

/// What was probably meant by a word that begins like a number.
fn remedy_for_number(word: &str) -> String {
    let with_zero = [format!("{word}0"), word.replacen('.', "0.", 1)];
    if let Some(meant) = with_zero.iter().find(|word| number(word).is_some()) {
        return format!("write `{}`", shorten(meant));
    }
    let unsigned = word.trim_start_matches(['+', '-']);
    if ["0x", "0o", "0b"].iter().any(|sign| unsigned.starts_with(sign)) {
        return "after `0x` stand digits and `a` to `f`, after `0o` only `0` to `7`, after `0b` only `0` and `1`"
            .to_owned();
    }
    let unit =
        word.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '_'));
    let count = &word[..word.len() - unit.len()];
    if number(count).is_some() && unit.starts_with(|c: char| c.is_alphabetic() || c == '%' || c == '°') {
        return format!("put a number with its unit in quotes: `\"{} {}\"`", shorten(count), shorten(unit));
    }
    format!("write a number such as `12`, `-6.5` or `1e3`, or put it in quotes: `\"{}\"`", shorten(word))
}

/// The number that a word spells, to the nearest double.
fn number(word: &str) -> Option<f64> {
    let (negative, unsigned) = match word.as_bytes().first()? {
        b'-' => (true, &word[1..]),
        b'+' => (false, &word[1..]),
        _ => (false, word),
    };
    let magnitude = match unsigned.get(..2) {
        Some("0x") => radix(&unsigned[2..], 16)?,
        Some("0o") => radix(&unsigned[2..], 8)?,
        Some("0b") => radix(&unsigned[2..], 2)?,
        _ => decimal(unsigned)?,
    };
    Some(if negative { -magnitude } else { magnitude })
}

/// Digits of a base that divides a power of two. Exact up to 128 bits; beyond, the nearest double but for
/// the rounding of each further digit.
fn radix(digits: &str, base: u32) -> Option<f64> {
    if digits.starts_with('_') || digits.is_empty() {
        return None;
    }
    let mut exact: Option<u128> = Some(0);
    let mut rough = 0.0;
    for c in digits.chars().filter(|c| *c != '_') {
        let digit = c.to_digit(base)?;
        exact = exact.and_then(|sum| sum.checked_mul(u128::from(base))?.checked_add(u128::from(digit)));
        rough = rough * f64::from(base) + f64::from(digit);
    }
    Some(exact.map_or(rough, |sum| sum as f64))
}

/// `digits[.digits][e[sign]digits]`, with underscores after the first digit of each group.
fn decimal(text: &str) -> Option<f64> {
    let (mantissa, exponent) = match text.find(['e', 'E']) {
        Some(at) => (&text[..at], Some(&text[at + 1..])),
        None => (text, None),
    };
    let (whole, fraction) = match mantissa.split_once('.') {
        Some((whole, fraction)) => (whole, Some(fraction)),
        None => (mantissa, None),
    };
    let exponent_digits = exponent.map(|text| text.strip_prefix(['+', '-']).unwrap_or(text));
    let is_integer = |digits: &str| {
        digits.starts_with(|c: char| c.is_ascii_digit())
            && digits.bytes().all(|byte| byte.is_ascii_digit() || byte == b'_')
    };
    let well_formed =
        is_integer(whole) && fraction.is_none_or(is_integer) && exponent_digits.is_none_or(is_integer);
    if !well_formed {
        return None;
    }
    text.replace('_', "").parse().ok()
}
