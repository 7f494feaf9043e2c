//! Degrees Brix: grams of sucrose in 100 g of solution.

use crate::{BadProduct, above_zero, within};

/// Brix of sugar dissolved in water; both in one unit of mass.
///
/// # Errors
/// [`BadProduct`] where the sugar is negative or the water is not above 0.
pub fn brix_of(sugar: f64, water: f64) -> Result<f64, BadProduct> {
    let sugar = within(sugar, 0.0, f64::MAX, "a mass of sugar")?;
    let water = above_zero(water, "a mass of water")?;
    Ok(sugar / (sugar + water) * 100.0)
}

/// Brix from the density relative to water at 20 °C, for 1.0 to 1.105 (0 to 25 Brix).
///
/// 143.254 s³ - 648.670 s² + 1125.805 s - 620.389. Beyond 25 Brix the polynomial drifts, so there is no answer.
/// Source: a fit quoted by a public calculator page; checked at 1.0400 (9.99) and 1.0829 (19.98).
///
/// # Errors
/// [`BadProduct`] outside that range.
pub fn brix_from_density(density: f64) -> Result<f64, BadProduct> {
    let s = within(density, 1.0, 1.105, "a density relative to water")?;
    Ok(((143.254 * s - 648.670) * s + 1125.805) * s - 620.389)
}

/// Water in kg that brings `syrup_kg` of one Brix down to another. Mass balance.
///
/// # Errors
/// [`BadProduct`] where masses or degrees cannot be, or the target is stronger than the syrup.
pub fn dilution_water_kg(syrup_kg: f64, brix: f64, target_brix: f64) -> Result<f64, BadProduct> {
    let syrup = above_zero(syrup_kg, "a mass of syrup")?;
    let brix = within(brix, 0.0, 100.0, "a Brix")?;
    let target = within(above_zero(target_brix, "a Brix")?, 0.0, brix, "a target Brix")?;
    Ok(syrup * (brix / target - 1.0))
}

/// Share of syrup by mass, 0 to 1, that brings a mix of one Brix to another. Mass balance.
///
/// # Errors
/// [`BadProduct`] where the target is not between the two.
pub fn syrup_share(mix_brix: f64, syrup_brix: f64, target_brix: f64) -> Result<f64, BadProduct> {
    let mix = within(mix_brix, 0.0, 100.0, "a Brix")?;
    let syrup = within(syrup_brix, mix, 100.0, "a Brix of syrup")?;
    let target = within(target_brix, mix, syrup, "a target Brix")?;
    Ok((target - mix) / above_zero(syrup - mix, "a difference of Brix")?)
}
