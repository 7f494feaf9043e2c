//! Rows on durations: `DUR`, `EB`, `LEARN`, `PERT`, `SUMLN`.

use ft_odds::lognormal::LogNormal;
use ft_odds::pert::{Activity, ThreePoint, critical_path, ends_by, simulate};
use ft_odds::prior::Belief;
use ft_odds::{learning, lognormal, pool, sum};
use ft_stats::maths::{ln, mean};
use serde_json::{Value, json};

use super::Answer;
use super::input::{each, family, number, numbers};

/// Answers the rows on durations.
pub fn answer(id: &str, input: &Value) -> Answer {
    match family(id) {
        "DUR" => Some(duration(id, input)),
        "EB" => Some(pooled(id, input)),
        "LEARN" => Some(learned(input)),
        "PERT" => Some(network(input)),
        "SUMLN" => Some(summed(id, input)),
        _ => None,
    }
}

fn duration(id: &str, input: &Value) -> Result<Value, String> {
    if input.get("prior").is_none() {
        let law = LogNormal::fit(&numbers(input, "min")?).map_err(|why| why.to_string())?;
        return Ok(json!([law.log_mean, law.log_sd, law.median(), law.mean()]));
    }
    let prior = numbers(input, "prior")?;
    let [mean, runs, shape, scale] = prior[..] else { return Err("`prior` is not four numbers".into()) };
    let prior = Belief { mean, runs, shape, scale };
    let minutes = if input.get("min").is_some() { numbers(input, "min")? } else { Vec::new() };
    let belief = prior.after(&lognormal::logs(&minutes).map_err(|why| why.to_string())?);
    if let Ok(deadline) = number(input, "deadline_min") {
        let at_most = belief.next_at_most(deadline);
        return Ok(json!([belief.freedom(), belief.mean, belief.next_scale(), at_most]));
    }
    if input.get("p").is_some() {
        return each(input, "p", |p| belief.next_quantile(p));
    }
    if id.ends_with("new") {
        // The deadline of the rows beside it.
        return Ok(json!([belief.next_at_most(32.0)]));
    }
    Ok(json!([belief.mean, belief.runs, belief.shape, belief.scale]))
}

fn pooled(id: &str, input: &Value) -> Result<Value, String> {
    if input.get("hits").is_some() {
        return Ok(json!(batting(input)?));
    }
    let persons = input.get("log_minutes").and_then(Value::as_object).ok_or("no `log_minutes` by person")?;
    let logs: Vec<Vec<f64>> =
        persons.keys().map(|name| numbers(&input["log_minutes"], name)).collect::<Result<_, _>>()?;
    let lists: Vec<&[f64]> = logs.iter().map(Vec::as_slice).collect();
    let too_few = "no two persons, or nobody with two runs";
    if id.ends_with("REML") {
        let spread = pool::by_likelihood(&lists).ok_or(too_few)?;
        return Ok(json!([spread.within, spread.between]));
    }
    let spread = pool::by_moments(&lists).ok_or(too_few)?;
    let mut answer = vec![spread.within, spread.between, spread.centre];
    answer.extend(lists.iter().map(|logs| spread.trust(logs.len())));
    answer.extend(lists.iter().map(|logs| spread.drawn(mean(logs), logs.len())));
    Ok(json!(answer))
}

/// Squared errors of eighteen batting averages, unpooled and pooled, against the rest of the season.
fn batting(input: &Value) -> Result<[f64; 2], String> {
    /// The rest of the season. Source: Efron & Morris 1975, table 1 (from memory).
    const REST: [f64; 18] = [
        0.346, 0.298, 0.276, 0.222, 0.273, 0.270, 0.263, 0.210, 0.269, 0.230, 0.264, 0.256, 0.303, 0.264,
        0.226, 0.285, 0.316, 0.200,
    ];
    let hits = numbers(input, "hits")?;
    let at_bats = number(input, "at_bats")?;
    if hits.len() != REST.len() {
        return Err("the rest of the season is known for eighteen players".into());
    }
    let transformed = |share: f64| at_bats.sqrt() * (2.0 * share - 1.0).asin();
    let seen: Vec<f64> = hits.iter().map(|hits| transformed(hits / at_bats)).collect();
    let (drawn, _) = pool::stein(&seen);
    let error = |guess: &[f64]| {
        guess
            .iter()
            .zip(REST)
            .fold(0.0, |sum, (x, rest)| sum + (x - transformed(rest)) * (x - transformed(rest)))
    };
    Ok([error(&seen), error(&drawn)])
}

