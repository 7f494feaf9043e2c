//! The record of a chain as JSON, as people or machines write it down.

use ft_growth::{GapRule, History, Reading};
use serde::Deserialize;

use crate::days::Day;
use crate::ledger::{BadMove, Lot, Mixing};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    mixing: MixingWord,
    days: Vec<DayEntry>,
}

#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
enum MixingWord {
    WellMixed,
    FirstInFirstOut,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DayEntry {
    lot: String,
    made_h: f64,
    discard_by_h: Option<f64>,
    tank_litres: f64,
    kept_litres: f64,
    #[serde(default)]
    discarded: bool,
    /// Pairs of hours and °C from this blend to the next.
    temperatures: Option<Vec<(f64, f64)>>,
    /// Or the name of a log that holds them.
    log: Option<String>,
}

/// Reads a record; see docs/rerun.md for its form. `read_log` gives the readings of a log that a day names.
///
/// # Errors
/// [`BadMove`] with the number of the day: not of that form, no temperatures, or readings that are no history.
pub fn read(
    json: &str,
    rule: GapRule,
    mut read_log: impl FnMut(&str) -> Result<Vec<Reading>, String>,
) -> Result<(Vec<Day>, Mixing), BadMove> {
    let file: File = serde_json::from_str(json).map_err(|e| BadMove(e.to_string()))?;
    let mut days = Vec::with_capacity(file.days.len());
    for (index, entry) in file.days.into_iter().enumerate() {
        let bad = |why: String| BadMove(format!("day {}: {why}", index + 1));
        let readings = match (&entry.temperatures, &entry.log) {
            (Some(pairs), None) => pairs.iter().map(|&(hours, celsius)| Reading { hours, celsius }).collect(),
            (None, Some(log)) => read_log(log).map_err(bad)?,
            _ => return Err(bad("write either `temperatures` or `log`".into())),
        };
        // Temperatures in the record itself are drawn by hand; only a log has gaps.
        let rule = if entry.log.is_some() { rule } else { GapRule::NONE };
        let history = History::new(&readings, rule).map_err(|e| bad(e.to_string()))?;
        if !(entry.made_h.is_finite() && entry.tank_litres >= 0.0 && entry.kept_litres >= 0.0) {
            return Err(bad("a volume is below zero".into()));
        }
        days.push(Day {
            lot: Lot { id: entry.lot, made_h: entry.made_h, discard_by_h: entry.discard_by_h },
            tank_litres: entry.tank_litres,
            kept_litres: entry.kept_litres,
            history,
            is_discarded: entry.discarded,
        });
    }
    let mixing = match file.mixing {
        MixingWord::WellMixed => Mixing::WellMixed,
        MixingWord::FirstInFirstOut => Mixing::FirstInFirstOut,
    };
    Ok((days, mixing))
}

#[cfg(test)]
mod tests {
    use super::read;
    use ft_growth::GapRule;

    #[test]
    fn a_record_that_is_not_one_says_where() {
        let says = |json: &str| {
            read(json, GapRule::USUAL, |log| Err(format!("{log} is missing"))).unwrap_err().to_string()
        };
        let day = |rest: &str| {
            format!(
                r#"{{"mixing":"well-mixed","days":[{{"lot":"A","made_h":0,"tank_litres":20,"kept_litres":6,{rest}}}]}}"#
            )
        };
        assert!(says(&day(r#""colour":"red""#)).contains("unknown field `colour`"));
        assert_eq!(says(&day(r#""discarded":true"#)), "day 1: write either `temperatures` or `log`");
        assert_eq!(says(&day(r#""log":"n.csv""#)), "day 1: n.csv is missing");
        assert!(says(&day(r#""temperatures":[[0,3],[0,4]]"#)).contains("same time"));
        assert!(says(r#"{"mixing":"shaken","days":[]}"#).contains("well-mixed"));
    }
}
