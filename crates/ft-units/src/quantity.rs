//! A number with its unit, and the units there are.

use std::cmp::Ordering;
use std::fmt;

/// A unit of one kind of quantity.
pub trait Unit: Copy + Eq + fmt::Debug + 'static {
    /// What is measured, for messages: `a volume`.
    const WHAT: &'static str;
    /// Every unit with the spellings that are read; the first is the one that is written.
    const ALL: &'static [(Self, &'static [&'static str])];
    /// Least value that makes sense, in the base unit.
    const LEAST: f64;
    /// From a number of this unit to the base unit.
    fn to_base(self, value: f64) -> f64;
    /// From the base unit to a number of this unit.
    fn of_base(self, base: f64) -> f64;

    /// How the unit is written.
    fn symbol(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(unit, _)| *unit == self)
            .and_then(|(_, spellings)| spellings.first())
            .expect("every unit is in its own table")
    }
}

/// A number and the unit it was given in.
#[derive(Debug, Clone, Copy)]
pub struct Quantity<U> {
    /// The number, in `unit`; finite.
    pub value: f64,
    /// The unit.
    pub unit: U,
}

impl<U: Unit> Quantity<U> {
    /// A quantity of `value` in `unit`.
    pub const fn new(value: f64, unit: U) -> Self {
        Self { value, unit }
    }

    /// The same quantity as a number of another unit, rounded to twelve significant digits, so that the noise
    /// of a conversion never decides a comparison.
    pub fn in_unit(self, unit: U) -> f64 {
        if unit == self.unit { self.value } else { settle(unit.of_base(self.unit.to_base(self.value))) }
    }

    /// The same quantity written in another unit, to full precision.
    #[must_use]
    pub fn to(self, unit: U) -> Self {
        let value = if unit == self.unit { self.value } else { unit.of_base(self.unit.to_base(self.value)) };
        Self { value, unit }
    }

    /// How this compares with a limit, in the limit's own unit.
    pub fn cmp_limit(self, limit: Self) -> Ordering {
        self.in_unit(limit.unit).total_cmp(&limit.value)
    }
}

impl<U: Unit> PartialEq for Quantity<U> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp_limit(*other) == Ordering::Equal
    }
}

impl<U: Unit> fmt::Display for Quantity<U> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // At most four decimals, none that are zero: enough for a kitchen, and the same on every machine.
        let text = format!("{:.4}", self.value);
        write!(f, "{} {}", text.trim_end_matches('0').trim_end_matches('.'), self.unit.symbol())
    }
}

/// From the least that is allowed to the most, both included, in one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range<U: Unit> {
    /// The least.
    pub low: Quantity<U>,
    /// The most; not below `low`.
    pub high: Quantity<U>,
}

impl<U: Unit> Range<U> {
    /// Whether a quantity lies within, compared in the range's own unit.
    pub fn contains(&self, quantity: Quantity<U>) -> bool {
        quantity.cmp_limit(self.low) != Ordering::Less && quantity.cmp_limit(self.high) != Ordering::Greater
    }
}

impl<U: Unit> fmt::Display for Range<U> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} to {}", self.low, self.high)
    }
}

/// Rounds to twelve significant digits.
fn settle(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    format!("{value:.11e}").parse().unwrap_or(value)
}

/// Volumes; the base is the litre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VolumeUnit {
    /// Litre.
    Litre,
    /// Millilitre.
    Millilitre,
    /// US liquid gallon, 3.785411784 L. Source: NIST Handbook 44, appendix C.
    UsGallon,
    /// US liquid quart, a quarter of a gallon.
    UsQuart,
    /// US fluid ounce, 1/128 gallon.
    FluidOunce,
    /// US tablespoon, half a fluid ounce.
    Tablespoon,
}

impl VolumeUnit {
    const fn litres(self) -> f64 {
        match self {
            Self::Litre => 1.0,
            Self::Millilitre => 0.001,
            Self::UsGallon => 3.785_411_784,
            Self::UsQuart => 3.785_411_784 / 4.0,
            Self::FluidOunce => 3.785_411_784 / 128.0,
            Self::Tablespoon => 3.785_411_784 / 256.0,
        }
    }
}

