//! How much of a product for a volume of solution, and what strength that gives.

use ft_units::{Strength, StrengthUnit, Volume, VolumeUnit};

use crate::{BadSolution, KITCHEN, Measure, ProductStrength};

/// What is asked: make `volume` of a solution of `target` from `product`.
#[derive(Debug, Clone, Copy)]
pub struct DoseAsked {
    /// What the label says of the product.
    pub product: ProductStrength,
    /// The strength that is wanted.
    pub target: Strength,
    /// The finished solution, product included; more than 0.
    pub volume: Volume,
}

/// An amount in one measure of the kitchen, and what it makes.
#[derive(Debug, Clone, Copy)]
pub struct Measured {
    /// The measure.
    pub measure: Measure,
    /// How many of it, a whole number of its steps.
    pub amount: f64,
    /// The strength that this amount gives in the volume that was asked for.
    pub gives: Strength,
}

/// How to make a solution.
#[derive(Debug, Clone)]
pub struct Dose {
    /// What was asked.
    pub asked: DoseAsked,
    /// Product, exactly, in mL.
    pub product_ml: f64,
    /// Water, in the unit of the volume that was asked for.
    pub water: Volume,
    /// The same product in measures of the kitchen, from fine to coarse: for each the whole steps below and above,
    /// the nearer first, where they stay within a tenth of the target. Whether a rule allows what a rounded amount
    /// gives is for the rules to say; see `gives`.
    pub measured: Vec<Measured>,
}

/// How much product makes a solution of the wanted strength.
///
/// product = volume × target / strength of the product, all as mass of active substance.
/// 1 ppm is taken as 1 mg/L.
/// Source: the rule of the Kansas health department's page on chlorine (its 410 mg/L and 122 fl oz are tests).
///
/// # Errors
/// [`BadSolution`]: a product, target or volume that cannot be, or a target stronger than the product.
pub fn dose(asked: DoseAsked) -> Result<Dose, BadSolution> {
    let product_mg_per_l = asked.product.grams_per_litre()? * 1000.0;
    let target_mg_per_l =
        positive(asked.target.in_unit(StrengthUnit::MilligramPerLitre), "target strength", "mg/L")?;
    let volume_l = positive(asked.volume.in_unit(VolumeUnit::Litre), "volume", "L")?;
    if target_mg_per_l > product_mg_per_l {
        return Err(BadSolution::new(
            format!("{} is stronger than the product itself ({})", asked.target, asked.product),
            "ask for less, or take a stronger product",
        ));
    }
    let product_ml = volume_l * 1000.0 * target_mg_per_l / product_mg_per_l;
    let water =
        Volume::new((volume_l * 1000.0 - product_ml) / 1000.0, VolumeUnit::Litre).to(asked.volume.unit);
    let measured = KITCHEN
        .iter()
        .flat_map(|measure| measure.around(product_ml).into_iter().map(|amount| (*measure, amount)))
        .map(|(measure, amount)| measured(measure, amount, product_mg_per_l, volume_l))
        .filter(|measured| {
            (measured.gives.in_unit(StrengthUnit::MilligramPerLitre) / target_mg_per_l - 1.0).abs() <= 0.1
        })
        .collect();
    Ok(Dose { asked, product_ml, water, measured })
}

/// The strength of a solution in which `product_volume` was made up to `volume`, in mg/L.
///
/// # Errors
/// [`BadSolution`]: a product or volume that cannot be, or more product than solution.
pub fn strength_of(
    product: ProductStrength,
    product_volume: Volume,
    volume: Volume,
) -> Result<Strength, BadSolution> {
    let product_mg_per_l = product.grams_per_litre()? * 1000.0;
    let product_l = positive(product_volume.in_unit(VolumeUnit::Litre), "volume of product", "L")?;
    let volume_l = positive(volume.in_unit(VolumeUnit::Litre), "volume", "L")?;
    if product_l > volume_l {
        return Err(BadSolution::new(
            format!("{product_volume} of product do not fit into {volume} of solution"),
            "give the whole volume, product included",
        ));
    }
    Ok(Strength::new(product_mg_per_l * product_l / volume_l, StrengthUnit::MilligramPerLitre))
}

fn measured(measure: Measure, amount: f64, product_mg_per_l: f64, volume_l: f64) -> Measured {
    let mg_per_l = product_mg_per_l * amount * measure.millilitres / (volume_l * 1000.0);
    Measured { measure, amount, gives: Strength::new(mg_per_l, StrengthUnit::MilligramPerLitre) }
}

fn positive(value: f64, what: &str, unit: &str) -> Result<f64, BadSolution> {
    if value > 0.0 && value.is_finite() {
        return Ok(value);
    }
    Err(BadSolution::new(format!("a {what} of {value} {unit} cannot be"), "give more than 0"))
}
