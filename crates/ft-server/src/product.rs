//! Product checks: which there are, what the last nights say, and the verdict on a new one.

use std::collections::{BTreeMap, VecDeque};

use ft_chart::trend::{Trend, trend};
use ft_machine::{Liquid, Statement};
use ft_pages::{Language, ProductLine, ProductView};
use ft_product::{Band, Mistake, cup_check, explain_reading, explain_reported};
use ft_readings::individuals;
use ft_record::{Event, Fact, ReadingSource};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::clock::{clock, day};
use crate::current::Current;
use crate::probes::value;
use crate::problem::Problem;
use crate::readings::limits;

/// So many of the last readings of a name are remembered.
const REMEMBERED: usize = 60;
/// So many before the last eight set the limits of the chart: with fewer it says nothing. Source: none, our choice.
const BASELINE: usize = 10;

/// A reading that somebody took.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    at_ms: i64,
    by: Option<String>,
    value: f64,
    unit: String,
    within: Option<String>,
    good: Option<bool>,
}

/// Readings by hand, by machine and name, in the record's order.
#[derive(Debug, Default)]
pub struct Readings(BTreeMap<(String, String), VecDeque<Taken>>);

impl Readings {
    /// Takes the next event of the record.
    pub fn take(&mut self, event: &Event) {
        let (Some(machine), Fact::Reading { of, value, unit, within, good, source: ReadingSource::Hand }) =
            (&event.machine, &event.fact)
        else {
            return;
        };
        let row = self.0.entry((machine.clone(), of.clone())).or_default();
        row.push_back(Taken {
            at_ms: event.at_ms,
            by: event.person.clone(),
            value: *value,
            unit: unit.clone(),
            within: within.clone(),
            good: *good,
        });
        if row.len() > REMEMBERED {
            row.pop_front();
        }
    }
}

/// The checks of each machine that serves product: what its opening measures, overrun, and Brix.
pub fn views(current: &Current, readings: &Readings, language: Language) -> Vec<ProductView> {
    let mut views = Vec::new();
    for live in &current.run.machines {
        let file = &live.ready.file;
        let serves = file.machine.as_ref().is_some_and(|machine| {
            machine.vessels.iter().any(|vessel| matches!(vessel.holds, Some((Liquid::Product(_), _))))
        });
        if !serves {
            continue;
        }
        let mut lines = Vec::new();
        let opening = file.procedures.iter().filter(|procedure| procedure.named.name == "opening");
        for statement in opening.flat_map(|opening| &opening.steps).flat_map(|step| &step.statements) {
            let Statement::Measure { what, within, .. } = statement else { continue };
            let name = ft_app::tonight::pick(what, "en").unwrap_or_default();
            let label = ft_app::tonight::pick(what, language.code()).unwrap_or(name);
            let (band, unit) = limits(within);
            // The strength of a sanitiser is no word on the product.
            if matches!(unit.as_str(), "mg/L" | "ppm" | "g/L") {
                continue;
            }
            let line = Line { of: name, label, unit: &unit, within: Some(within.clone()), band };
            lines.push(line.with(readings, &live.ready.name, language));
        }
        let overrun = match language {
            Language::English => "Overrun",
            Language::Spanish => "Aireación (overrun)",
        };
        // Air is whipped in only where something is drawn frozen.
        let is_frozen =
            lines.iter().any(|line| line.unit == "°C" && line.high.is_some_and(|most| most <= 0.0));
        for (of, label, unit) in [("Overrun", overrun, "%"), ("Brix", "Brix", "°Bx")] {
            if (of == "Overrun" && !is_frozen) || lines.iter().any(|line: &ProductLine| line.of == of) {
                continue;
            }
            // The site's own band: as it was said the last time.
            let row = readings.0.get(&(live.ready.name.clone(), of.to_owned()));
            let within = row.and_then(|row| row.back()).and_then(|last| last.within.clone());
            let (band, _) = within.as_deref().map(limits).unwrap_or_default();
            let line = Line { of, label, unit, within, band };
            let line = line.with(readings, &live.ready.name, language);
            lines.push(ProductLine { asks_band: true, is_cup: of == "Overrun", ..line });
        }
        views.push(ProductView {
            machine: live.ready.name.clone(),
            label: live.label(language.code()).to_owned(),
            lines,
        });
    }
    views
}

struct Line<'l> {
    of: &'l str,
    label: &'l str,
    unit: &'l str,
    within: Option<String>,
    band: Band,
}

