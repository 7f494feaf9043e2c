//! Doses, strengths and shares against public handbooks. Each test names its source.

use ft_solution::{
    DoseAsked, ProductStrength, dose, good_for_min, half_life_strength, hocl, least_half_life, pka,
    strength_of,
};
use ft_units::{Strength, StrengthUnit, Volume, VolumeUnit};

fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected} ± {tolerance}");
}

fn product_ml(percent: f64, target: f64, volume: Volume) -> f64 {
    let target = Strength::new(target, StrengthUnit::MilligramPerLitre);
    dose(DoseAsked { product: ProductStrength::Percent(percent), target, volume })
        .expect("the dose is possible")
        .product_ml
}

/// Source: Kansas Department of Health and Environment, page 1019: one fluid ounce in a gallon is 410 mg/L.
#[test]
fn one_ounce_in_a_gallon() {
    let ounce = Volume::new(1.0, VolumeUnit::FluidOunce);
    let gallon = Volume::new(1.0, VolumeUnit::UsGallon);
    let strength = strength_of(ProductStrength::Percent(5.25), ounce, gallon).unwrap();
    near(strength.in_unit(StrengthUnit::MilligramPerLitre), 410.0, 1.0);
}

/// Source: mL per US gallon worked out by hand from mL = target × 3.785 L × 1000 / (percent × 10^4).
#[test]
fn table_per_gallon() {
    let gallon = Volume::new(1.0, VolumeUnit::UsGallon);
    for (percent, row) in [
        (5.25, [3.61, 7.21, 14.42]),
        (6.0, [3.15, 6.31, 12.62]),
        (7.5, [2.52, 5.05, 10.09]),
        (8.25, [2.29, 4.59, 9.18]),
    ] {
        for (target, expected) in [50.0, 100.0, 200.0].into_iter().zip(row) {
            near(product_ml(percent, target, gallon), expected, 0.006);
        }
    }
}

/// Source: Morris 1966 worked out by hand at five temperatures and eight values of pH.
#[test]
fn hocl_table() {
    let ph = [6.0, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0, 10.0];
    for (celsius, expected_pka, row) in [
        (0.0, 7.8251, [98.53, 95.48, 86.99, 67.89, 40.06, 17.45, 6.27, 0.66]),
        (10.0, 7.6902, [98.00, 93.94, 83.05, 60.78, 32.89, 13.42, 4.67, 0.49]),
        (20.0, 7.5818, [97.45, 92.35, 79.24, 54.69, 27.63, 10.77, 3.68, 0.38]),
        (25.0, 7.5366, [97.18, 91.58, 77.48, 52.11, 25.60, 9.81, 3.33, 0.34]),
        (38.0, 7.4451, [96.54, 89.81, 73.59, 46.85, 21.80, 8.10, 2.71, 0.28]),
    ] {
        near(pka(celsius).unwrap(), expected_pka, 1e-4);
        for (ph, expected) in ph.into_iter().zip(row) {
            near(hocl(ph, celsius).unwrap().share * 100.0, expected, 0.006);
        }
    }
}

/// Source: weight % available = weight % `NaOCl` × 70.906/74.442; 5.25 becomes 5.00.
#[test]
fn hypochlorite_and_available() {
    let strength = ProductStrength::HypochloriteByWeight { percent: 5.25, density: 1.08 };
    near(strength.available_by_weight(1.08).unwrap(), 5.0, 0.01);
    near(strength.grams_per_litre().unwrap(), 54.0, 0.1);
}

#[test]
fn loss_by_halves() {
    near(half_life_strength(100.0, 140.0, 140.0).unwrap(), 50.0, 1e-9);
    near(half_life_strength(100.0, 140.0, 280.0).unwrap(), 25.0, 1e-9);
    near(good_for_min(100.0, 25.0, 140.0).unwrap(), 280.0, 1e-9);
    near(good_for_min(50.0, 100.0, 140.0).unwrap(), 0.0, 1e-12);
    assert!(half_life_strength(-1.0, 140.0, 1.0).is_err() && good_for_min(100.0, 0.0, 140.0).is_err());
    // Read at most 100 and two hours later at least 50: it halves in two hours or more slowly.
    near(least_half_life(100.0, 50.0, 120.0).unwrap(), 120.0, 1e-9);
    assert_eq!(least_half_life(100.0, 100.0, 120.0), None, "two bands that touch tell nothing");
}

