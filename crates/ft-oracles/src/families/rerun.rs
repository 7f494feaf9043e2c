//! Rerun: the recurrence, its ceiling, ages, and whole weeks.

use ft_growth::SecondaryModel;
use ft_maths::exp;
use ft_rerun::age;
use ft_rerun::ledger::{Ledger, Lot, Mixing};
use ft_rerun::moebius::Moebius;
use ft_rerun::recurrence::{self as chain, Fate};
use serde_json::{Value, json};

use super::input::{each, family, number, numbers, text};
use super::{Answer, growth};

/// Answers rows about carry-over.
pub fn answer(id: &str, input: &Value) -> Answer {
    match family(id) {
        "BS" => Some(blending(id, input)),
        "AGE" if input.get("beta").is_none() => Some(ages(input)),
        "FCRIT" => Some(break_even_temperature(input)),
        "WEEK" => Some(week(input)),
        _ => None,
    }
}

fn blending(id: &str, input: &Value) -> Result<Value, String> {
    let has = |key: &str| input.get(key).is_some();
    if has("ln_fg_mean") {
        let (mean, tail) = chain::fluctuating(number(input, "ln_fg_mean")?, number(input, "ln_fg_sd")?);
        return Ok(json!([mean, tail]));
    }
    if input.get("f").is_some_and(Value::is_array) {
        return unequal(input, &numbers(input, "g")?);
    }
    let f = number(input, "f")?;
    if has("A_ln") {
        return ceiling(input, f);
    }
    if !has("g") {
        let is_log = id.ends_with("log");
        return Ok(json!(if is_log { chain::break_even_log10(f) } else { chain::break_even_growth(f) }));
    }
    let (g, n0) = (number(input, "g")?, number(input, "n0")?);
    let c0 = number(input, "c0").unwrap_or(n0);
    if has("discard_every") {
        return each(input, "discard_every", |days| {
            chain::worst_blend_between_discards(f, g, n0, days as u32)
        });
    }
    if has("what") {
        return Ok(json!(g * chain::worst_blend_between_discards(f, g, n0, 7)));
    }
    if has("ratio") {
        let after = |nights| chain::blend_after(f, g, n0, c0, nights);
        return Ok(json!(after(27) / after(6)));
    }
    if has("k") {
        return each(input, "k", |nights| chain::blend_after(f, g, n0, c0, nights as u32));
    }
    Ok(match chain::fate(f, g, n0) {
        Fate::Settles(count) => json!(count),
        Fate::RunsAway => json!("diverges"),
    })
}

/// Blends of nights with their own shares and growth factors; fresh counts one for all or one for each.
fn unequal(input: &Value, factors: &[f64]) -> Result<Value, String> {
    let shares = numbers(input, "f")?;
    let fresh = numbers(input, "n0")?;
    let nights: Vec<(f64, f64, f64)> = factors
        .iter()
        .enumerate()
        .map(|(night, g)| (pick(&shares, night), *g, pick(&fresh, night)))
        .collect();
    let c0 = number(input, "c0").unwrap_or_else(|_| pick(&fresh, 0));
    Ok(json!(chain::blends(&nights, c0)))
}

/// The value of that night, or the only one.
fn pick(values: &[f64], night: usize) -> f64 {
    *values.get(night).or(values.last()).unwrap_or(&f64::NAN)
}

fn ceiling(input: &Value, f: f64) -> Result<Value, String> {
    let n0 = number(input, "n0")?;
    let night = Moebius::night(f, number(input, "A_ln")?, n0, number(input, "Nmax")?);
    if input.get("k").is_none() {
        return night.fixed_point().map(|count| json!(count)).ok_or_else(|| "no fixed point".into());
    }
    let c0 = number(input, "c0").unwrap_or(n0);
    each(input, "k", |nights| night.repeated(nights as u32).of(c0))
}

fn ages(input: &Value) -> Result<Value, String> {
    let has = |key: &str| input.get(key).is_some();
    if has("sold_L") {
        return first_in_first_out(input);
    }
    if input.get("f").is_some_and(Value::is_array) {
        let shares = numbers(input, "f")?;
        if has("d") {
            return each(input, "d", |days| age::share_older_unequal(&shares, days as usize));
        }
        let days: Vec<u32> = shares.iter().map(|f| age::days_to_share(*f, 0.01)).collect();
        return Ok(json!(days));
    }
    let f = number(input, "f")?;
    if has("d") {
        return match number(input, "g") {
            Ok(g) => each(input, "d", |days| age::count_share_older(f, g, days as u32)),
            Err(_) => each(input, "d", |days| age::share_older(f, days as u32)),
        };
    }
    if has("k") {
        return each(input, "k", |days| age::mean_days_since_discard(f, days as u32));
    }
    Ok(json!(age::mean_days(f)))
}

/// A rack topped up to a volume each morning: what is left each night as litres and age in days.
fn first_in_first_out(input: &Value) -> Result<Value, String> {
    let volume = number(input, "V")?;
    let mut ledger = Ledger::new(0);
    let text = |e: ft_rerun::BadMove| e.to_string();
    ledger.add_vessel("rack", Mixing::FirstInFirstOut).map_err(text)?;
    let mut nights = Vec::new();
    for (day, sold) in numbers(input, "sold_L")?.into_iter().enumerate() {
        let fresh = volume - ledger.litres("rack").map_err(text)?;
        if fresh > 0.0 {
            let lot = Lot { id: day.to_string(), made_h: 24.0 * day as f64, discard_by_h: None };
            ledger.fill("rack", lot, fresh).map_err(text)?;
        }
        ledger.remove("rack", sold).map_err(text)?;
        let left: Vec<Value> = ledger
            .portions("rack")
            .map_err(text)?
            .map(|portion| json!([portion.litres, day - portion.lot.parse::<usize>().unwrap_or(day)]))
            .collect();
        nights.push(left);
    }
    Ok(json!(nights))
}

fn break_even_temperature(input: &Value) -> Result<Value, String> {
    let curve = growth::curve(input)?;
    let [SecondaryModel::SquareRoot { b, t_min }] = *curve.models() else {
        return Err("only a square-root line has this formula".into());
    };
    let hours = number(input, "hold_h")?;
    each(input, "f", |f| chain::break_even_temperature(b, t_min, f, hours))
}

/// A whole day: its dose, `f g`, and the largest share that settles; or the blends of days with doses of their own.
fn week(input: &Value) -> Result<Value, String> {
    if let Some(key) = ["M", "A_ln", "dose", "doses"].into_iter().find(|key| input.get(key).is_some()) {
        let factors: Vec<f64> = numbers(input, key)?.into_iter().map(exp).collect();
        return unequal(input, &factors);
    }
    let dose = growth::dose_of_stretches(text(input, "T")?, &growth::curve(input)?)?;
    let f = number(input, "f")?;
    Ok(json!([dose, f * exp(dose), chain::largest_settling_share(dose)]))
}
