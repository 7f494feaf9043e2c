//! Doses, strengths and shares against public handbooks. Each test names its source.

use ft_solution::{DoseAsked, ProductStrength, dose, half_life_strength, hocl, pka, strength_of};
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