impl Unit for VolumeUnit {
    const WHAT: &'static str = "a volume";
    const ALL: &'static [(Self, &'static [&'static str])] = &[
        (Self::Litre, &["L", "l"]),
        (Self::Millilitre, &["mL", "ml"]),
        (Self::UsGallon, &["US gal"]),
        (Self::UsQuart, &["US qt"]),
        (Self::FluidOunce, &["fl oz"]),
        (Self::Tablespoon, &["tbsp"]),
    ];
    const LEAST: f64 = 0.0;
    fn to_base(self, value: f64) -> f64 {
        value * self.litres()
    }
    fn of_base(self, base: f64) -> f64 {
        base / self.litres()
    }
}

/// Masses; the base is the gram.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MassUnit {
    /// Gram.
    Gram,
    /// Kilogram.
    Kilogram,
    /// Avoirdupois ounce, 28.349523125 g. Source: NIST Handbook 44, appendix C.
    Ounce,
    /// Avoirdupois pound, 453.59237 g. Source: as above.
    Pound,
}

impl MassUnit {
    const fn grams(self) -> f64 {
        match self {
            Self::Gram => 1.0,
            Self::Kilogram => 1000.0,
            Self::Ounce => 28.349_523_125,
            Self::Pound => 453.592_37,
        }
    }
}

impl Unit for MassUnit {
    const WHAT: &'static str = "a mass";
    const ALL: &'static [(Self, &'static [&'static str])] =
        &[(Self::Gram, &["g"]), (Self::Kilogram, &["kg"]), (Self::Ounce, &["oz"]), (Self::Pound, &["lb"])];
    const LEAST: f64 = 0.0;
    fn to_base(self, value: f64) -> f64 {
        value * self.grams()
    }
    fn of_base(self, base: f64) -> f64 {
        base / self.grams()
    }
}

/// Lengths of time; the base is the second.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimeUnit {
    /// Second.
    Second,
    /// Minute.
    Minute,
    /// Hour.
    Hour,
    /// Day of 24 hours.
    Day,
}

impl TimeUnit {
    const fn seconds(self) -> f64 {
        match self {
            Self::Second => 1.0,
            Self::Minute => 60.0,
            Self::Hour => 3600.0,
            Self::Day => 86400.0,
        }
    }
}

impl Unit for TimeUnit {
    const WHAT: &'static str = "a time";
    const ALL: &'static [(Self, &'static [&'static str])] = &[
        (Self::Second, &["s"]),
        (Self::Minute, &["min"]),
        (Self::Hour, &["h"]),
        (Self::Day, &["days", "day"]),
    ];
    const LEAST: f64 = 0.0;
    fn to_base(self, value: f64) -> f64 {
        value * self.seconds()
    }
    fn of_base(self, base: f64) -> f64 {
        base / self.seconds()
    }
}

/// Temperatures; the base is the degree Celsius.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TemperatureUnit {
    /// Degree Celsius.
    Celsius,
    /// Degree Fahrenheit.
    Fahrenheit,
}

impl Unit for TemperatureUnit {
    const WHAT: &'static str = "a temperature";
    const ALL: &'static [(Self, &'static [&'static str])] =
        &[(Self::Celsius, &["°C", "C"]), (Self::Fahrenheit, &["°F", "F"])];
    const LEAST: f64 = -273.15;
    fn to_base(self, value: f64) -> f64 {
        match self {
            Self::Celsius => value,
            Self::Fahrenheit => (value - 32.0) / 1.8,
        }
    }
    fn of_base(self, base: f64) -> f64 {
        match self {
            Self::Celsius => base,
            Self::Fahrenheit => base * 1.8 + 32.0,
        }
    }
}

/// Strengths of a solution; the base is mg/L.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StrengthUnit {
    /// Milligrams in a litre.
    MilligramPerLitre,
    /// Parts per million, taken as mg/L.
    Ppm,
    /// Grams in a litre.
    GramPerLitre,
}

impl Unit for StrengthUnit {
    const WHAT: &'static str = "a strength";
    const ALL: &'static [(Self, &'static [&'static str])] = &[
        (Self::MilligramPerLitre, &["mg/L", "mg/l"]),
        (Self::Ppm, &["ppm"]),
        (Self::GramPerLitre, &["g/L", "g/l"]),
    ];
    const LEAST: f64 = 0.0;
    fn to_base(self, value: f64) -> f64 {
        if self == Self::GramPerLitre { value * 1000.0 } else { value }
    }
    fn of_base(self, base: f64) -> f64 {
        if self == Self::GramPerLitre { base / 1000.0 } else { base }
    }
}
