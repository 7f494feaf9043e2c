//! Density of mix and product, and what a least weight in a volume means.

use crate::{BadProduct, above_zero, within};

/// Shares of a mix by mass, each 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolidsInMix {
    /// Fat.
    pub fat: f64,
    /// Total solids, fat included.
    pub solids: f64,
}

/// Density of a mix in kg/L: 1 / (fat × 1.075 + (solids - fat) × 0.63 + water).
///
/// Source: University of Guelph, figuring package overrun (example: 0.12 fat, 0.383 solids, 1.0969 kg/L).
///
/// # Errors
/// [`BadProduct`] where shares are not 0 to 1 or there is more fat than solids.
pub fn mix_density(mix: SolidsInMix) -> Result<f64, BadProduct> {
    let solids = within(mix.solids, 0.0, 1.0, "a share of solids")?;
    let fat = within(mix.fat, 0.0, solids, "a share of fat")?;
    Ok(1.0 / (fat * 1.075 + (solids - fat) * 0.63 + (1.0 - solids)))
}

/// Density of the product, in the unit of the mix's density: mix / (1 + overrun).
///
/// # Errors
/// [`BadProduct`] where the density is not above 0 or the overrun is -100 % or less.
pub fn product_density(mix_density: f64, overrun_percent: f64) -> Result<f64, BadProduct> {
    Ok(above_zero(mix_density, "a density of mix")?
        / above_zero(1.0 + overrun_percent / 100.0, "an expansion")?)
}

/// The most overrun, in per cent, at which the product still has the least weight; both in one unit.
///
/// # Errors
/// [`BadProduct`] where a density is not above 0, or the mix itself is lighter.
pub fn most_overrun_for_weight(mix_density: f64, least_density: f64) -> Result<f64, BadProduct> {
    let mix = above_zero(mix_density, "a density of mix")?;
    let least = above_zero(least_density, "a least weight")?;
    if mix < least {
        return Err(BadProduct {
            message: format!("a mix of {mix} is lighter than {least} before any air is in it"),
            remedy: "give both in the same unit".into(),
        });
    }
    Ok((mix / least - 1.0) * 100.0)
}

/// The share of solids in per cent by mass that a least weight of solids asks for at a weight of product.
///
/// # Errors
/// [`BadProduct`] where a weight is not above 0 or the solids are heavier than the product.
pub fn solids_needed_percent(least_solids: f64, product_density: f64) -> Result<f64, BadProduct> {
    let product = above_zero(product_density, "a weight of product")?;
    let solids = above_zero(least_solids, "a weight of solids")?;
    within(solids / product * 100.0, 0.0, 100.0, "a share of solids")
}
