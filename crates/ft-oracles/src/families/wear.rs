//! Rows on wear: `WEI`, `LOGN`, `KM`, `WBAYES`, `AGE-OPT`, `SPARE`, `EXP`.

use ft_stats::maths::ln;
use ft_wear::replacement::{Costs, cost_rate, optimum};
use ft_wear::spares::{expected_waiting, fill_rate, rate_of_use, service_level};
use ft_wear::weibull::{Fit, Weibull, fit};
use ft_wear::{End, Life, Lives, exponential, kaplan_meier, lognormal, weibayes};
use serde_json::{Value, json};

use super::Answer;
use super::input::{each, family, number, numbers};

/// Answers the rows on wear.
pub fn answer(id: &str, input: &Value) -> Answer {
    match family(id) {
        "WEI" => Some(weibull(id, input)),
        "LOGN" => Some(log_normal(input)),
        "KM" => Some(survival(id, input)),
        "WBAYES" => Some(known_shape(input)),
        "AGE" if id.starts_with("AGE-OPT") => Some(change(input)),
        "SPARE" => Some(spares(id, input)),
        "EXP" => Some(mean_time(input)),
        _ => None,
    }
}

/// The list of the handbook's section 8.4.1.3, for rows that ask about it without repeating it.
fn handbook() -> Value {
    json!({"fail": [54, 187, 216, 240, 244, 335, 361, 373, 375, 386], "cens": "10 x 500"})
}

fn lives(input: &Value) -> Result<Lives, String> {
    let mut list = Vec::new();
    let mut add = |age, end, count| list.push(Life { age, end, count });
    if let Some(rows) = input.get("rows").and_then(Value::as_array) {
        for row in rows {
            let cell =
                |index: usize| row.get(index).and_then(Value::as_f64).ok_or("a row is not three numbers");
            let end = if cell(1)? > 0.0 { End::Failed } else { End::Unfailed };
            add(cell(0)?, end, cell(2)? as u32);
        }
    }
    if input.get("fail").is_some() {
        numbers(input, "fail")?.into_iter().for_each(|age| add(age, End::Failed, 1));
    }
    match input.get("cens").or_else(|| input.get("withdrawn")) {
        Some(Value::String(text)) => {
            let (count, age) = counted(text, " x ")?;
            add(age, End::Unfailed, count as u32);
        }
        Some(Value::Array(ages)) => {
            for age in ages {
                add(age.as_f64().ok_or("an age is not a number")?, End::Unfailed, 1);
            }
        }
        Some(_) | None => {}
    }
    if let Some(text) = input.get("end").and_then(Value::as_str) {
        let (count, age) = counted(text, " at ")?;
        add(age, End::Unfailed, count as u32);
    }
    Lives::new(list).map_err(|why| why.to_string())
}

/// The two numbers of `10 x 500` or `10 at 200`.
fn counted(text: &str, between: &str) -> Result<(f64, f64), String> {
    let read = || {
        let (count, age) = text.split_once(between)?;
        Some((count.trim().parse().ok()?, age.trim().parse().ok()?))
    };
    read().ok_or_else(|| format!("`{text}` is not two numbers with `{between}` between them"))
}

fn fitted(input: &Value) -> Result<Fit, String> {
    fit(&lives(input)?).map_err(|why| why.to_string())
}

