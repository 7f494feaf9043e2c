//! The product's arithmetic against public handbooks. Each test names its source.

use ft_product::{
    Composition, HeatStep, Mistake, SolidsInMix, brix_from_density, brix_of, cup_check, dilution_water_kg,
    explain_reported, freezing_point_c, gross_for_overrun, heat_btu, mix_density, most_overrun_for_weight,
    overrun_by_volume, overrun_by_weight, pull_down_min, salt_depression_c, solids_needed_percent,
    sucrose_depression_c, sucrose_percent_at, syrup_share, water_frozen_share,
};

#[track_caller]
fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected} ± {tolerance}");
}

/// Source: University of Guelph, cup table: 110 g of mix in a cup of 30 g.
#[test]
fn cup_table() {
    for (overrun, gross) in [(0.0, 140.0), (5.0, 134.8), (10.0, 130.0), (150.0, 74.0)] {
        near(gross_for_overrun(110.0, 30.0, overrun).unwrap(), gross, 0.05);
    }
}

/// Source: University of Guelph, product with particulates: 100 kg in 177.4 L are 564 g/L.
#[test]
fn particulates() {
    near(100_000.0 / 177.4, 564.0, 0.5);
    near(overrun_by_volume(1.0, 1.5).unwrap(), 50.0, 1e-12);
}

#[test]
fn usual_mistakes_by_name() {
    let mistake = |reported| explain_reported(1090.0, 560.0, Some(40.0), reported).unwrap();
    assert_eq!(mistake(94.6), None);
    assert_eq!(mistake(48.6), Some(Mistake::DividedByMix));
    assert_eq!(mistake(88.3), Some(Mistake::CupNotTared));
    assert_eq!(mistake(-48.6), Some(Mistake::Swapped));
    assert_eq!(mistake(0.946), Some(Mistake::FractionForPercent));
    assert_eq!(mistake(70.0), None, "no usual mistake gives 70");
}

/// Source: 21 CFR 135.110(a)(2): at 4.5 lb/gal, 1.6 lb of solids are 35.56 % by weight.
#[test]
fn least_solids() {
    near(solids_needed_percent(1.6, 4.5).unwrap(), 35.56, 0.005);
    near(most_overrun_for_weight(9.0, 4.5).unwrap(), 100.0, 1e-9);
}

/// Source: Leighton 1927, J. Dairy Sci.: milk of 8.99 % solids without fat and 87.11 % water freezes at -0.55 °C,
/// of which lactose is 0.306 (4.9 g of it) and salts are 0.244.
#[test]
fn milk_freezes_at_minus_055() {
    let milk = Composition { milk_solids_g: 8.99, water_g: 87.11, ..Composition::default() };
    near(salt_depression_c(&milk).unwrap(), 0.244, 0.001);
    near(freezing_point_c(&milk).unwrap(), -0.55, 0.03);
}

/// Source: a published mix of 12 fat, 11 milk solids, 15 sugar, 0.3 stabiliser, 61.7 water freezes at about -2.5 °C.
#[test]
fn published_mix() {
    let mix = Composition { milk_solids_g: 11.0, sucrose_g: 15.0, water_g: 61.7, ..Composition::default() };
    near(freezing_point_c(&mix).unwrap(), -2.5, 0.15);
}

/// Raoult's ideal law with 1.86 K kg/mol and 342.30 g/mol is the limit of thin solutions. Source: physical chemistry.
#[test]
fn thin_sucrose_is_ideal() {
    for percent in [1.0, 2.0, 5.0] {
        let molality = percent / (100.0 - percent) * 1000.0 / 342.30;
        near(sucrose_depression_c(percent).unwrap(), 1.86 * molality, 0.01);
    }
}

#[test]
fn table_and_inverse_agree() {
    for tenth in 0..=400 {
        let percent = f64::from(tenth) / 10.0;
        near(sucrose_percent_at(sucrose_depression_c(percent).unwrap()).unwrap(), percent, 1e-9);
    }
}

/// At the temperature of the share, what is left unfrozen freezes exactly there: the share and the freezing point
/// are one law read both ways.
#[test]
fn share_and_freezing_point_agree() {
    let mix = Composition {
        milk_solids_g: 10.0,
        whey_solids_g: 2.0,
        sucrose_g: 12.0,
        glucose_syrup_42_g: 4.0,
        water_g: 60.0,
    };
    let mut before = 0.0;
    for tenth in 26..54 {
        let temperature = -f64::from(tenth) / 10.0;
        let share = water_frozen_share(&mix, temperature).unwrap();
        assert!(share >= before, "colder never means less ice");
        before = share;
        let left = mix.water_g * (1.0 - share);
        let whole = 100.0 / (100.0 - (mix.water_g - left));
        let rest = Composition {
            milk_solids_g: 10.0 * whole,
            whey_solids_g: 2.0 * whole,
            sucrose_g: 12.0 * whole,
            glucose_syrup_42_g: 4.0 * whole,
            water_g: left * whole,
        };
        near(freezing_point_c(&rest).unwrap(), temperature, 1e-9);
    }
}

/// Source: polynomial as quoted: 1.0400 is 9.988, 1.0829 is 19.98; beyond 25 Brix it drifts, so there is no answer.
#[test]
fn brix() {
    near(brix_from_density(1.04).unwrap(), 9.988, 0.001);
    near(brix_from_density(1.0829).unwrap(), 19.98, 0.005);
    assert!(brix_from_density(1.2296).is_err());
    near(brix_of(25.0, 75.0).unwrap(), 25.0, 1e-12);
    near(dilution_water_kg(1.0, 65.0, 13.0).unwrap(), 4.0, 1e-12);
    near(syrup_share(10.0, 60.0, 20.0).unwrap(), 0.2, 1e-12);
}

/// Source: a public load example: 10,000 lb/h from 65 to 26 to 15 °F are 921,000 Btu/h in all.
#[test]
fn load_example() {
    let steps = [
        HeatStep::Sensible { specific: 0.75, from_f: 65.0, to_f: 26.0 },
        HeatStep::Latent { latent: 59.0 },
        HeatStep::Sensible { specific: 0.35, from_f: 26.0, to_f: 15.0 },
    ];
    let heat: f64 = heat_btu(10_000.0, &steps).unwrap().iter().sum();
    near(heat, 921_000.0, 0.1);
    near(pull_down_min(heat, 921_000.0).unwrap(), 60.0, 1e-9);
}

#[test]
fn density_of_mix() {
    near(mix_density(SolidsInMix { fat: 0.12, solids: 0.383 }).unwrap(), 1.0969, 1e-4);
    assert!(mix_density(SolidsInMix { fat: 0.5, solids: 0.4 }).is_err());
}

#[test]
fn what_cannot_be_is_refused() {
    assert_eq!(
        overrun_by_weight(110.0, 0.0).unwrap_err().to_string(),
        "a weight of product of 0 cannot be; give more than 0"
    );
    assert!(cup_check(25.0, 110.0, 30.0, (30.0, 60.0)).is_err(), "lighter than its own cup");
    assert!(cup_check(100.0, 110.0, 30.0, (60.0, 30.0)).is_err(), "a band that runs backwards");
    let check = cup_check(105.0, 110.0, 30.0, (30.0, 60.0)).unwrap();
    assert!(check.within);
    near(check.overrun_percent, 46.67, 0.01);
}
