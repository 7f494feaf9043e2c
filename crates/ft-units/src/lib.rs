//! Quantities with their units: a number never travels alone.
//!
//! A [`Quantity`] keeps the unit in which it was written, because a limit of 75 °F has to be compared in °F:
//! 75.0 °F passes, although it is 23.9 °C and the rounded metric text says 24 °C. Conversions are exact to
//! rounding; comparisons are made in the unit of the limit, after removing conversion noise.
//!
//! Text is read without regard to locale: a dot is the decimal sign, a comma is an error that says so.

mod parse;
mod quantity;

pub use parse::{BadQuantity, parse, parse_range};
pub use quantity::{MassUnit, Quantity, Range, StrengthUnit, TemperatureUnit, TimeUnit, Unit, VolumeUnit};

/// A volume of a liquid.
pub type Volume = Quantity<VolumeUnit>;
/// A mass.
pub type Mass = Quantity<MassUnit>;
/// A length of time.
pub type Time = Quantity<TimeUnit>;
/// A temperature, not a difference of temperatures.
pub type Temperature = Quantity<TemperatureUnit>;
/// Strength of a solution: mass of active substance in a volume of water. 1 ppm is taken as 1 mg/L, as the trade does.
pub type Strength = Quantity<StrengthUnit>;
