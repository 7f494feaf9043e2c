//! Organisms as data: what is known of each, from where, and how sure we are.
//!
//! Adding an organism is adding an entry to `data/organisms.json`, or handing another file to [`read`]. A curve in
//! an organism never falls as it gets warmer, because only square-root lines are accepted: past an optimum that
//! nobody in a cold room should count on, more heat must not mean less growth.

use std::fmt;

use serde::Deserialize;

use crate::curve::RateCurve;
use crate::secondary::SecondaryModel;

/// One organism, or group of organisms, and what is shown of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Organism {
    /// Stable name for commands and records.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// What is shown of it.
    pub shown: Shown,
    /// Where the figures come from and how sure we are of each; at least one.
    pub sources: Vec<Source>,
    /// What must be said whenever it is shown, each without a full stop.
    pub cautions: Vec<String>,
}

/// What is shown of an organism.
#[derive(Debug, Clone, PartialEq)]
pub enum Shown {
    /// Predicted growth; from the first moment above `from_c`, if there is one, else always.
    Growth {
        /// Nothing is said of it in a history that never gets above this, °C.
        from_c: Option<f64>,
        /// How fast it grows and within which limits.
        growth: Growth,
    },
    /// Only the time above its least temperature, °C: no sound rate is known.
    TimeAbove {
        /// Least temperature of growth, °C.
        celsius: f64,
    },
}

/// How fast an organism grows, within which limits, and when that matters.
#[derive(Debug, Clone, PartialEq)]
pub struct Growth {
    /// Rate by temperature: the fast end of what was measured, without lag.
    pub curve: RateCurve,
    /// Coldest and warmest temperature that was studied, °C. Warmer is outside the data.
    pub studied_c: (f64, f64),
    /// Count that it does not grow beyond, log10 per mL; used only with a laboratory count.
    pub ceiling_log10: f64,
    /// How far a prediction may be off to either side, log10.
    pub band_log10: f64,
    /// Increase at which somebody has to decide, log10.
    pub hold_log10: f64,
    /// Increase at which the product goes, log10; not below `hold_log10`.
    pub discard_log10: f64,
}

/// Where a figure comes from.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Which figure.
    pub what: String,
    /// The text that it stands in.
    #[serde(rename = "where")]
    pub place: String,
    /// How sure we are: read, derived, from memory, our choice.
    pub status: String,
}

/// Why a file holds no organisms, with the organism and what would be right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadOrganisms(pub String);

impl fmt::Display for BadOrganisms {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for BadOrganisms {}

/// The organisms that come with Fulltray.
pub fn shipped() -> Vec<Organism> {
    read(include_str!("../data/organisms.json")).expect("the tests read the shipped file")
}

/// Reads an organism file (JSON, UTF-8) of the form of `data/organisms.json`.
///
/// # Errors
/// [`BadOrganisms`]: not of that form, an organism without a source, figures out of range, a curve that is not
/// made of square-root lines, or an id that stands twice.
pub fn read(json: &str) -> Result<Vec<Organism>, BadOrganisms> {
    let file: File = serde_json::from_str(json).map_err(|e| BadOrganisms(e.to_string()))?;
    let mut organisms: Vec<Organism> = Vec::new();
    for entry in file.organisms {
        let id = entry.id.clone();
        if organisms.iter().any(|earlier| earlier.id == id) {
            return Err(BadOrganisms(format!(
                "the organism `{id}` stands twice; give one of them another id"
            )));
        }
        organisms.push(entry.checked().map_err(|why| BadOrganisms(format!("organism `{id}`: {why}")))?);
    }
    Ok(organisms)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(rename = "edition")]
    _edition: String,
    #[serde(rename = "note")]
    _note: String,
    organisms: Vec<Entry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    id: String,
    name: String,
    shown: When,
    #[serde(default)]
    curve: Vec<SecondaryModel>,
    studied_c: Option<(f64, f64)>,
    ceiling_log10: Option<f64>,
    band_log10: Option<f64>,
    alarm: Option<Alarm>,
    sources: Vec<Source>,
    cautions: Vec<String>,
}

#[derive(Deserialize)]
#[serde(tag = "when", rename_all = "kebab-case", deny_unknown_fields)]
enum When {
    Always,
    Above { celsius: f64 },
    TimeAbove { celsius: f64 },
}

