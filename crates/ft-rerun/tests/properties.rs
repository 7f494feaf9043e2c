//! Mass is conserved in any blending, and the books agree with the formulas where there are formulas.
// A helper of a test may stop the test.
#![allow(clippy::unwrap_used)]

use ft_growth::{GapRule, History, RateCurve, Reading, SecondaryModel, dose};
use ft_rerun::ledger::{Ledger, Lot, Mixing};
use ft_rerun::recurrence::{blends, growth_factor};
use ft_rerun::{Day, Variant, run};
use proptest::prelude::*;

const VESSELS: [&str; 3] = ["hopper", "rack", "barrel"];

/// Anything that can happen to a chain, in numbers that may or may not make sense at that moment.
fn moves() -> impl Strategy<Value = Vec<(u8, usize, usize, f64)>> {
    prop::collection::vec((0_u8..6, 0_usize..3, 0_usize..3, 0.01_f64..30.0), 1..60)
}

/// Shares carried over and shelf temperatures of some nights.
fn nights(least: usize) -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((0.0_f64..0.9, 0.0_f64..14.0), least..12)
}

fn days_of(nights: &[(f64, f64)]) -> Vec<Day> {
    nights.iter().enumerate().map(|(day, (f, celsius))| at_day(day, 20.0 * f, *celsius)).collect()
}

fn line() -> RateCurve {
    RateCurve::new(vec![SecondaryModel::SquareRoot { b: 0.039_43, t_min: -3.62 }]).unwrap()
}

