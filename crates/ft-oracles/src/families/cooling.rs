//! Cooling by Newton's law.

use ft_growth::cooling;
use serde_json::{Value, json};

use super::Answer;
use super::input::{family, number, numbers, text};

/// Answers rows about cooling.
pub fn answer(id: &str, input: &Value) -> Answer {
    if family(id) != "COOL" {
        return None;
    }
    let has = |key: &str| input.get(key).is_some();
    Some(if has("windows") {
        windows(input)
    } else if has("limit") {
        limit(input)
    } else if has("m_kg") {
        (|| {
            let (mass, cp) = (number(input, "m_kg")?, number(input, "cp_J_kgK")?);
            let (u, area) = (number(input, "U_W_m2K")?, number(input, "A_m2")?);
            Ok(json!(cooling::time_constant(mass, cp, u, area)))
        })()
    } else if has("T_C") {
        fit(input)
    } else {
        hours_to(id, input)
    })
}

/// `135->70 within 2 h; 135->41 within 6 h`: the largest time constant of each window, then that of both.
fn windows(input: &Value) -> Result<Value, String> {
    let air = number(input, "Ta_F").or_else(|_| number(input, "Ta_C"))?;
    let mut taus = Vec::new();
    for window in text(input, "windows")?.split(';') {
        let (start, target, hours) =
            window_parts(window).ok_or_else(|| format!("`{window}` is no window"))?;
        taus.push(cooling::largest_tau(start, air, target, hours));
    }
    taus.push(taus.iter().copied().fold(f64::INFINITY, f64::min));
    Ok(json!(taus))
}

fn window_parts(window: &str) -> Option<(f64, f64, f64)> {
    let (temperatures, time) = window.split_once("within")?;
    let (start, target) = temperatures.split_once("->")?;
    let hours = time.trim().strip_suffix('h')?;
    Some((start.trim().parse().ok()?, target.trim().parse().ok()?, hours.trim().parse().ok()?))
}

/// `5 C within 4 h (...)`.
fn limit(input: &Value) -> Result<Value, String> {
    let limit = text(input, "limit")?;
    let numbers: Vec<f64> = limit.split_whitespace().filter_map(|word| word.parse().ok()).collect();
    let [target, hours, ..] = numbers[..] else { return Err(format!("`{limit}` is no limit")) };
    Ok(json!(cooling::largest_tau(number(input, "T0_C")?, number(input, "Ta_C")?, target, hours)))
}

fn hours_to(id: &str, input: &Value) -> Result<Value, String> {
    let either =
        |name: &str| number(input, &format!("{name}_C")).or_else(|_| number(input, &format!("{name}_F")));
    let target = either("target").or_else(|_| {
        id.rsplit_once("-t").and_then(|(_, t)| t.parse().ok()).ok_or("no target temperature".to_owned())
    })?;
    cooling::hours_to(either("T0")?, either("Ta")?, number(input, "tau_h")?, target)
        .map(|hours| json!(hours))
        .ok_or_else(|| "it never cools so far".into())
}

fn fit(input: &Value) -> Result<Value, String> {
    let temperatures = numbers(input, "T_C")?;
    let hours = match numbers(input, "t_h") {
        Ok(hours) => hours,
        Err(_) => steps(text(input, "t_h")?, temperatures.len())?,
    };
    let readings: Vec<(f64, f64)> = hours.into_iter().zip(temperatures).collect();
    let (tau, start) = cooling::fit(&readings, number(input, "Ta")?).ok_or("no line fits")?;
    Ok(json!([tau, start]))
}

/// `0..6 step 0.5`.
fn steps(text: &str, count: usize) -> Result<Vec<f64>, String> {
    let parts = text.split_once("..").and_then(|(first, rest)| {
        let (_, step) = rest.split_once("step")?;
        Some((first.trim().parse::<f64>().ok()?, step.trim().parse::<f64>().ok()?))
    });
    let (first, step) = parts.ok_or_else(|| format!("`{text}` is no list of times"))?;
    Ok((0..count).map(|index| first + step * index as f64).collect())
}
