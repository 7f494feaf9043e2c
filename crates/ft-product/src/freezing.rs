//! Freezing point of a mix by sucrose equivalents, and how much of its water is ice.

use crate::sucrose::{MOST_SUCROSE_PERCENT, sucrose_depression_c};
use crate::{BadProduct, within};

/// A mix in grams per 100 g.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Composition {
    /// Milk solids without fat.
    pub milk_solids_g: f64,
    /// Whey solids.
    pub whey_solids_g: f64,
    /// Sucrose, and sugars that weigh as much in the freezing point.
    pub sucrose_g: f64,
    /// Glucose syrup solids of 42 dextrose equivalents.
    pub glucose_syrup_42_g: f64,
    /// Water.
    pub water_g: f64,
}

impl Composition {
    /// Sucrose equivalents in grams per 100 g: 0.545 milk solids + 0.765 whey solids + sucrose + 0.42 syrup solids.
    ///
    /// Source: Goff's method, University of Guelph (terms of milk and whey read; 0.42 from memory).
    pub fn sucrose_equivalents_g(&self) -> f64 {
        0.545 * self.milk_solids_g
            + 0.765 * self.whey_solids_g
            + self.sucrose_g
            + 0.42 * self.glucose_syrup_42_g
    }

    fn checked(&self) -> Result<&Self, BadProduct> {
        within(self.water_g, 1.0, 100.0, "water in 100 g")?;
        for part in [self.milk_solids_g, self.whey_solids_g, self.sucrose_g, self.glucose_syrup_42_g] {
            within(part, 0.0, 99.0, "a part of 100 g")?;
        }
        let parts = self.milk_solids_g + self.whey_solids_g + self.sucrose_g + self.glucose_syrup_42_g;
        within(parts + self.water_g, 0.0, 100.0 + 1e-9, "all parts of 100 g together")?;
        Ok(self)
    }
}

/// Depression by the salts of milk in °C: 2.37 (milk solids + whey solids) / water.
///
/// Source: Goff's method; the 2.37 is confirmed by Leighton 1927, J. Dairy Sci. (milk: 0.244 °C).
///
/// # Errors
/// [`BadProduct`] where parts are not those of 100 g.
pub fn salt_depression_c(mix: &Composition) -> Result<f64, BadProduct> {
    let mix = mix.checked()?;
    Ok(salts(mix, mix.water_g))
}

/// The same in °F, with the coefficient that the method has for it: 4.26 (milk solids + whey solids) / water.
///
/// 4.26 is 2.37 × 1.8 rounded, so the two differ in the third place; each is that of its text.
///
/// # Errors
/// As [`salt_depression_c`].
pub fn salt_depression_f(mix: &Composition) -> Result<f64, BadProduct> {
    Ok(salt_depression_c(mix)? * 4.26 / 2.37)
}

/// Freezing point of a mix in °C, below 0.
///
/// The depression of its sucrose equivalents in its water, plus that of its salts.
/// Accuracy: about 0.1 °C, that of the table of sucrose.
///
/// # Errors
/// [`BadProduct`] where parts are not those of 100 g, or the sugars are beyond the table.
pub fn freezing_point_c(mix: &Composition) -> Result<f64, BadProduct> {
    let mix = mix.checked()?;
    Ok(-depression(mix, mix.water_g)?)
}

/// Share of the water that is ice at a temperature in °C, 0 to 1; 0 above the freezing point.
///
/// As ice forms, the rest is concentrated until its own freezing point is the temperature.
///
/// # Errors
/// [`BadProduct`] as [`freezing_point_c`], or where it is so cold that the rest is beyond the table.
pub fn water_frozen_share(mix: &Composition, temperature_c: f64) -> Result<f64, BadProduct> {
    let mix = mix.checked()?;
    if -depression(mix, mix.water_g)? <= temperature_c {
        return Ok(0.0);
    }
    // The least liquid water that the table of sucrose reaches to.
    let equivalents = mix.sucrose_equivalents_g();
    let least = (equivalents * (100.0 - MOST_SUCROSE_PERCENT) / MOST_SUCROSE_PERCENT).max(mix.water_g / 1e6);
    if temperature_c < -depression(mix, least * (1.0 + 1e-12))? - 1e-9 {
        return Err(BadProduct {
            message: format!(
                "at {temperature_c} °C what is left unfrozen is stronger than any figure that we have"
            ),
            remedy: "ask for a warmer temperature".into(),
        });
    }
    let (mut low, mut high) = (least * (1.0 + 1e-12), mix.water_g);
    // Each halving gains a bit; 60 exhaust a double.
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if -depression(mix, middle)? < temperature_c {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(1.0 - high / mix.water_g)
}

fn depression(mix: &Composition, water_g: f64) -> Result<f64, BadProduct> {
    let equivalents = mix.sucrose_equivalents_g();
    Ok(sucrose_depression_c(equivalents / (equivalents + water_g) * 100.0)? + salts(mix, water_g))
}

fn salts(mix: &Composition, water_g: f64) -> f64 {
    2.37 * (mix.milk_solids_g + mix.whey_solids_g) / water_g
}
