//! What must hold for every history: more heat never means less growth, and no prediction lengthens a date.
// A helper of a test may stop the test.
#![allow(clippy::unwrap_used)]

use ft_growth::organisms::Shown;
use ft_growth::primary::{dose_after_lag, ln_count};
use ft_growth::{
    Advice, Deadline, GapRule, History, Question, RateCurve, Reading, SecondaryModel, discard_at, dose,
    report, shipped,
};
use proptest::prelude::*;

/// Steps in hours with a temperature and how much warmer it might have been.
fn steps() -> impl Strategy<Value = Vec<(f64, f64, f64)>> {
    prop::collection::vec((0.01_f64..5.0, -20.0_f64..50.0, 0.0_f64..20.0), 2..12)
}

fn history(steps: &[(f64, f64, f64)], is_warmer: bool, rule: GapRule) -> History {
    let mut hours = 0.0;
    let readings: Vec<Reading> = steps
        .iter()
        .map(|(step, celsius, more)| {
            hours += step;
            Reading { hours, celsius: if is_warmer { celsius + more } else { *celsius } }
        })
        .collect();
    History::new(&readings, rule).unwrap()
}

/// Nothing to add, hold, discard: 0, 1, 2.
fn gravity(advice: &Advice) -> u8 {
    match advice {
        Advice::NothingToAdd => 0,
        Advice::HoldForDecision(_) => 1,
        Advice::DiscardEarlier(_) => 2,
    }
}

proptest! {
    #[test]
    fn adding_heat_never_lowers_predicted_growth(steps in steps(), h0 in 0.0_f64..6.0, y0 in -5.0_f64..25.0) {
        for rule in [GapRule::NONE, GapRule::USUAL] {
            let (cool, warm) = (history(&steps, false, rule), history(&steps, true, rule));
            for organism in shipped() {
                let Shown::Growth { growth, .. } = &organism.shown else { continue };
                let (less, more) = (dose(&cool, &growth.curve), dose(&warm, &growth.curve));
                prop_assert!(more >= less * (1.0 - 1e-12), "{}: {less} then {more}", organism.id);
                let count = |dose: f64| ln_count(y0, 20.0, 1.0, dose_after_lag(dose, h0));
                prop_assert!(count(more) >= count(less) - 1e-12);
                prop_assert!(count(less) >= y0 - 1e-12, "a model never takes away from a count");
            }
            let question = Question::default();
            let (cool, warm) =
                (report(&cool, &shipped(), &question), report(&warm, &shipped(), &question));
            prop_assert!(gravity(&warm.advice) >= gravity(&cool.advice));
        }
    }

    #[test]
    fn a_longer_gap_or_a_warmer_room_never_lowers_growth(steps in steps(), room in -5.0_f64..40.0) {
        let curve = RateCurve::new(vec![SecondaryModel::SquareRoot { b: 0.024, t_min: -2.32 }]).unwrap();
        let logged = dose(&history(&steps, false, GapRule::NONE), &curve);
        let unknown = dose(&history(&steps, false, GapRule::USUAL), &curve);
        let known = GapRule { ambient: Some(room), ..GapRule::USUAL };
        let with_room = dose(&history(&steps, false, known), &curve);
        prop_assert!(logged <= unknown * (1.0 + 1e-12) && unknown <= with_room * (1.0 + 1e-12));
    }

    #[test]
    fn a_prediction_never_lengthens_a_date(
        steps in steps(),
        dates in prop::collection::vec(-50.0_f64..200.0, 0..4),
    ) {
        let held: Vec<Deadline> =
            dates.iter().map(|&at_h| Deadline { at_h, from: "rule".into() }).collect();
        let advice = report(&history(&steps, false, GapRule::USUAL), &shipped(), &Question::default()).advice;
        let earliest = dates.iter().copied().fold(f64::INFINITY, f64::min);
        let shown = discard_at(&held, &advice);
        prop_assert!(shown.as_ref().map_or(f64::INFINITY, |date| date.at_h) <= earliest);
        prop_assert!(shown.is_some() || held.is_empty());
    }

    #[test]
    fn doses_add_up_however_a_history_is_cut_and_turned(steps in steps(), at in 1_usize..11) {
        let models = [
            SecondaryModel::SquareRoot { b: 0.024, t_min: -2.32 },
            SecondaryModel::ExtendedSquareRoot { b: 0.03, t_min: -3.0, c: 0.25, t_max: 42.0 },
            SecondaryModel::Cardinal { t_min: 3.7, t_opt: 40.8, t_max: 46.6, mu_opt: 2.3 },
        ];
        let whole = history(&steps, false, GapRule::NONE);
        let at = at.min(whole.segments().len());
        for model in models {
            let curve = RateCurve::new(vec![model]).unwrap();
            let sum = |segments: &[ft_growth::Segment], is_turned: bool| -> f64 {
                segments.iter().map(|s| {
                    let (from, to) = if is_turned { (s.to, s.from) } else { (s.from, s.to) };
                    curve.dose_of_stretch(from, to, s.hours)
                }).sum()
            };
            let all = dose(&whole, &curve);
            let halves = sum(&whole.segments()[..at], false) + sum(&whole.segments()[at..], true);
            prop_assert!((all - halves).abs() <= 1e-12 * all.max(1.0));
        }
    }
}