#[test]
fn what_cannot_be_is_refused() {
    let litre = Volume::new(1.0, VolumeUnit::Litre);
    let asked = |percent, target| DoseAsked {
        product: ProductStrength::Percent(percent),
        target: Strength::new(target, StrengthUnit::MilligramPerLitre),
        volume: litre,
    };
    let says = |percent, target| dose(asked(percent, target)).unwrap_err().to_string();
    assert_eq!(
        says(-1.0, 100.0),
        "a product of -1 % cannot be; give the percentage of the label, more than 0 and at most 100"
    );
    assert_eq!(says(5.0, -100.0), "a target strength of -100 mg/L cannot be; give more than 0");
    assert_eq!(
        says(5.0, 60_000.0),
        "60000 mg/L is stronger than the product itself (5 %); ask for less, or take a stronger product"
    );
    assert_eq!(hocl(15.0, 25.0).unwrap_err().to_string(), "a pH of 15 cannot be; give a pH between 0 and 14");
    assert!(hocl(f64::NAN, 25.0).is_err());
}

#[test]
fn labels_are_read_in_their_own_words() {
    let says = |text: &str, density| ProductStrength::read(text, density).map_err(|bad| bad.to_string());
    assert_eq!(says("12.5 % trade", None), Ok(ProductStrength::TradePercent(12.5)));
    assert_eq!(says("125 g/L", None), Ok(ProductStrength::GramsPerLitre(125.0)));
    assert_eq!(
        says("6 % hypochlorite", None).unwrap_err(),
        "`6 % hypochlorite` is by weight, so the density of the product is needed; give it relative to water, such as 1.16"
    );
    assert!(says("-5 %", None).is_err() && says("strong", None).is_err() && says("5,25 %", None).is_err());
}

/// 125 g/L is 12.5 % trade, whatever the words. Source: Handbook of Chlorination, as quoted.
#[test]
fn the_same_product_in_other_words_gives_the_same_dose() {
    let trade = ProductStrength::TradePercent(12.5).grams_per_litre().unwrap();
    let weight =
        ProductStrength::AvailableByWeight { percent: 12.5 / 1.16, density: 1.16 }.grams_per_litre().unwrap();
    near(trade, 125.0, 1e-9);
    near(weight, 125.0, 1e-9);
}

/// One chlorometric degree is 3.17 g/L of available chlorine. Source: a producer's sheet quoting the Handbook of
/// Chlorination: the molar mass of chlorine over the molar volume, 70.906 g / 22.4 L.
#[test]
fn chlorometric_degree() {
    near(70.906 / 22.4, 3.17, 0.005);
    let forty_eight_degrees = ProductStrength::GramsPerLitre(48.0 * 3.17);
    near(forty_eight_degrees.available_by_weight(1.25).unwrap(), 12.17, 0.01);
}

/// K = 2.7e-8 at 20 °C and 2.9e-8 at 25 °C. Source: two textbook problems on hypochlorous acid.
#[test]
fn dissociation_constants_of_textbooks() {
    for (celsius, constant) in [(20.0, 2.7e-8_f64), (25.0, 2.9e-8)] {
        near(pka(celsius).unwrap(), -constant.log10(), 0.02);
    }
    assert!(pka(-1.0).is_err() && pka(80.0).is_err());
}

/// A strip shows a band: between two colours, never a number.
#[test]
fn a_band_is_within_outside_or_undecided() {
    use ft_solution::{BandVerdict, Strip};
    let strip = Strip::new(vec![0.0, 50.0, 100.0, 200.0]).unwrap();
    assert_eq!(strip.band_between(50.0, 100.0).unwrap().verdict(50.0, 200.0), BandVerdict::Within);
    assert_eq!(strip.band_of(50.0).unwrap().verdict(50.0, 200.0), BandVerdict::Undecided);
    assert_eq!(strip.band_between(0.0, 50.0).unwrap().verdict(60.0, 200.0), BandVerdict::Outside);
    assert_eq!(
        strip.band_of(200.0).unwrap().verdict(50.0, 200.0),
        BandVerdict::Undecided,
        "no colour above it"
    );
    assert!(Strip::new(vec![100.0, 50.0]).is_err() && Strip::new(vec![-1.0, 50.0]).is_err());
    assert!(strip.band_of(75.0).is_err() && strip.band_between(0.0, 100.0).is_err());
}

#[test]
fn what_must_never_meet_is_found_in_either_order() {
    use ft_solution::{Chemical, NEVER_MEET, clash};
    for pair in NEVER_MEET {
        assert_eq!(clash(pair.one, pair.other), clash(pair.other, pair.one));
    }
    assert!(clash(Chemical::Acid, Chemical::Chlorine).unwrap().harms_people);
    assert!(clash(Chemical::Iodine, Chemical::Soil).is_none());
    for (kind, name) in Chemical::ALL {
        assert_eq!(Chemical::named(name), Some(*kind));
    }
}
