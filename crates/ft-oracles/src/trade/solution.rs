//! Rows of solutions: dilution, product strength, hypochlorous acid, strength × time.

use ft_solution::{DoseAsked, ProductStrength, dose, half_life_strength, hocl, pka, strength_of};
use ft_units::{Strength, StrengthUnit, Volume, VolumeUnit};

use super::said::{Said, word};

pub fn answer(id: &str, _input: &str, n: &[f64]) -> Option<Vec<Said>> {
    dilution(id, n).or_else(|| speciation(id, n)).or_else(|| strength_time(id, n))
}

fn mg_per_l(percent: f64, amount: f64, unit: VolumeUnit) -> Option<f64> {
    let gallon = Volume::new(1.0, VolumeUnit::UsGallon);
    let strength = strength_of(ProductStrength::Percent(percent), Volume::new(amount, unit), gallon).ok()?;
    Some(strength.in_unit(StrengthUnit::MilligramPerLitre))
}

fn product_ml(percent: f64, target: f64, volume: Volume) -> Option<f64> {
    let target = Strength::new(target, StrengthUnit::MilligramPerLitre);
    Some(dose(DoseAsked { product: ProductStrength::Percent(percent), target, volume }).ok()?.product_ml)
}

fn dilution(id: &str, n: &[f64]) -> Option<Vec<Said>> {
    Some(match (id, n) {
        ("B1", &[amount, percent]) => vec![Said::Number(mg_per_l(percent, amount, VolumeUnit::FluidOunce)?)],
        ("B2", &[target, gallons, percent]) => {
            let ml = product_ml(percent, target, Volume::new(gallons, VolumeUnit::UsGallon))?;
            let product = Volume::new(ml, VolumeUnit::Millilitre);
            vec![
                Said::Number(product.in_unit(VolumeUnit::FluidOunce)),
                Said::Number(product.in_unit(VolumeUnit::UsQuart)),
            ]
        }
        ("B4", &[amount, percent]) => vec![Said::Number(mg_per_l(percent, amount, VolumeUnit::Tablespoon)?)],
        ("B5", &[amount, first, second]) => {
            let second = mg_per_l(second, amount, VolumeUnit::Tablespoon)?;
            let over = super::rules::stack(&["us-federal"]).ask(
                ft_rules::subject_named("sanitiser-ceiling")?,
                Some(ft_rules::Amount::Strength(Strength::new(second, StrengthUnit::MilligramPerLitre))),
                &ft_rules::Circumstances::unknown().with("agent", "chlorine")?,
            );
            let first = mg_per_l(first, amount, VolumeUnit::Tablespoon)?;
            let over = word(if over.verdict == ft_rules::Verdict::Fail { "over 200" } else { "within" });
            vec![Said::Number(first), Said::Number(second), over]
        }
        ("B6", &[target, litres, a, b, c]) => {
            let volume = Volume::new(litres, VolumeUnit::Litre);
            let amounts: Option<Vec<f64>> =
                [a, b, c].into_iter().map(|p| product_ml(p, target, volume)).collect();
            amounts?.into_iter().map(Said::Number).collect()
        }
        ("B7", &[percent]) | ("B8", &[percent]) => {
            let product = ProductStrength::HypochloriteByWeight { percent, density: 1.0 };
            vec![Said::Number(product.available_by_weight(1.0).ok()?)]
        }
        ("B10", &[percent, density]) => {
            let product = ProductStrength::TradePercent(percent);
            vec![
                Said::Number(product.available_by_weight(density).ok()?),
                Said::Number(product.hypochlorite_by_weight(density).ok()?),
            ]
        }
        ("B12", &[start, half_life, first, second]) => vec![
            Said::Number(half_life_strength(start, half_life, first).ok()?),
            Said::Number(half_life_strength(start, half_life, second).ok()?),
        ],
        _ => return None,
    })
}

fn speciation(id: &str, n: &[f64]) -> Option<Vec<Said>> {
    Some(match (id, n) {
        ("H1" | "H2", temperatures) if !temperatures.is_empty() => {
            temperatures.iter().map(|c| pka(*c).ok().map(Said::Number)).collect::<Option<Vec<Said>>>()?
        }
        ("H3" | "H4", &[celsius, ph]) => vec![Said::Number(hocl(ph, celsius).ok()?.share * 100.0)],
        ("H6", _) => vec![Said::Number(hocl(pka(25.0).ok()?, 25.0).ok()?.share * 100.0)],
        ("H7", &[strength, ph, celsius]) => vec![Said::Number(hocl(ph, celsius).ok()?.share * strength)],
        _ => return None,
    })
}

fn strength_time(id: &str, n: &[f64]) -> Option<Vec<Said>> {
    use ft_kill::ct::{GIARDIA, given, look_up, viruses_4_log};
    Some(match (id, n) {
        ("K1", &[logs, celsius, ph, strength]) => {
            vec![Said::Number(look_up(GIARDIA, logs, celsius, ph, strength)?.ct_mg_min_per_l)]
        }
        ("K2", &[celsius, ph, strength]) => {
            let cell = look_up(GIARDIA, 3.0, celsius, ph, strength)?;
            [cell.celsius, cell.ph, cell.strength_mg_per_l, cell.ct_mg_min_per_l].map(Said::Number).to_vec()
        }
        ("K4", &[4.0, celsius, _ph]) => vec![Said::Number(viruses_4_log(celsius)?)],
        ("K5", &[strength, seconds]) => vec![Said::Number(given(strength, seconds))],
        _ => return None,
    })
}