impl Line<'_> {
    /// With what was read before.
    fn with(self, readings: &Readings, machine: &str, language: Language) -> ProductLine {
        let empty = VecDeque::new();
        let row = readings.0.get(&(machine.to_owned(), self.of.to_owned())).unwrap_or(&empty);
        let same: Vec<&Taken> = row.iter().filter(|taken| taken.unit == self.unit).collect();
        let values: Vec<f64> = same.iter().map(|taken| taken.value).collect();
        let last = same.last().map(|last| {
            let by = last.by.as_deref().unwrap_or("–");
            format!(
                "{}, {} {}, {by}",
                value(last.value, self.unit, language),
                day(last.at_ms),
                clock(last.at_ms)
            )
        });
        let picture = (values.len() > 1).then(|| {
            let (title, ends) = match language {
                Language::English => {
                    (format!("{}: the last {}", self.label, values.len()), ("first", "last"))
                }
                Language::Spanish => {
                    (format!("{}: las últimas {}", self.label, values.len()), ("primera", "última"))
                }
            };
            trend(&Trend {
                title,
                unit: self.unit.to_owned(),
                points: values.iter().enumerate().map(|(n, value)| (n as f64, Some(*value))).collect(),
                from: 0.0,
                to: values.len() as f64 - 1.0,
                ends: (ends.0.to_owned(), ends.1.to_owned()),
                limits: [self.band.least, self.band.most].into_iter().flatten().collect(),
                gap: String::new(),
            })
        });
        ProductLine {
            of: self.of.to_owned(),
            label: self.label.to_owned(),
            unit: self.unit.to_owned(),
            within: self.within,
            low: self.band.least,
            high: self.band.most,
            is_strict: self.band.is_strict,
            is_cup: false,
            asks_band: false,
            last,
            is_good: same.last().and_then(|last| last.good),
            drift: drift(&values, language),
            trend: picture,
        }
    }
}

/// A sentence where the last reading breaks a rule of the control chart that the readings before the last eight set.
fn drift(values: &[f64], language: Language) -> Option<String> {
    let before = values.len().checked_sub(8).filter(|before| *before >= BASELINE)?;
    let limits = individuals::limits(&values[..before]).ok()?;
    let last = &values[before..];
    let signals = individuals::signals(last, limits.centre, limits.sigma);
    signals.last().filter(|(number, _)| *number == last.len())?;
    Some(match language {
        Language::English => "It is not as it used to be: the last readings break a rule of the control chart. Look at seals and air orifices before the limit is met.".to_owned(),
        Language::Spanish => "No está como antes: las últimas lecturas rompen una regla del gráfico de control. Mire juntas y orificios de aire antes de que se alcance el límite.".to_owned(),
    })
}

/// A reading of the product, or the weights of a cup, and the band that it has to be in.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    unit: String,
    least: Option<f64>,
    most: Option<f64>,
    /// Whether an end itself is no longer good.
    #[serde(default)]
    strict: bool,
    value: Option<f64>,
    cup: Option<Cup>,
}

/// Weights of one cup, grams.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Cup {
    /// Cup with product.
    gross: Option<f64>,
    /// The same cup of mix, net.
    mix: Option<f64>,
    /// The empty cup.
    tare: Option<f64>,
    /// The overrun that somebody worked out, per cent.
    reported: Option<f64>,
}

/// The verdict.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Verdict {
    /// The value, in the unit that was asked for.
    value: f64,
    /// Whether it is within the band; none without a band.
    good: Option<bool>,
    /// In words.
    sentence: String,
    /// The usual mistake that explains the figure.
    mistake: Option<String>,
}

