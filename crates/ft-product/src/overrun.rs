//! Overrun: how much air the mix has taken up, in per cent of the mix.

use crate::{BadProduct, above_zero};

/// Overrun in per cent from the net weights of one cup, filled level with mix and with product.
///
/// (mix - product) / product × 100; any unit of mass, the same for both. Negative where the product is heavier
/// than the mix, which means that the two were swapped or the cup was not filled level.
/// Source: University of Guelph, pages on overrun calculations.
///
/// # Errors
/// [`BadProduct`] where a weight is not above 0.
pub fn overrun_by_weight(mix: f64, product: f64) -> Result<f64, BadProduct> {
    let (mix, product) = (above_zero(mix, "a weight of mix")?, above_zero(product, "a weight of product")?);
    Ok((mix - product) / product * 100.0)
}

/// Overrun in per cent from the volume of mix and the volume of product made of it.
///
/// (product - mix) / mix × 100. Source: as [`overrun_by_weight`].
///
/// # Errors
/// [`BadProduct`] where a volume is not above 0.
pub fn overrun_by_volume(mix: f64, product: f64) -> Result<f64, BadProduct> {
    let (mix, product) = (above_zero(mix, "a volume of mix")?, above_zero(product, "a volume of product")?);
    Ok((product - mix) / mix * 100.0)
}

/// What a cup shows on the scale at an overrun: net mix and tare in one unit, overrun in per cent above -100.
///
/// Source: University of Guelph, cup table (110 g of mix, cup of 30 g).
///
/// # Errors
/// [`BadProduct`] where a weight is not above 0 or the overrun is -100 or less.
pub fn gross_for_overrun(net_mix: f64, tare: f64, overrun_percent: f64) -> Result<f64, BadProduct> {
    let net_mix = above_zero(net_mix, "a weight of mix")?;
    let tare = above_zero(tare, "a weight of a cup")?;
    let expansion = above_zero(1.0 + overrun_percent / 100.0, "an expansion")?;
    Ok(tare + net_mix / expansion)
}

/// A cup held against the site's band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CupCheck {
    /// Overrun in per cent.
    pub overrun_percent: f64,
    /// The gross weights between which the cup should be: for the highest and for the lowest overrun.
    pub gross_band: (f64, f64),
    /// Whether it is between them.
    pub within: bool,
}

/// Weighs a cup: gross weight of the product, net weight of the same cup of mix, tare, and the site's band of
/// overrun in per cent, low and high.
///
/// # Errors
/// [`BadProduct`] where a weight cannot be, the cup weighs no more than its tare, or the band runs backwards.
pub fn cup_check(
    gross: f64,
    net_mix: f64,
    tare: f64,
    band_percent: (f64, f64),
) -> Result<CupCheck, BadProduct> {
    let (low, high) = band_percent;
    if low > high {
        return Err(BadProduct {
            message: format!("the band {low} to {high} % runs backwards"),
            remedy: "give the lower overrun first".into(),
        });
    }
    let net = above_zero(gross - tare, "a net weight (gross less tare)")?;
    let gross_band = (gross_for_overrun(net_mix, tare, high)?, gross_for_overrun(net_mix, tare, low)?);
    let within = gross_band.0 <= gross && gross <= gross_band.1;
    Ok(CupCheck { overrun_percent: overrun_by_weight(net_mix, net)?, gross_band, within })
}