fn weibull(id: &str, input: &Value) -> Result<Value, String> {
    let without_list = input.get("fail").is_none() && input.get("rows").is_none();
    let fit = if without_list { fitted(&handbook())? } else { fitted(input)? };
    let Weibull { shape, scale } = fit.law;
    let (scale_error, shape_error, covariance) = fit.covariance();
    let confidence = number(input, "conf").unwrap_or(0.95);
    let last = id.rsplit('-').next().unwrap_or_default();
    if let Ok(age) = number(input, "t") {
        let (low, high) = fit.survival_bounds(age, confidence);
        return Ok(json!([fit.law.survival(age), low, high]));
    }
    if let Ok(share) = number(input, "p") {
        return Ok(json!(fit.law.quantile(share)));
    }
    Ok(match last {
        "ll" => json!([fit.log_likelihood, fit.aic()]),
        "mean" => json!([fit.law.mean(), fit.law.standard_deviation()]),
        "wald" => {
            let (shape_low, shape_high, scale_low, scale_high) = fit.log_symmetric_bounds(confidence);
            json!([shape_low, shape_high, scale_low, scale_high])
        }
        "lr" => {
            let (shape, scale) = (fit.shape_bounds(confidence), fit.scale_bounds(confidence));
            json!([shape.0, shape.1, scale.0, scale.1])
        }
        "se" if id.contains("SHOCK") => json!([scale_error / scale, shape_error / (shape * shape)]),
        "se" => json!([scale_error, shape_error, covariance]),
        "NIST" => json!([scale, shape]),
        "SHOCK" => json!([scale, shape, ln(scale), 1.0 / shape, fit.log_likelihood]),
        "6MP" => json!([scale, shape, fit.log_likelihood]),
        "FAN" => json!([scale, shape, fit.log_likelihood, 1.0 / shape, shape_error / (shape * shape)]),
        _ => return Err(format!("what `{last}` of a Weibull fit is asked for is not known")),
    })
}

fn log_normal(input: &Value) -> Result<Value, String> {
    let fit = lognormal::fit(&lives(input)?).map_err(|why| why.to_string())?;
    Ok(json!([fit.log_mean, fit.log_sd, fit.aic()]))
}

fn survival(id: &str, input: &Value) -> Result<Value, String> {
    let steps = kaplan_meier::kaplan_meier(&lives(input)?);
    let greenwood = id.ends_with("greenwood");
    Ok(steps.iter().map(|step| if greenwood { step.standard_error } else { step.survival }).collect())
}

fn known_shape(input: &Value) -> Result<Value, String> {
    let (lives, shape) = (lives(input)?, number(input, "beta")?);
    each(input, "conf", |confidence| weibayes::lower_bound(&lives, shape, confidence).scale)
}

fn change(input: &Value) -> Result<Value, String> {
    let law = Weibull { shape: number(input, "beta")?, scale: number(input, "eta")? };
    if let Ok(age) = number(input, "T") {
        return Ok(json!([law.survival(age), law.mean_until(age)]));
    }
    if input.get("cr").is_some() {
        return match ft_wear::replacement::minimal_repair_optimum(
            law,
            number(input, "cp")?,
            number(input, "cr")?,
        ) {
            Some((age, rate)) => Ok(json!([age, rate])),
            None => Ok(json!("none")),
        };
    }
    let costs = Costs { planned: number(input, "cp")?, failure: number(input, "cf")? };
    Ok(match optimum(law, costs) {
        Some(best) => json!([best.age, cost_rate(law, costs, best.age), best.run_to_failure_rate]),
        None => json!("none"),
    })
}

fn spares(id: &str, input: &Value) -> Result<Value, String> {
    if id.ends_with("rate") {
        let law = Weibull { shape: number(input, "beta")?, scale: number(input, "eta_days")? };
        let rate = rate_of_use(law, number(input, "n_positions")? as u32, Some(number(input, "T_days")?));
        return Ok(json!([rate.parts, rate.failures]));
    }
    let mean = number(input, "mean")?;
    let of_stock: fn(u64, f64) -> f64 = match id.rsplit('-').next() {
        Some("cdf") => service_level,
        Some("EBO") => expected_waiting,
        Some("fill") => fill_rate,
        _ => return Err("what is asked of a stock is not known".to_owned()),
    };
    each(input, "S", |stock| of_stock(stock as u64, mean))
}

fn mean_time(input: &Value) -> Result<Value, String> {
    let failures = number(input, "failures")? as u32;
    let time = exponential::mean_time_of(failures, number(input, "hours")?, 0.95);
    Ok(json!([time.mean, time.low, time.high]))
}