/// Judges a check.
///
/// # Errors
/// [`Problem`]: a number is missing or cannot be.
pub fn judge(asked: &Asked, language: Language) -> Result<Verdict, Problem> {
    let is_es = language == Language::Spanish;
    let missing = || {
        Problem::bad(
            "W0490",
            "A number is missing or is none.",
            "Fill in each field with a number; the last one may stay empty.",
        )
    };
    let bad = |bad: ft_product::BadProduct| {
        Problem::bad("W0491", format!("This cannot be: {}.", bad.message), format!("{}.", bad.remedy))
    };
    let band = Band { least: asked.least, most: asked.most, is_strict: asked.strict };
    let (value, mistake) = match asked.cup {
        Some(Cup { gross: Some(gross), mix: Some(mix), tare: Some(tare), reported }) => {
            let ends = (asked.least.ok_or_else(missing)?, asked.most.ok_or_else(missing)?);
            let check = cup_check(gross, mix, tare, ends).map_err(bad)?;
            let explain = |reported| explain_reported(mix, gross - tare, Some(tare), reported);
            let mistake = reported.map(explain).transpose().map_err(bad)?.flatten();
            let says = |mistake: Mistake| if is_es { mistake.says_es() } else { mistake.says() };
            // One decimal is what a kitchen scale can tell.
            ((check.overrun_percent * 10.0).round() / 10.0, mistake.map(says))
        }
        Some(_) => return Err(missing()),
        None => {
            let value = asked.value.filter(|value| value.is_finite()).ok_or_else(missing)?;
            let slip = explain_reading(value, band, &asked.unit);
            (value, slip.map(|slip| if is_es { slip.says().1 } else { slip.says().0 }))
        }
    };
    let good = (!band.is_open()).then(|| band.holds(value));
    let shown = self::value(value, &asked.unit, language);
    let sentence = match (good, is_es) {
        (Some(true), false) => format!("{shown}: within."),
        (Some(true), true) => format!("{shown}: dentro."),
        (Some(false), false) => {
            format!("{shown}: outside. Do not serve it as it is: measure again and put it right.")
        }
        (Some(false), true) => format!("{shown}: fuera. No lo sirva así: mida otra vez y corríjalo."),
        (None, _) => shown,
    };
    let usual = if is_es { "Error habitual" } else { "Usual mistake" };
    Ok(Verdict { value, good, sentence, mistake: mistake.map(|mistake| format!("{usual}: {mistake}.")) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(text: &str) -> Asked {
        serde_json::from_str(text).expect("a check")
    }

    #[test]
    fn a_strict_limit_stays_strict() {
        let at = |value: f64, strict: bool| {
            let text = format!(r#"{{"unit":"°C","most":5,"strict":{strict},"value":{value}}}"#);
            judge(&asked(&text), Language::English).expect("a verdict").good
        };
        assert_eq!((at(5.0, true), at(4.9, true), at(5.0, false)), (Some(false), Some(true), Some(true)));
    }

    /// The example of docs/product.md: 105 g gross, 30 g of cup, 110 g of mix.
    #[test]
    fn a_cup_with_the_usual_mistake_by_its_name() {
        let cup = |reported: &str| {
            let text = format!(
                r#"{{"unit":"%","least":30,"most":60,"cup":{{"gross":105,"mix":110,"tare":30,"reported":{reported}}}}}"#
            );
            judge(&asked(&text), Language::Spanish).expect("a verdict")
        };
        let told = cup("31.8");
        assert_eq!((told.value, told.good), (46.7, Some(true)));
        assert_eq!(told.sentence, "46,7 %: dentro.");
        assert!(told.mistake.as_ref().is_some_and(|mistake| mistake.contains("divida por")), "{told:?}");
        assert_eq!(cup("46.7").mistake, None);
        assert_eq!(cup("null").mistake, None);
    }

    #[test]
    fn what_is_missing_or_cannot_be_is_told() {
        let code = |text: &str| judge(&asked(text), Language::English).expect_err("no verdict").code;
        assert_eq!(code(r#"{"unit":"°C","most":5}"#), "W0490");
        assert_eq!(code(r#"{"unit":"%","least":30,"most":60,"cup":{"gross":105,"mix":110}}"#), "W0490");
        let heavier = r#"{"unit":"%","least":30,"most":60,"cup":{"gross":30,"mix":110,"tare":105}}"#;
        assert_eq!(code(heavier), "W0491");
    }

    fn readings(values: &[f64]) -> Readings {
        let mut readings = Readings::default();
        for (n, value) in (0..).zip(values) {
            readings.take(&Event {
                v: ft_record::VERSION,
                zone: "UTC".to_owned(),
                id: format!("id-{n}"),
                device: "tablet".to_owned(),
                order: n,
                at_ms: i64::try_from(n).expect("small") * 86_400_000,
                person: Some("Teo".to_owned()),
                machine: Some("twist machine".to_owned()),
                run: None,
                fact: Fact::Reading {
                    of: "Overrun".to_owned(),
                    value: *value,
                    unit: "%".to_owned(),
                    within: Some("30..60 %".to_owned()),
                    good: Some(true),
                    source: ReadingSource::Hand,
                },
            });
        }
        readings
    }

    #[test]
    fn the_last_nights_are_told_with_their_drift() {
        let line = |values: &[f64]| {
            let band = Band { least: Some(30.0), most: Some(60.0), is_strict: false };
            let line = Line { of: "Overrun", label: "Overrun", unit: "%", within: None, band };
            line.with(&readings(values), "twist machine", Language::English)
        };
        let steady = [46.0, 45.2, 46.4, 45.6, 46.2, 45.4, 46.6, 45.8, 46.0, 45.5, 46.3, 45.7];
        let calm: Vec<f64> = steady.iter().chain(&steady[..8]).copied().collect();
        let calm = line(&calm);
        assert!(calm.drift.is_none() && calm.trend.is_some_and(|svg| svg.starts_with("<svg")));
        // Down by two, every one of them within the band.
        let lower: Vec<f64> =
            steady.iter().copied().chain(steady[..8].iter().map(|value| value - 2.0)).collect();
        assert!(line(&lower).drift.is_some());
        assert!(line(&steady).drift.is_none(), "too few to say anything");
        assert!(line(&[]).last.is_none());
    }
}
