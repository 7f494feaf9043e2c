//! The usual slips with a number that was read and typed, told by name.
//!
//! A slip is named only where the number as typed is outside its band and the number that was meant lies within: it
//! explains a figure, and never excuses one. Measuring again decides.

use crate::band::Band;

/// A slip that explains a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slip {
    /// The sign was left out: 6 for -6.
    SignLeftOut,
    /// A thermometer in °F under a band in °C.
    FahrenheitForCelsius,
    /// The other way round.
    CelsiusForFahrenheit,
    /// A fraction stands for per cent: 0.45 for 45.
    FractionForPercent,
    /// The decimal point is at another place: 125 for 12.5.
    PointElsewhere,
}

impl Slip {
    /// In words, with what to do: English, Spanish.
    pub fn says(self) -> (&'static str, &'static str) {
        match self {
            Self::SignLeftOut => (
                "the sign was left out: below zero is typed with a minus",
                "falta el signo: bajo cero se escribe con menos",
            ),
            Self::FahrenheitForCelsius => (
                "the thermometer shows °F: set it to °C, or convert",
                "el termómetro está en °F: póngalo en °C o convierta",
            ),
            Self::CelsiusForFahrenheit => (
                "the thermometer shows °C: set it to °F, or convert",
                "el termómetro está en °C: póngalo en °F o convierta",
            ),
            Self::FractionForPercent => (
                "a fraction stands for per cent: multiply by 100",
                "hay una fracción en lugar de un porcentaje: multiplique por 100",
            ),
            Self::PointElsewhere => {
                ("the decimal point is at another place", "la coma decimal está en otro sitio")
            }
        }
    }
}

/// What explains a value that lies outside a band of a unit such as `°C`; `None` where it lies within, or no usual slip
/// brings it there. An end that is missing is open, and a slip is then named only where the other end is there.
pub fn explain_reading(value: f64, band: Band, unit: &str) -> Option<Slip> {
    if !value.is_finite() || band.is_open() || band.holds(value) {
        return None;
    }
    let is_temperature = matches!(unit, "°C" | "°F");
    let mut candidates = Vec::new();
    if is_temperature && band.most.is_some_and(|most| most <= 0.0) && value > 0.0 {
        candidates.push((-value, Slip::SignLeftOut));
    }
    match unit {
        "°C" => candidates.push(((value - 32.0) / 1.8, Slip::FahrenheitForCelsius)),
        "°F" => candidates.push((value * 1.8 + 32.0, Slip::CelsiusForFahrenheit)),
        "%" => candidates.push((value * 100.0, Slip::FractionForPercent)),
        _ => {}
    }
    // With one end open ten times or a tenth is always somewhere: that would explain nothing.
    if !is_temperature && band.least.is_some() && band.most.is_some() {
        candidates.push((value * 10.0, Slip::PointElsewhere));
        candidates.push((value / 10.0, Slip::PointElsewhere));
    }
    candidates.into_iter().find(|(meant, _)| band.holds(*meant)).map(|(_, slip)| slip)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_slip_by_its_name_and_nothing_that_is_right() {
        let band = |least, most| Band { least: Some(least), most: Some(most), is_strict: false };
        let draw = |value| explain_reading(value, band(-8.0, -4.0), "°C");
        assert_eq!(draw(-6.0), None);
        assert_eq!(draw(6.0), Some(Slip::SignLeftOut));
        assert_eq!(draw(21.0), Some(Slip::FahrenheitForCelsius), "21 °F is -6.1 °C");
        assert_eq!(draw(2.0), None, "two degrees are two degrees too warm");
        let overrun = |value| explain_reading(value, band(30.0, 60.0), "%");
        assert_eq!((overrun(0.45), overrun(0.2)), (Some(Slip::FractionForPercent), None));
        let brix = |value| explain_reading(value, band(11.0, 14.0), "°Bx");
        assert_eq!(
            (brix(125.0), brix(1.25), brix(9.0)),
            (Some(Slip::PointElsewhere), Some(Slip::PointElsewhere), None)
        );
        assert_eq!(
            explain_reading(9.0, Band { most: Some(5.0), ..Band::default() }, "mg/L"),
            None,
            "one end open"
        );
        assert_eq!(explain_reading(f64::NAN, band(1.0, 2.0), "%"), None);
        assert_eq!(
            explain_reading(-6.0, band(20.0, 25.0), "°F"),
            Some(Slip::CelsiusForFahrenheit),
            "-6 °C is 21.2 °F"
        );
    }
}