proptest! {
    #[test]
    fn mass_is_conserved_in_any_blending(moves in moves()) {
        let mut ledger = Ledger::new(1);
        let mixings = [Mixing::WellMixed, Mixing::FirstInFirstOut, Mixing::WellMixed];
        for (vessel, mixing) in VESSELS.iter().zip(mixings) {
            ledger.add_vessel(vessel, mixing).unwrap();
        }
        for (number, (kind, from, to, litres)) in moves.into_iter().enumerate() {
            let (from, to) = (VESSELS[from], VESSELS[to]);
            // A refused move must leave the books as they were, so that refusals are part of the test.
            let _ = match kind {
                0 | 1 => {
                    let lot = Lot { id: number.to_string(), made_h: number as f64, discard_by_h: None };
                    ledger.fill(to, lot, litres)
                }
                2 => ledger.transfer(from, to, litres),
                3 => ledger.remove(from, litres).map(|_| ()),
                4 => ledger.serve_through(from, to, litres),
                _ => ledger.grow(from, &[litres / 10.0]).and_then(|()| ledger.discard(to).map(|_| ())),
            };
            let (came, held, went) = ledger.balance();
            prop_assert!((came - held - went).abs() <= 1e-9 * came.max(1.0), "{came} = {held} + {went}");
            for vessel in VESSELS {
                let litres = ledger.litres(vessel).unwrap();
                prop_assert!(litres >= 0.0);
                prop_assert!(ledger.portions(vessel).unwrap().all(|portion| portion.litres > 0.0));
                if litres > 0.0 {
                    prop_assert!(ledger.factors(vessel).unwrap()[0] >= 1.0 - 1e-9, "growth never takes away");
                    let (_, share) = ledger.oldest(vessel).unwrap().unwrap();
                    prop_assert!(0.0 < share && share <= 1.0 + 1e-9);
                }
            }
        }
    }

    #[test]
    fn the_books_agree_with_the_recurrence(nights in nights(2)) {
        let days = days_of(&nights);
        let states = run(&days, &[line()], Mixing::WellMixed, Variant::AsRecorded).unwrap();
        let formula: Vec<(f64, f64, f64)> = nights
            .iter()
            .zip(&days)
            .map(|((f, _), day)| (*f, growth_factor(dose(&day.history, &line())), 1.0))
            .collect();
        for (state, expected) in states[1..].iter().zip(blends(&formula, 1.0)) {
            prop_assert!((state.blended[0] / expected - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn a_discard_or_a_colder_shelf_never_makes_it_worse(
        nights in nights(1),
        every in 1_u32..8,
        colder in 0.0_f64..5.0,
    ) {
        let days = days_of(&nights);
        for mixing in [Mixing::WellMixed, Mixing::FirstInFirstOut] {
            let recorded = run(&days, &[line()], mixing, Variant::AsRecorded).unwrap();
            for variant in [Variant::DiscardEvery(every), Variant::ColderBy(colder)] {
                let other = run(&days, &[line()], mixing, variant).unwrap();
                for (one, two) in recorded.iter().zip(&other) {
                    prop_assert!(two.at_end[0] <= one.at_end[0] * (1.0 + 1e-9));
                }
            }
        }
    }
}

fn at_day(day: usize, kept_litres: f64, celsius: f64) -> Day {
    let reading = |hours: f64| Reading { hours, celsius };
    Day {
        lot: Lot {
            id: day.to_string(),
            made_h: 24.0 * day as f64,
            discard_by_h: Some(24.0 * (day + 7) as f64),
        },
        tank_litres: 20.0,
        kept_litres,
        history: History::new(&[reading(0.0), reading(24.0)], GapRule::NONE).unwrap(),
        is_discarded: false,
    }
}

fn oldest_id(state: &ft_rerun::DayState) -> Option<&str> {
    state.oldest.as_ref().map(|(lot, _)| lot.id.as_str())
}

/// The oldest part of a stirred hopper is a sliver, but the whole blend goes by its date.
#[test]
fn the_whole_blend_keeps_the_date_of_its_oldest_part() {
    let days: Vec<Day> = (0..6).map(|day| at_day(day, 6.0, 4.0)).collect();
    let states = run(&days, &[], Mixing::WellMixed, Variant::AsRecorded).unwrap();
    let (oldest, share) = states[5].oldest.as_ref().unwrap();
    assert_eq!(oldest.id, "0");
    assert!((share - 0.3_f64.powi(5)).abs() < 1e-12);
    assert_eq!(states[5].discard_by_h, Some(168.0), "seven days from the first lot, not from today's");
    let racked = run(&days, &[], Mixing::FirstInFirstOut, Variant::AsRecorded).unwrap();
    assert_eq!(oldest_id(&racked[5]), Some("4"), "a rack sells the old first");
    let reset = run(&days, &[], Mixing::WellMixed, Variant::DiscardEvery(3)).unwrap();
    assert_eq!(oldest_id(&reset[5]), Some("3"));
}

/// A barrel of constant volume that is topped up as it is served from is a mixed tank in flow: 1/e is left after
/// one volume.
#[test]
fn a_barrel_topped_up_as_it_goes_is_a_mixed_tank() {
    let mut ledger = Ledger::new(0);
    ledger.add_vessel("barrel", Mixing::WellMixed).unwrap();
    ledger.add_vessel("hopper", Mixing::WellMixed).unwrap();
    let lot = |id: &str| Lot { id: id.into(), made_h: 0.0, discard_by_h: None };
    ledger.fill("barrel", lot("old"), 3.0).unwrap();
    ledger.fill("hopper", lot("new"), 10.0).unwrap();
    ledger.serve_through("hopper", "barrel", 3.0).unwrap();
    let old = ledger.portions("barrel").unwrap().find(|portion| portion.lot == "old").unwrap().litres;
    assert!((old - 3.0 / std::f64::consts::E).abs() < 1e-12);
    assert!((ledger.litres("barrel").unwrap() - 3.0).abs() < 1e-12);
    assert!((ledger.litres("hopper").unwrap() - 7.0).abs() < 1e-12);
    // Once this took litres out of the books.
    let says = ledger.serve_through("barrel", "barrel", 1.0).unwrap_err().to_string();
    assert_eq!(says, "`barrel` cannot be topped up from itself; name the other vessel");
}

#[test]
fn volumes_that_do_not_fit_are_named() {
    let mut days: Vec<Day> = (0..3).map(|day| at_day(day, 6.0, 4.0)).collect();
    days[1].kept_litres = 25.0;
    let says = |days: &[Day]| run(days, &[], Mixing::WellMixed, Variant::AsRecorded).unwrap_err().to_string();
    assert_eq!(says(&days), "day 2: 25.00 L were kept of 20.00 L");
    days[1].kept_litres = 6.0;
    days[2].tank_litres = 5.0;
    assert_eq!(says(&days), "day 3: 6.00 L were carried over but the tank held 5.00 L after topping up");
    let mut ledger = Ledger::new(0);
    ledger.add_vessel("tub", Mixing::WellMixed).unwrap();
    let says = ledger.remove("tub", 2.0).unwrap_err().to_string();
    assert_eq!(says, "`tub` holds 0.00 L, so 2.00 L cannot come out; check both volumes");
    let says = ledger.fill("bucket", days[0].lot.clone(), 1.0).unwrap_err().to_string();
    assert!(says.contains("no vessel `bucket`"));
}
