//! How much of free chlorine is hypochlorous acid, the part that kills quickly.

use crate::BadSolution;

/// A share of hypochlorous acid, and what to keep in mind about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoclShare {
    /// Share of the free chlorine that is hypochlorous acid, 0 to 1.
    pub share: f64,
    /// Negative decimal logarithm of the acid's dissociation constant at this temperature.
    pub pka: f64,
    /// What limits the figure, where something does.
    pub caution: Option<&'static str>,
}

/// pKa of hypochlorous acid at a temperature in °C, for 0 to 50 °C.
///
/// pKa = 3000.00/T - 10.0686 + 0.0253 T with T in kelvin.
/// Source: Morris 1966, J. Phys. Chem. 70:3798 (from memory; checked against 7.54 at 25 °C, which was read).
///
/// # Errors
/// [`BadSolution`] outside 0 to 50 °C: water is then ice, or the formula far from its measurements.
pub fn pka(celsius: f64) -> Result<f64, BadSolution> {
    if !(0.0..=50.0).contains(&celsius) {
        return Err(BadSolution::new(
            format!("there is no figure for chlorine in water of {celsius} °C"),
            "give a temperature between 0 and 50 °C",
        ));
    }
    let kelvin = celsius + 273.15;
    Ok(3000.0 / kelvin - 10.0686 + 0.0253 * kelvin)
}

/// The share of free chlorine that is hypochlorous acid, at a pH from 0 to 14 and a temperature in °C.
///
/// share = 1 / (1 + 10^(pH - pKa)). Does not hold for chlorinated cyanurates, which keep chlorine bound.
///
/// # Errors
/// [`BadSolution`] where the pH is not within 0 to 14, or as [`pka`].
pub fn hocl(ph: f64, celsius: f64) -> Result<HoclShare, BadSolution> {
    if !(0.0..=14.0).contains(&ph) {
        return Err(BadSolution::new(format!("a pH of {ph} cannot be"), "give a pH between 0 and 14"));
    }
    let pka = pka(celsius)?;
    let share = 1.0 / (1.0 + ft_maths::pow(10.0, ph - pka));
    let caution = if ph < 6.0 {
        Some(
            "below pH 6 chlorine gas begins to leave the solution and metal corrodes: do not use it, air the room",
        )
    } else if celsius > 35.0 {
        Some("above 35 °C the formula is beyond the range that it is trusted in")
    } else if ph > 8.0 {
        Some("above pH 8 little of the chlorine works quickly")
    } else {
        None
    };
    Ok(HoclShare { share, pka, caution })
}
