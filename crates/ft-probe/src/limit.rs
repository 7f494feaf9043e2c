//! A limit as files write it: `< 5 °C`, `<= 41 °F`, `> 60 °C`, `100..200 mg/L`.

use crate::unit::ProbeUnit;

/// A limit; it is compared in its own unit, as its text was written.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// As it was written.
    pub text: String,
    /// The least that is good, in `unit`.
    pub least: Option<f64>,
    /// The most that is good.
    pub most: Option<f64>,
    /// Whether the bound itself is no longer good.
    pub is_strict: bool,
    /// Its unit.
    pub unit: ProbeUnit,
}

impl Limit {
    /// Reads one; `None` where it is none.
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        let bound =
            |least, most, is_strict, unit| Some(Self { text: text.to_owned(), least, most, is_strict, unit });
        if let Some((low, rest)) = text.split_once("..") {
            let (high, unit) = amount(rest)?;
            let low: f64 = low.trim().parse().ok().filter(|low: &f64| low.is_finite())?;
            return if low <= high { bound(Some(low), Some(high), false, unit) } else { None };
        }
        let sign = text.len() - text.trim_start_matches(['<', '>', '=', '≤', '≥']).len();
        let (value, unit) = amount(&text[sign..])?;
        match &text[..sign] {
            "<" => bound(None, Some(value), true, unit),
            "<=" | "≤" => bound(None, Some(value), false, unit),
            ">" => bound(Some(value), None, true, unit),
            ">=" | "≥" => bound(Some(value), None, false, unit),
            _ => None,
        }
    }

    /// Whether a value of a unit is good; `None` where the units are of different kinds.
    pub fn holds(&self, value: f64, unit: ProbeUnit) -> Option<bool> {
        let value = unit.to(value, self.unit)?;
        let is_below = |bound: f64| if self.is_strict { value < bound } else { value <= bound };
        let is_above = |bound: f64| if self.is_strict { bound < value } else { bound <= value };
        Some(self.least.is_none_or(is_above) && self.most.is_none_or(is_below))
    }

    /// The bounds as numbers of a unit, each with whether it is the upper one.
    pub fn bounds(&self, unit: ProbeUnit) -> Vec<(f64, bool)> {
        let bound = |value: Option<f64>, is_upper| Some((self.unit.to(value?, unit)?, is_upper));
        [bound(self.least, false), bound(self.most, true)].into_iter().flatten().collect()
    }
}

/// A number with its unit.
pub fn amount(text: &str) -> Option<(f64, ProbeUnit)> {
    let text = text.trim();
    let end =
        text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(text.len());
    let value: f64 = text[..end].parse().ok().filter(|value: &f64| value.is_finite())?;
    Some((value, ProbeUnit::of(&text[end..])?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn compared_in_its_own_unit() {
        let celsius = ProbeUnit::of("°C").expect("a unit");
        let food = Limit::read("<= 41 °F").expect("a limit");
        assert_eq!(food.holds(5.0, celsius), Some(true), "5 °C is 41 °F");
        assert_eq!(food.holds(5.01, celsius), Some(false));
        assert_eq!(food.bounds(celsius), [(5.0, true)]);
        let strict = Limit::read("< 5 °C").expect("a limit");
        assert_eq!((strict.holds(5.0, celsius), strict.holds(4.99, celsius)), (Some(false), Some(true)));
        let band = Limit::read("-8..-4 °C").expect("a limit");
        assert_eq!((band.holds(-4.0, celsius), band.holds(-3.9, celsius)), (Some(true), Some(false)));
        assert_eq!(band.holds(5.0, ProbeUnit::Plain("pH")), None);
    }

    #[test]
    fn what_is_none_is_none() {
        for text in ["", "5 °C", "< 5", "< five °C", "9..2 °C", "=< 5 °C", "..5 °C", "< NaN °C", "< 5 K"]
        {
            assert_eq!(Limit::read(text), None, "{text}");
        }
    }
}
