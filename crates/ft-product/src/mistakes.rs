//! The usual mistakes with overrun, told by name.

use crate::{BadProduct, overrun_by_weight};

/// A mistake that explains a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mistake {
    /// Divided by the weight of the mix instead of that of the product.
    DividedByMix,
    /// The cup's own weight was left in both weights.
    CupNotTared,
    /// The two weights were swapped.
    Swapped,
    /// A fraction was read as per cent.
    FractionForPercent,
}

impl Mistake {
    /// The same in Spanish.
    pub fn says_es(self) -> &'static str {
        match self {
            Self::DividedByMix => "se dividió por el peso de la mezcla: divida por el del producto",
            Self::CupNotTared => "el vaso se pesó con el producto: réstelo de los dos pesos",
            Self::Swapped => "mezcla y producto están cambiados: la mezcla pesa más",
            Self::FractionForPercent => "hay una fracción en lugar de un porcentaje: multiplique por 100",
        }
    }

    /// In words, with what to do.
    pub fn says(self) -> &'static str {
        match self {
            Self::DividedByMix => "divided by the weight of the mix: divide by the weight of the product",
            Self::CupNotTared => "the cup was weighed with the food: take its weight off both",
            Self::Swapped => "mix and product were swapped: the mix is the heavier",
            Self::FractionForPercent => "a fraction stands for per cent: multiply by 100",
        }
    }
}

/// What explains a reported overrun: `None` where it is right or no usual mistake gives it.
///
/// Net weights of one cup in one unit, `tare` in the same, the reported figure in per cent. Two figures within
/// half a per cent count as the same, since people round; a mistake is named only where it differs from the truth
/// by more.
///
/// # Errors
/// [`BadProduct`] where a weight is not above 0.
pub fn explain_reported(
    mix: f64,
    product: f64,
    tare: Option<f64>,
    reported_percent: f64,
) -> Result<Option<Mistake>, BadProduct> {
    let truth = overrun_by_weight(mix, product)?;
    let same = |one: f64, other: f64| (one - other).abs() <= 0.5;
    if same(truth, reported_percent) {
        return Ok(None);
    }
    let with_cup = tare.map(|tare| overrun_by_weight(mix + tare, product + tare)).transpose()?;
    let candidates = [
        (Some((mix - product) / mix * 100.0), Mistake::DividedByMix),
        (with_cup, Mistake::CupNotTared),
        (Some((product - mix) / mix * 100.0), Mistake::Swapped),
    ];
    let named = candidates.into_iter().find(|(figure, _)| figure.is_some_and(|f| same(f, reported_percent)));
    let fraction = ((truth / 100.0) - reported_percent).abs() <= 0.005;
    Ok(named.map(|(_, mistake)| mistake).or(fraction.then_some(Mistake::FractionForPercent)))
}
