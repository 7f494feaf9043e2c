//! An amount of any kind that a rule can limit, in the unit of the rule's text.

use std::cmp::Ordering;
use std::fmt;

use ft_units::{BadQuantity, Quantity, Strength, Temperature, Time, Unit};

/// What kind of thing an amount measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dimension {
    /// Temperatures.
    Temperature,
    /// Lengths of time.
    Time,
    /// Strengths of a solution.
    Strength,
    /// Lengths.
    Length,
    /// Colony counts.
    Count,
    /// Mass in a volume of food.
    Density,
    /// Shares: per cent, ppm by mass.
    Share,
}

/// A number with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// A temperature.
    Temperature(Temperature),
    /// A length of time.
    Time(Time),
    /// A strength of a solution.
    Strength(Strength),
    /// A length.
    Length(Quantity<LengthUnit>),
    /// A colony count.
    Count(Quantity<CountUnit>),
    /// Mass in a volume of food.
    Density(Quantity<DensityUnit>),
    /// A share.
    Share(Quantity<ShareUnit>),
}

impl Amount {
    /// Reads an amount of one kind.
    ///
    /// # Errors
    /// As [`ft_units::parse`].
    pub fn parse(text: &str, dimension: Dimension) -> Result<Self, BadQuantity> {
        match dimension {
            Dimension::Temperature => ft_units::parse(text).map(Self::Temperature),
            Dimension::Time => ft_units::parse(text).map(Self::Time),
            Dimension::Strength => ft_units::parse(text).map(Self::Strength),
            Dimension::Length => ft_units::parse(text).map(Self::Length),
            Dimension::Count => ft_units::parse(text).map(Self::Count),
            Dimension::Density => ft_units::parse(text).map(Self::Density),
            Dimension::Share => ft_units::parse(text).map(Self::Share),
        }
    }

    /// How this compares with a limit, in the limit's own unit. `None` where the two cannot be compared: another
    /// kind, or colonies in a gram against colonies in a millilitre, which differ by the air in the product.
    pub fn cmp_limit(self, limit: Self) -> Option<Ordering> {
        match (self, limit) {
            (Self::Temperature(found), Self::Temperature(limit)) => Some(found.cmp_limit(limit)),
            (Self::Time(found), Self::Time(limit)) => Some(found.cmp_limit(limit)),
            (Self::Strength(found), Self::Strength(limit)) => Some(found.cmp_limit(limit)),
            (Self::Length(found), Self::Length(limit)) => Some(found.cmp_limit(limit)),
            (Self::Density(found), Self::Density(limit)) => Some(found.cmp_limit(limit)),
            (Self::Share(found), Self::Share(limit)) => Some(found.cmp_limit(limit)),
            (Self::Count(found), Self::Count(limit)) => {
                (found.unit == limit.unit).then(|| found.cmp_limit(limit))
            }
            _ => None,
        }
    }

    /// What kind of thing it measures.
    pub fn dimension(self) -> Dimension {
        match self {
            Self::Temperature(_) => Dimension::Temperature,
            Self::Time(_) => Dimension::Time,
            Self::Strength(_) => Dimension::Strength,
            Self::Length(_) => Dimension::Length,
            Self::Count(_) => Dimension::Count,
            Self::Density(_) => Dimension::Density,
            Self::Share(_) => Dimension::Share,
        }
    }
}

impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Temperature(quantity) => quantity.fmt(f),
            Self::Time(quantity) => quantity.fmt(f),
            Self::Strength(quantity) => quantity.fmt(f),
            Self::Length(quantity) => quantity.fmt(f),
            Self::Count(quantity) => quantity.fmt(f),
            Self::Density(quantity) => quantity.fmt(f),
            Self::Share(quantity) => quantity.fmt(f),
        }
    }
}

/// Lengths; the base is the centimetre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthUnit {
    /// Centimetre.
    Centimetre,
    /// Inch, 2.54 cm. Source: NIST Handbook 44, appendix C.
    Inch,
}

impl Unit for LengthUnit {
    const WHAT: &'static str = "a length";
    const ALL: &'static [(Self, &'static [&'static str])] =
        &[(Self::Centimetre, &["cm"]), (Self::Inch, &["in"])];
    const LEAST: f64 = 0.0;
    fn to_base(self, value: f64) -> f64 {
        match self {
            Self::Centimetre => value,
            Self::Inch => value * 2.54,
        }
    }
    fn of_base(self, base: f64) -> f64 {
        match self {
            Self::Centimetre => base,
            Self::Inch => base / 2.54,
        }
    }
}

/// Colony counts. The two are never converted into each other: a gram of an aerated product is more than a mL.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CountUnit {
    /// In a gram.
    PerGram,
    /// In a millilitre.
    PerMillilitre,
}

impl Unit for CountUnit {
    const WHAT: &'static str = "a count";
    const ALL: &'static [(Self, &'static [&'static str])] =
        &[(Self::PerGram, &["/g", "cfu/g"]), (Self::PerMillilitre, &["/mL", "cfu/mL"])];
    const LEAST: f64 = 0.0;
    fn to_base(self, value: f64) -> f64 {
        value
    }
    fn of_base(self, base: f64) -> f64 {
        base
    }
}

/// Mass in a volume; the base is g/L.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DensityUnit {
    /// Grams in a litre.
    GramPerLitre,
    /// Pounds in a US gallon. Source: NIST Handbook 44, appendix C: 453.59237 g in 3.785411784 L.
    PoundPerGallon,
}

/// Grams in a litre that one pound in a US gallon is.
const POUND_PER_GALLON: f64 = 453.592_37 / 3.785_411_784;

impl Unit for DensityUnit {
    const WHAT: &'static str = "a density";
    const ALL: &'static [(Self, &'static [&'static str])] =
        &[(Self::GramPerLitre, &["g/L"]), (Self::PoundPerGallon, &["lb/US gal"])];
    const LEAST: f64 = 0.0;
    fn to_base(self, value: f64) -> f64 {
        match self {
            Self::GramPerLitre => value,
            Self::PoundPerGallon => value * POUND_PER_GALLON,
        }
    }
    fn of_base(self, base: f64) -> f64 {
        match self {
            Self::GramPerLitre => base,
            Self::PoundPerGallon => base / POUND_PER_GALLON,
        }
    }
}

/// Shares by mass; the base is per cent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShareUnit {
    /// Hundredths.
    Percent,
    /// Millionths.
    Ppm,
}

impl Unit for ShareUnit {
    const WHAT: &'static str = "a share";
    const ALL: &'static [(Self, &'static [&'static str])] = &[(Self::Percent, &["%"]), (Self::Ppm, &["ppm"])];
    const LEAST: f64 = 0.0;
    fn to_base(self, value: f64) -> f64 {
        match self {
            Self::Percent => value,
            Self::Ppm => value / 10_000.0,
        }
    }
    fn of_base(self, base: f64) -> f64 {
        match self {
            Self::Percent => base,
            Self::Ppm => base * 10_000.0,
        }
    }
}