#[derive(Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
struct Alarm {
    hold_log10: f64,
    discard_log10: f64,
}

impl Entry {
    fn checked(self) -> Result<Organism, String> {
        if self.sources.is_empty() {
            return Err("no source; say where its figures come from, even if from memory".into());
        }
        let shown = match self.shown {
            When::Always => Shown::Growth { from_c: None, growth: self.growth()? },
            When::Above { celsius } => Shown::Growth { from_c: Some(celsius), growth: self.growth()? },
            When::TimeAbove { celsius } if self.curve.is_empty() => Shown::TimeAbove { celsius },
            When::TimeAbove { .. } => return Err("`time-above` shows no growth; leave out its curve".into()),
        };
        Ok(Organism { id: self.id, name: self.name, shown, sources: self.sources, cautions: self.cautions })
    }

    fn growth(&self) -> Result<Growth, String> {
        let missing = |what: &str| format!("no `{what}`; growth is shown only with it");
        if self.curve.iter().any(|model| !matches!(model, SecondaryModel::SquareRoot { .. })) {
            return Err("a curve that can fall as it gets warmer; write square-root lines".into());
        }
        let alarm = self.alarm.ok_or_else(|| missing("alarm"))?;
        let growth = Growth {
            curve: RateCurve::new(self.curve.clone()).map_err(|e| e.to_string())?,
            studied_c: self.studied_c.ok_or_else(|| missing("studied_c"))?,
            ceiling_log10: self.ceiling_log10.ok_or_else(|| missing("ceiling_log10"))?,
            band_log10: self.band_log10.ok_or_else(|| missing("band_log10"))?,
            hold_log10: alarm.hold_log10,
            discard_log10: alarm.discard_log10,
        };
        if !(0.0 < growth.hold_log10 && growth.hold_log10 <= growth.discard_log10) {
            return Err("alarms must be above zero, `hold_log10` not above `discard_log10`".into());
        }
        if !(growth.band_log10 > 0.0 && growth.studied_c.0 <= growth.studied_c.1) {
            return Err("`band_log10` must be above zero and `studied_c` run from cold to warm".into());
        }
        Ok(growth)
    }
}

#[cfg(test)]
mod tests {
    use super::{Shown, read, shipped};

    #[test]
    fn the_shipped_file_is_read_and_every_figure_has_a_source() {
        let organisms = shipped();
        assert_eq!(organisms.len(), 6);
        assert!(organisms.iter().all(|organism| !organism.sources.is_empty()));
        let listeria = &organisms[0];
        let Shown::Growth { growth, .. } = &listeria.shown else { panic!("Listeria is always shown") };
        // Doubling times that Rosenow and Marth 1987 measured in milk and cream; the line keeps to their fast ends.
        for (celsius, fast, slow) in
            [(4.0, 29.73, 45.55), (8.0, 8.667, 14.55), (13.0, 4.45, 6.92), (21.0, 1.717, 1.917)]
        {
            let doubling = std::f64::consts::LN_2 / growth.curve.rate(celsius);
            assert!(doubling < slow && doubling > fast * 0.85, "{celsius} °C: {doubling} h");
        }
    }

    #[test]
    fn bad_entries_say_what_would_be_right() {
        let says = |entry: &str| {
            read(&format!(r#"{{"edition":"x","note":"","organisms":[{entry}]}}"#)).unwrap_err().to_string()
        };
        let no_source =
            r#"{"id":"a","name":"A","shown":{"when":"time-above","celsius":7},"sources":[],"cautions":[]}"#;
        assert_eq!(
            says(no_source),
            "organism `a`: no source; say where its figures come from, even if from memory"
        );
        let falling = r#"{"id":"a","name":"A","shown":{"when":"always"},
            "curve":[{"kind":"cardinal","t_min":3.7,"t_opt":40.8,"t_max":46.6,"mu_opt":2.3}],
            "sources":[{"what":"","where":"","status":""}],"cautions":[]}"#;
        assert!(says(falling).contains("fall as it gets warmer"));
        assert!(says(r#"{"id":"a","colour":"red"}"#).contains("colour"));
    }
}