fn learned(input: &Value) -> Result<Value, String> {
    if let Some(persons) = input.get("data").and_then(Value::as_object) {
        let points = |rows: &Value| -> Vec<(f64, f64)> {
            let rows = rows.as_array().map(Vec::as_slice).unwrap_or_default();
            rows.iter().filter_map(|row| Some((ln(row.get(0)?.as_f64()?), row.get(1)?.as_f64()?))).collect()
        };
        let lists: Vec<Vec<(f64, f64)>> = persons.values().map(points).collect();
        let lists: Vec<&[(f64, f64)]> = lists.iter().map(Vec::as_slice).collect();
        let crew = learning::crew(&lists).ok_or("too few runs")?;
        let mut answer = vec![crew.slope, ft_stats::maths::pow(2.0, crew.slope)];
        answer.extend(crew.levels);
        answer.push(crew.residual_variance);
        return Ok(json!(answer));
    }
    if input.get("run").is_some() {
        let runs: Vec<(f64, f64)> = numbers(input, "run")?.into_iter().zip(numbers(input, "min")?).collect();
        let fit = learning::fit(&runs).ok_or("too few runs")?;
        if let Ok(next) = number(input, "n") {
            return each(input, "p", |p| fit.quantile(next, p));
        }
        return Ok(json!([fit.curve.first, fit.curve.exponent, fit.curve.rate(), fit.residual_sd]));
    }
    let curve = learning::Curve::from_rate(number(input, "T1").unwrap_or(1.0), number(input, "rate")?);
    if input.get("units").is_some() {
        let factors = |unit: f64| json!([curve.at(unit), curve.total(unit as u32)]);
        return Ok(numbers(input, "units")?.into_iter().map(factors).collect());
    }
    each(input, "n", |n| curve.at(n))
}

fn network(input: &Value) -> Result<Value, String> {
    if input.get("means").is_some() {
        let mean = numbers(input, "means")?.iter().sum();
        let variance = numbers(input, "sds")?.iter().map(|sd| sd * sd).sum();
        return Ok(json!(ends_by(mean, variance, number(input, "T")?)));
    }
    if let Ok(mean) = number(input, "mu") {
        let variance = number(input, "var")?;
        if let Some(text) = input.get("P").and_then(Value::as_str) {
            let limit =
                text.strip_prefix("X>=").and_then(|t| t.parse().ok()).ok_or("`P` is not `X>=number`")?;
            return Ok(json!(1.0 - ends_by(mean, variance, limit)));
        }
        return each(input, "T", |limit| ends_by(mean, variance, limit));
    }
    let network = fourteen();
    if input.get("dist").is_some() {
        let simulated = simulate(&network, 55.0, 1 << 20, 1).ok_or("the network is not in order")?;
        return Ok(json!([simulated.mean, simulated.sd, simulated.ends_by]));
    }
    let critical = critical_path(&network).ok_or("the network is not in order")?;
    let names: String = critical.path.iter().map(|index| network[*index].name.as_str()).collect();
    if input.get("critical").and_then(Value::as_str) != Some(&names) {
        return Err(format!("the critical path is {names}"));
    }
    // The last value is the length of the critical activities added up.
    let total: f64 = critical.path.iter().map(|index| network[*index].length.mean()).sum();
    Ok(json!([critical.mean, critical.variance, critical.variance.sqrt(), total]))
}

/// The fourteen activities of a published example.
fn fourteen() -> Vec<Activity> {
    let rows: [(&str, f64, f64, f64, &str); 14] = [
        ("A", 5.0, 5.0, 7.0, ""),
        ("B", 1.0, 2.0, 5.0, ""),
        ("C", 5.0, 5.0, 5.0, "A"),
        ("D", 4.0, 8.0, 13.0, "A"),
        ("E", 1.0, 10.0, 17.0, "BC"),
        ("F", 1.0, 5.0, 7.0, "D"),
        ("G", 2.0, 6.0, 9.0, "D"),
        ("H", 4.0, 4.0, 6.0, "EF"),
        ("I", 2.0, 7.0, 10.0, "GH"),
        ("J", 2.0, 4.0, 7.0, "I"),
        ("K", 6.0, 10.0, 13.0, "I"),
        ("L", 2.0, 6.0, 6.0, "J"),
        ("M", 2.0, 2.0, 3.0, "K"),
        ("N", 7.0, 7.0, 12.0, "LM"),
    ];
    let place = |name: char| rows.iter().position(|row| row.0.starts_with(name));
    rows.iter()
        .map(|(name, least, likeliest, greatest, after)| Activity {
            name: (*name).to_owned(),
            length: ThreePoint { least: *least, likeliest: *likeliest, greatest: *greatest },
            after: after.chars().filter_map(place).collect(),
        })
        .collect()
}

fn summed(id: &str, input: &Value) -> Result<Value, String> {
    let rows = input.get("log_params").and_then(Value::as_array).ok_or("no `log_params`")?;
    let law =
        |row: &Value| Some(LogNormal { log_mean: row.get(0)?.as_f64()?, log_sd: row.get(1)?.as_f64()? });
    let parts: Vec<LogNormal> = rows.iter().filter_map(law).collect();
    if id.ends_with("mom") {
        let ((mean, variance), matched) = (sum::moments(&parts), sum::matched(&parts));
        return Ok(json!([mean, variance, matched.log_mean, matched.log_sd]));
    }
    if id.ends_with("FW") {
        let matched = sum::matched(&parts);
        return each(input, "T", |length| matched.at_most(length));
    }
    if parts.is_empty() || 4 < parts.len() {
        return Err("a sum of one to four lengths can be told to this precision".into());
    }
    each(input, "T", |length| sum::at_most(&parts, length).unwrap_or(f64::NAN))
}
