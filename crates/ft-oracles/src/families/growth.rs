//! Growth: rates, primary models, doses of logged histories, and what follows from them.

use std::f64::consts::LN_2;
use std::path::PathBuf;

use ft_growth::dose::time_above;
use ft_growth::primary::{dose_after_lag, ln_count, modified_gompertz, q0_from_h0, trilinear};
use ft_growth::{GapRule, History, RateCurve, Reading, SecondaryModel, dose};
use ft_maths::LN_10;
use serde_json::{Value, json};

use super::Answer;
use super::input::{each, family, number, text};

/// Answers rows about growth.
pub fn answer(id: &str, input: &Value) -> Answer {
    let answer = match family(id) {
        "SEC" => rate(input),
        "PRI" => primary(input),
        "T1LOG" => curve(input).and_then(|curve| each(input, "T", |celsius| LN_10 / curve.rate(celsius))),
        "EGR" => converted_rate(input),
        "Q0" => each(input, "h0", q0_from_h0),
        "RM" => {
            named(input, "model").and_then(|curve| each(input, "T", |celsius| LN_2 / curve.rate(celsius)))
        }
        _ if input.get("profile").is_some() => history_row(input),
        _ if input.get("T").is_some() && input.get("t_h").is_some() => isothermal(input),
        _ => return None,
    };
    Some(answer)
}

fn rate(input: &Value) -> Result<Value, String> {
    let curve = model(input.get("model").ok_or("no `model`")?)?;
    each(input, "T", |celsius| curve.rate(celsius))
}

/// The curve of a row: under `organism` (parameters or a name), or parameters in the row itself.
pub(super) fn curve(input: &Value) -> Result<RateCurve, String> {
    match input.get("organism") {
        Some(Value::String(_)) => named(input, "organism"),
        Some(parameters) => model(parameters),
        None => model(input),
    }
}

fn model(parameters: &Value) -> Result<RateCurve, String> {
    let get = |key: &str| number(parameters, key);
    let kind = parameters.get("kind").and_then(Value::as_str).unwrap_or("sqrt");
    let model = match kind {
        "sqrt" => SecondaryModel::SquareRoot { b: get("b")?, t_min: get("Tmin")? },
        "ext" => SecondaryModel::ExtendedSquareRoot {
            b: get("b")?,
            t_min: get("Tmin")?,
            c: get("c")?,
            t_max: get("Tmax")?,
        },
        "ctmi" => SecondaryModel::Cardinal {
            t_min: get("Tmin")?,
            t_opt: get("Topt")?,
            t_max: get("Tmax")?,
            mu_opt: get("muopt")?,
        },
        other => return Err(format!("the secondary model `{other}` is not known")),
    };
    RateCurve::new(vec![model]).map_err(|e| e.to_string())
}

/// The parameter sets that rows call by name; see docs/growth.md for where each comes from.
fn named(input: &Value, key: &str) -> Result<RateCurve, String> {
    let model = match text(input, key)? {
        "LM_MILK" => SecondaryModel::SquareRoot { b: 0.024, t_min: -2.32 },
        "LM_FAST" => SecondaryModel::SquareRoot { b: 0.027_911, t_min: -1.6273 },
        "GNEG_FAST" => SecondaryModel::SquareRoot { b: 0.1439_f64.sqrt() / 9.62, t_min: -3.62 },
        "GNEG_MEDIAN" => SecondaryModel::SquareRoot { b: 0.0859_f64.sqrt() / 9.62, t_min: -3.62 },
        "BC_413" => SecondaryModel::SquareRoot { b: 0.039_523_248_227_246_75, t_min: 4.879_842_463_785_62 },
        "ECOLI_CTMI" => SecondaryModel::Cardinal { t_min: 3.7, t_opt: 40.8, t_max: 46.6, mu_opt: 2.3 },
        "TEST_EXT" => SecondaryModel::ExtendedSquareRoot { b: 0.03, t_min: -3.0, c: 0.25, t_max: 42.0 },
        other => return Err(format!("the parameter set `{other}` is not known")),
    };
    RateCurve::new(vec![model]).map_err(|e| e.to_string())
}

fn primary(input: &Value) -> Result<Value, String> {
    let y0 = number(input, "log10N0")? * LN_10;
    let hours = hours(input, "t")?;
    let kind = input.get("model").and_then(Value::as_str).unwrap_or("");
    if kind.contains("Gompertz") {
        let (rise, mu) = (number(input, "A_ln")?, per_hour(input, "mum")?);
        return Ok(json!(modified_gompertz(y0, rise, mu, self::hours(input, "lag")?, hours) / LN_10));
    }
    let (ymax, mu) = (number(input, "log10Nmax")? * LN_10, per_hour(input, "mu")?);
    if input.get("h0").is_some() && !kind.contains("trilinear") {
        let m = input.get("m").and_then(Value::as_f64).unwrap_or(1.0);
        let grown = dose_after_lag(mu * hours, number(input, "h0")?);
        return Ok(json!(ln_count(y0, ymax, m, grown) / LN_10));
    }
    Ok(json!(trilinear(y0, ymax, mu, self::hours(input, "lag")?, hours) / LN_10))
}

