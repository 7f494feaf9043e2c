//! Units in which probes read, and the way from one to another of the same kind.

use ft_units::{MassUnit, Quantity, StrengthUnit, TemperatureUnit, Unit, VolumeUnit};

/// A unit of a probe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProbeUnit {
    /// Of temperature.
    Temperature(TemperatureUnit),
    /// Of a solution's strength.
    Strength(StrengthUnit),
    /// Of a volume.
    Volume(VolumeUnit),
    /// Of a mass.
    Mass(MassUnit),
    /// One that is converted into no other.
    Plain(&'static str),
}

/// Units that stand alone, each with its spellings.
const PLAIN: &[(&str, &[&str])] = &[
    ("%", &["%", "percent"]),
    ("°Bx", &["°Bx", "Bx", "°Brix", "Brix"]),
    ("pH", &["pH"]),
    ("bar", &["bar"]),
    ("RLU", &["RLU"]),
    ("L/min", &["L/min", "l/min"]),
];

/// Spellings that senders use beside those of the kitchen's files.
const SENT: &[(&str, &str)] = &[
    ("degC", "°C"),
    ("celsius", "°C"),
    ("Celsius", "°C"),
    ("c", "°C"),
    ("degF", "°F"),
    ("fahrenheit", "°F"),
    ("Fahrenheit", "°F"),
    ("f", "°F"),
    // The one sign of Unicode for both letters.
    ("℃", "°C"),
    ("℉", "°F"),
];

/// The unit of one kind that is spelt so.
fn find<U: Unit>(text: &str) -> Option<U> {
    U::ALL.iter().find(|(_, spellings)| spellings.contains(&text)).map(|(unit, _)| *unit)
}

impl ProbeUnit {
    /// The unit of a spelling; `None` where there is none.
    pub fn of(text: &str) -> Option<Self> {
        let text = text.trim();
        let text = SENT.iter().find(|(sent, _)| *sent == text).map_or(text, |(_, known)| known);
        find(text)
            .map(Self::Temperature)
            .or_else(|| find(text).map(Self::Strength))
            .or_else(|| find(text).map(Self::Volume))
            .or_else(|| find(text).map(Self::Mass))
            .or_else(|| {
                let plain = PLAIN.iter().find(|(_, spellings)| spellings.contains(&text));
                plain.map(|(symbol, _)| Self::Plain(symbol))
            })
    }

    /// How it is written.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Temperature(unit) => unit.symbol(),
            Self::Strength(unit) => unit.symbol(),
            Self::Volume(unit) => unit.symbol(),
            Self::Mass(unit) => unit.symbol(),
            Self::Plain(symbol) => symbol,
        }
    }

    /// A value of this unit as a number of another; `None` where they are of different kinds.
    ///
    /// Rounded to twelve significant digits, so that the noise of a conversion decides no comparison.
    pub fn to(self, value: f64, other: Self) -> Option<f64> {
        match (self, other) {
            (Self::Temperature(from), Self::Temperature(to)) => Some(Quantity::new(value, from).in_unit(to)),
            (Self::Strength(from), Self::Strength(to)) => Some(Quantity::new(value, from).in_unit(to)),
            (Self::Volume(from), Self::Volume(to)) => Some(Quantity::new(value, from).in_unit(to)),
            (Self::Mass(from), Self::Mass(to)) => Some(Quantity::new(value, from).in_unit(to)),
            (Self::Plain(from), Self::Plain(to)) if from == to => Some(value),
            _ => None,
        }
    }

    /// What a probe of this unit can show at all, where the mapping does not say.
    ///
    /// Source: none, our choice: for temperatures as for a logger's file, -80 to 300 °C; for the rest what is no
    /// amount or no share.
    pub fn possible(self) -> (f64, f64) {
        let celsius = Self::Temperature(TemperatureUnit::Celsius);
        match self {
            Self::Temperature(_) => {
                (celsius.to(-80.0, self).unwrap_or(-80.0), celsius.to(300.0, self).unwrap_or(300.0))
            }
            Self::Strength(_) | Self::Volume(_) | Self::Mass(_) => (0.0, 1e6),
            Self::Plain("%" | "°Bx") => (0.0, 100.0),
            Self::Plain("pH") => (0.0, 14.0),
            Self::Plain(_) => (-1e9, 1e9),
        }
    }

    /// How much a reading has to move to be kept, where the mapping does not say. Source: none, our choice: about what
    /// a kitchen's probe tells apart.
    pub fn step(self) -> f64 {
        match self {
            Self::Temperature(TemperatureUnit::Celsius) | Self::Plain("°Bx") => 0.3,
            Self::Temperature(TemperatureUnit::Fahrenheit) => 0.5,
            Self::Plain("pH") => 0.1,
            Self::Strength(StrengthUnit::MilligramPerLitre | StrengthUnit::Ppm) => 5.0,
            Self::Strength(StrengthUnit::GramPerLitre) => 0.005,
            Self::Volume(_) | Self::Mass(_) | Self::Plain(_) => 1.0,
        }
    }
}

/// A number as a person reads it: at most two decimals, none that are zero.
pub fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spellings_and_conversions_of_one_kind_only() {
        let unit = |text| ProbeUnit::of(text).expect(text);
        assert_eq!(unit("degF").symbol(), "°F");
        assert_eq!(unit("°F").to(41.0, unit("℃")), Some(5.0));
        assert_eq!(unit("ppm").to(150.0, unit("mg/L")), Some(150.0));
        assert_eq!(unit("°C").to(5.0, unit("mg/L")), None);
        assert_eq!(unit("pH").to(7.0, unit("%")), None);
        assert_eq!(ProbeUnit::of("K"), None);
        assert_eq!(unit("°F").possible(), (-112.0, 572.0));
        assert_eq!((number(-0.001), number(4.25), number(4.0)), ("0".into(), "4.25".into(), "4".into()));
    }
}
