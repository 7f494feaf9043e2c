//! Rows on logged readings: `IMR`, `EWMA`, `CUSUM`, `ARL`.

use ft_readings::cusum::Cusum;
use ft_readings::ewma::Ewma;
use ft_readings::{arl, individuals};
use serde_json::{Value, json};

use super::Answer;
use super::input::{each, family, number, numbers};

/// Answers the rows on logged readings.
pub fn answer(id: &str, input: &Value) -> Answer {
    match family(id) {
        "IMR" => Some(single(id, input)),
        "EWMA" => Some(average(id, input)),
        "CUSUM" => Some(sums(id, input)),
        "ARL" => Some(run_length(input)),
        _ => None,
    }
}

fn single(id: &str, input: &Value) -> Result<Value, String> {
    let limits = individuals::limits(&numbers(input, "x")?).map_err(|why| why.to_string())?;
    if id.ends_with("mrucl") {
        return Ok(json!(limits.range_high));
    }
    Ok(json!([limits.centre, limits.mean_range, limits.high, limits.low]))
}

fn average(id: &str, input: &Value) -> Result<Value, String> {
    let first = |keys: [&str; 2], default: f64| {
        keys.iter().find_map(|key| number(input, key).ok()).unwrap_or(default)
    };
    let chart = Ewma {
        target: number(input, "target").unwrap_or_else(|_| first(["start", "mu0"], 0.0)),
        sigma: first(["s", "sigma"], 1.0),
        weight: number(input, "lam")?,
        width: first(["k", "L"], 3.0),
    };
    if input.get("i").is_some() {
        return each(input, "i", |count| chart.target + chart.reach(count as usize));
    }
    if id.ends_with("lim") {
        return Ok(json!([chart.target + chart.settled_reach(), chart.target - chart.settled_reach()]));
    }
    let points = chart.points(&numbers(input, "x")?);
    if input.get("L").is_some() {
        let at = |number: usize| points.get(number - 1).ok_or("fewer readings than are asked for");
        let first_signal = points.iter().position(ft_readings::ewma::Point::is_signal).map(|index| index + 1);
        return Ok(json!([at(1)?.average, at(28)?.average, at(30)?.average, at(30)?.high, first_signal]));
    }
    Ok(points.iter().map(|point| point.average).collect())
}

fn sums(id: &str, input: &Value) -> Result<Value, String> {
    let either = |a: &str, b: &str| number(input, a).or_else(|_| number(input, b));
    let chart =
        Cusum { target: number(input, "target")?, slack: either("k", "K")?, decision: either("h", "H")? };
    let readings = numbers(input, "x")?;
    let points = chart.points(&readings);
    if id.ends_with("lo") {
        return Ok(points.iter().map(|point| point.lower).collect());
    }
    if id.ends_with("series") {
        return Ok(points.iter().map(|point| point.upper).collect());
    }
    let signal = chart.first_signal(&readings).ok_or("the chart does not signal")?;
    if id.ends_with("first") {
        return Ok(json!([signal.number]));
    }
    let point = points[signal.number - 1];
    Ok(json!([point.upper, signal.number, point.upper_since, signal.shift_after]))
}

fn run_length(input: &Value) -> Result<Value, String> {
    let width = number(input, "L")?;
    each(input, "shift", |shift| arl::shewhart(width, shift))
}