/// Growth at one temperature: the count if a starting count is given, else the increase, log10.
fn isothermal(input: &Value) -> Result<Value, String> {
    let curve = if input.get("organism").is_some() { curve(input)? } else { model_or_name(input)? };
    let h0 = number(input, "h0").unwrap_or(0.0);
    let rate = curve.rate(number(input, "T")?);
    let start = number(input, "log10N0").ok();
    let ceiling = number(input, "log10Nmax").unwrap_or(f64::INFINITY);
    each(input, "t_h", |hours| {
        let grown = dose_after_lag(rate * hours, h0);
        start.map_or(grown / LN_10, |n0| ln_count(n0 * LN_10, ceiling * LN_10, 1.0, grown) / LN_10)
    })
}

fn model_or_name(input: &Value) -> Result<RateCurve, String> {
    match input.get("model") {
        Some(Value::String(_)) => named(input, "model"),
        Some(parameters) => model(parameters),
        None => model(input),
    }
}

/// A time in hours, from the key with `_h` or `_d` behind it.
fn hours(input: &Value, name: &str) -> Result<f64, String> {
    number(input, &format!("{name}_h")).or_else(|_| Ok(24.0 * number(input, &format!("{name}_d"))?))
}

/// A rate per hour, from a text such as `0.5/h` or `0.64/d`.
fn per_hour(input: &Value, key: &str) -> Result<f64, String> {
    let text = text(input, key)?;
    let (value, unit) = text.split_once('/').ok_or_else(|| format!("`{text}` has no unit"))?;
    let value: f64 = value.trim().parse().map_err(|_| format!("`{text}` is not a rate"))?;
    match unit.trim() {
        "h" => Ok(value),
        "d" | "day" => Ok(value / 24.0),
        other => Err(format!("a rate per `{other}` is not known")),
    }
}

/// A published rate at one temperature converted to another, 5 °C unless `to_C` says:
/// `EGR5 = EGR ((5 - T0)/(T - T0))²`. A lag converts the other way round.
fn converted_rate(input: &Value) -> Result<Value, String> {
    let line = SecondaryModel::SquareRoot { b: 1.0, t_min: number(input, "T0")? };
    let to = number(input, "to_C").unwrap_or(5.0);
    Ok(json!(number(input, "log10_per_day")? * line.rate(to) / line.rate(number(input, "T")?)))
}

fn history_row(input: &Value) -> Result<Value, String> {
    let history = profile(text(input, "profile")?)?;
    if input.get("threshold_C").is_some() {
        return each(input, "threshold_C", |celsius| time_above(&history, celsius));
    }
    let dose = dose(&history, &curve(input)?);
    let h0 = input.get("h0").and_then(Value::as_f64).unwrap_or(0.0);
    let grown = dose_after_lag(dose, h0);
    let m = input.get("m").and_then(Value::as_f64).unwrap_or(1.0);
    let outputs = input.get("outputs").and_then(Value::as_str).unwrap_or("M,A,log10N_end");
    let values: Result<Vec<f64>, String> = outputs
        .split(',')
        .map(|output| match output.trim() {
            "M" => Ok(dose),
            "A" => Ok(grown),
            "log10N_end" => {
                let (y0, ymax) = (number(input, "log10N0")? * LN_10, number(input, "log10Nmax")? * LN_10);
                Ok(ln_count(y0, ymax, m, grown) / LN_10)
            }
            other => Err(format!("the output `{other}` is not known")),
        })
        .collect();
    let values = values?;
    Ok(if let [one] = values[..] { json!(one) } else { json!(values) })
}

/// The history of that name beside the rows that were asked for, else in this repository.
fn profile(name: &str) -> Result<History, String> {
    let ours: PathBuf = crate::rows::folder().join("histories").join(format!("{name}.csv"));
    let beside = |rows: PathBuf| rows.with_file_name("histories").join(format!("{name}.csv"));
    let file = crate::rows::chosen_files().into_iter().map(beside).find(|file| file.exists()).unwrap_or(ours);
    let text = std::fs::read_to_string(&file).map_err(|e| format!("{}: {e}", file.display()))?;
    let mut readings = Vec::new();
    for line in text.lines().skip(1).filter(|line| !line.trim().is_empty()) {
        let reading = line.split_once(',').and_then(|(minute, celsius)| {
            Some(Reading {
                hours: minute.trim().parse::<f64>().ok()? / 60.0,
                celsius: celsius.trim().parse().ok()?,
            })
        });
        readings.push(reading.ok_or_else(|| format!("{}: `{line}` is no reading", file.display()))?);
    }
    History::new(&readings, GapRule::NONE).map_err(|e| e.to_string())
}

/// Dose of stretches at constant temperatures, from a text such as `3.5C 14h + 4.5C 10h`.
pub(super) fn dose_of_stretches(text: &str, curve: &RateCurve) -> Result<f64, String> {
    let mut dose = 0.0;
    for stretch in text.split('+') {
        let mut words = stretch.split_whitespace();
        let mut next =
            |unit: char| words.next().and_then(|word| word.strip_suffix(unit)?.parse::<f64>().ok());
        let (Some(celsius), Some(hours)) = (next('C'), next('h')) else {
            return Err(format!("`{stretch}` is not a temperature and a time"));
        };
        dose += curve.dose_of_stretch(celsius, celsius, hours);
    }
    Ok(dose)
}
