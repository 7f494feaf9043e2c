//! What is recommended, what is refused, and what nothing may lift.
// Helpers of tests: a list that cannot be fitted is a failure.
#![allow(clippy::unwrap_used)]

use ft_wear::exponential::mean_time_of;
use ft_wear::record::{by_kind, read};
use ft_wear::replacement::{Costs, Reason, advise, cost_rate, minimal_repair_optimum, optimum};
use ft_wear::spares::{expected_waiting, fill_rate, rate_of_use, service_level, stock_for};
use ft_wear::view::{Request, Settings, picture, text, wear};
use ft_wear::weibull::{Fit, Weibull, fit};
use ft_wear::{BadLives, End, Life, Lives, weibayes};
use jiff::civil::date;

fn fitted(failed: &[f64], unfailed: &[f64]) -> Fit {
    fit(&Lives::from_ages(failed, unfailed).unwrap()).unwrap()
}

/// Narrow: clearly worn out around 50.
const WORN: [f64; 10] = [41.0, 44.0, 46.0, 48.0, 50.0, 51.0, 53.0, 55.0, 58.0, 60.0];
/// Scattered: no sign that age matters.
const CHANCE: [f64; 10] = [2.0, 5.0, 9.0, 14.0, 22.0, 30.0, 44.0, 61.0, 90.0, 150.0];
const COSTS: Costs = Costs { planned: 4.0, failure: 60.0 };

#[test]
fn wear_that_shows_is_answered_with_the_age_that_costs_least() {
    let advice = advise(&fitted(&WORN, &[]), COSTS, None);
    let Reason::LeastCost { optimum, range } = &advice.reason else { panic!("{advice:?}") };
    assert_eq!(advice.change_at, Some(optimum.age));
    assert!(range.0 <= optimum.age && optimum.age <= range.1 && optimum.age < 41.0);
    assert!(optimum.cost_rate < optimum.run_to_failure_rate);
    let law = fitted(&WORN, &[]).law;
    for factor in [0.9, 0.99, 1.01, 1.1] {
        assert!(
            optimum.cost_rate < cost_rate(law, COSTS, optimum.age * factor),
            "{factor} of the age is cheaper"
        );
    }
}

/// The rule that an interval may be shortened and never lengthened, over many records, costs and caps.
#[test]
fn no_record_and_no_cost_lifts_the_makers_interval() {
    for lives in [&WORN[..], &CHANCE[..]] {
        for failure in [1.0, 5.0, 60.0, 1e6] {
            for cap in [1.0, 20.0, 45.0, 400.0] {
                let advice = advise(&fitted(lives, &[]), Costs { planned: 4.0, failure }, Some(cap));
                let age = advice.change_at.expect("a cap is always an answer");
                assert!(age <= cap, "{age} is above the maker's {cap}: {advice:?}");
            }
        }
    }
}

#[test]
fn a_record_without_wear_names_no_age() {
    let advice = advise(&fitted(&CHANCE, &[]), COSTS, None);
    let Reason::NotShownToWear { shape } = advice.reason else { panic!("{advice:?}") };
    assert!(shape.0 <= 1.0 && 1.0 < shape.1);
    assert_eq!(advice.change_at, None);
    let advice = advise(&fitted(&WORN, &[]), Costs { planned: 4.0, failure: 4.0 }, None);
    assert_eq!((advice.change_at, advice.reason), (None, Reason::FailureIsCheap));
}

#[test]
fn optimum_at_both_sides_of_shape_one() {
    let at = |shape: f64| optimum(Weibull { shape, scale: 100.0 }, COSTS);
    assert!(at(1.0).is_none() && at(0.8).is_none());
    assert!(at(1.05).is_some_and(|best| best.age > 100.0));
}

/// Source: Barlow & Hunter's closed form; here the cost rate is checked to be least by neighbours.
#[test]
fn minimal_repair_costs_least_at_its_age() {
    let law = Weibull { shape: 2.5, scale: 1000.0 };
    let (age, rate) = minimal_repair_optimum(law, 5.0, 1.0).unwrap();
    let cost = |age: f64| (5.0 + (age / law.scale).powf(law.shape)) / age;
    assert!((cost(age) - rate).abs() < 1e-12 && rate < cost(age * 0.98) && rate < cost(age * 1.02));
}

/// Source: NIST/SEMATECH e-Handbook 8.4.5.1: the factors by which the mean is multiplied for 80, 90 and 95 %
/// bounds after one and two failures (the formula was read there, the figures are from memory and reproduced);
/// nothing failed: `-T / ln α`, one-sided.
#[test]
fn mean_time_between_failures_of_the_handbook() {
    let factors = [
        (1, 0.8, 0.2571, 9.4912),
        (1, 0.9, 0.2108, 19.4958),
        (1, 0.95, 0.1795, 39.4978),
        (2, 0.8, 0.3758, 3.7607),
        (2, 0.9, 0.3177, 5.6281),
        (2, 0.95, 0.2768, 8.2573),
    ];
    for (failures, confidence, low, high) in factors {
        let time = mean_time_of(failures, 800.0, confidence);
        let (found_low, found_high) = (time.low / time.mean, time.high / time.mean);
        assert!(
            (found_low - low).abs() < 1e-4 && (found_high - high).abs() < 1e-4,
            "{failures} at {confidence}"
        );
    }
    let none = mean_time_of(0, 800.0, 0.9);
    assert!((none.low - 800.0 / -(0.05f64.ln())).abs() < 1e-6 && none.high.is_infinite());
}

/// Weibayes with the fitted shape gives the fitted scale back, and its bound falls as confidence grows.
#[test]
fn a_known_shape_agrees_with_the_fit_and_bounds_are_ordered() {
    let lives = Lives::from_ages(&WORN, &[70.0, 70.0]).unwrap();
    let law = fit(&lives).unwrap().law;
    assert!((weibayes::most_likely(&lives, law.shape).unwrap().scale - law.scale).abs() < 1e-9);
    let bound = |confidence: f64| weibayes::lower_bound(&lives, law.shape, confidence).scale;
    assert!(bound(0.95) < bound(0.8) && bound(0.8) < law.scale);
}

/// Bounds by likelihood ratio hold the estimate, narrow with more lives, and meet the fit's own scale.
#[test]
fn bounds_hold_the_estimate_and_do_not_depend_on_the_unit() {
    let few = fitted(&WORN, &[70.0]);
    let days: Vec<f64> = WORN.iter().map(|age| age * 24.0).collect();
    let hours = fitted(&days, &[70.0 * 24.0]);
    let (low, high) = few.shape_bounds(0.95);
    assert!(low < few.law.shape && few.law.shape < high);
    assert!((hours.law.shape / few.law.shape - 1.0).abs() < 1e-12);
    assert!((hours.scale_bounds(0.95).0 / few.scale_bounds(0.95).0 / 24.0 - 1.0).abs() < 1e-9);
    let twice =
        Lives::new(few.lives().sorted().iter().map(|life| Life { count: 2, ..*life }).collect()).unwrap();
    let (low2, high2) = fit(&twice).unwrap().shape_bounds(0.95);
    assert!(low < low2 && high2 < high);
    let (age_low, age_high) = few.quantile_bounds(0.1, 0.95);
    let tenth = few.law.quantile(0.1);
    assert!(age_low < tenth && tenth < age_high);
    let (share_low, share_high) = few.survival_bounds(tenth, 0.95);
    assert!(share_low < 0.9 && 0.9 < share_high);
}

/// Six blades: at some ages the slope of the likelihood is exactly nought where the search for a bound starts.
#[test]
fn the_band_around_a_curve_falls_with_age_and_holds_the_curve() {
    let fit = fitted(&[61.0, 65.0, 69.0, 71.0, 73.0, 78.0], &[34.0, 59.0, 60.0, 68.0]);
    let (mut low_before, mut high_before) = (1.0, 1.0);
    for step in 1..=32 {
        let age = 78.0 * f64::from(step) / 32.0;
        let (low, high) = fit.survival_bounds(age, 0.95);
        let share = fit.law.survival(age);
        assert!(low <= share && share <= high, "{age}: {low} {share} {high}");
        assert!(low <= low_before + 1e-9 && high <= high_before + 1e-9 && 0.0 < low, "{age}: {low} {high}");
        (low_before, high_before) = (low, high);
    }
    assert!(high_before < 0.4 && low_before < 0.01);
}

#[test]
fn lists_that_cannot_be_fitted_say_why() {
    let ages = |failed: &[f64], unfailed: &[f64]| Lives::from_ages(failed, unfailed);
    assert_eq!(ages(&[], &[]), Err(BadLives::Empty));
    assert_eq!(ages(&[3.0], &[-1.0]), Err(BadLives::BadAge { number: 2, age: -1.0 }));
    assert_eq!(fit(&ages(&[], &[5.0]).unwrap()), Err(BadLives::NoFailures));
    assert_eq!(fit(&ages(&[5.0, 5.0], &[3.0]).unwrap()), Err(BadLives::NoSpread));
    assert!(
        fit(&ages(&[5.0], &[9.0]).unwrap()).is_ok(),
        "one failure and a longer life without one can be fitted"
    );
}

/// Little's law and the definition of the fill rate, against sums over the Poisson law.
#[test]
fn spares_keep_their_identities() {
    for mean in [0.3, 2.0, 9.5] {
        let stock = stock_for(mean, 0.95);
        assert!(service_level(stock, mean) >= 0.95 && (stock == 0 || service_level(stock - 1, mean) < 0.95));
        // Waiting falls by the share of wishes that the next spare meets: E[(D-S)+] - E[(D-S-1)+] = P(D > S).
        let step = expected_waiting(stock, mean) - expected_waiting(stock + 1, mean);
        assert!((step - (1.0 - service_level(stock, mean))).abs() < 1e-12);
        assert!((fill_rate(stock + 1, mean) - service_level(stock, mean)).abs() < 1e-15);
    }
    let law = Weibull { shape: 2.5, scale: 120.0 };
    let changed = rate_of_use(law, 12, Some(60.0));
    let left = rate_of_use(law, 12, None);
    assert!(left.parts < changed.parts && changed.failures < left.failures);
}

const TABLE: &str = "place,part,fitted,removed,end\n\
left barrel,Scraper blade,2026-01-01,2026-03-02,failed\n\
left barrel,Scraper blade,2026-03-02,2026-04-30,planned\n\
left barrel,Scraper blade,2026-04-30,,\n\
right barrel,Scraper blade,2026-02-30,2026-03-02,failed\n\
right barrel,Scraper blade,2026-03-02,2026-02-01,failed\n\
right barrel,Scraper blade,2026-03-02,2026-03-30,lost\n\
right barrel,Scraper blade,2026-03-02,2026-03-30,failed\n\
right barrel,Scraper blade,2026-12-24,,\n\
right barrel,,2026-03-02,,\n\
right barrel,Scraper blade,2026-05-20,,\n";

/// Invented table: every row is either used or listed with its place and what would be right.
#[test]
fn rows_are_used_or_listed_never_dropped() {
    let today = date(2026, 5, 20);
    let record = read(TABLE, today);
    assert_eq!((record.rows, record.replacements.len(), record.problems.len()), (10, 5, 5));
    let codes: Vec<_> = record.problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["W0103", "W0105", "W0108", "W0106", "W0104"]);
    assert!(TABLE[record.problems[0].span.clone()].starts_with("right barrel,Scraper blade,2026-02-30"));
    assert!(record.problems.iter().all(|problem| problem.remedy.is_some()));
    let kind = &by_kind(&record.replacements, today)["Scraper blade"];
    let ages: Vec<_> = kind.lives.iter().map(|life| (life.age, life.end)).collect();
    assert_eq!(
        ages,
        [(60.0, End::Failed), (59.0, End::Unfailed), (20.0, End::Unfailed), (28.0, End::Failed)]
    );
    assert_eq!(kind.fitted.len(), 2, "the one that was fitted today is in, and says nothing about life yet");
}

#[test]
fn a_heading_that_lacks_a_column_is_an_error_with_the_heading_wanted() {
    let record = read("part,place,fitted\nx,y,2026-01-01\n", date(2026, 5, 20));
    assert_eq!(record.problems[0].code, "W0102");
    assert!(record.problems[0].message.contains("removed") && record.replacements.is_empty());
}

#[test]
fn the_answer_names_what_is_overdue_and_what_to_order() {
    let today = date(2026, 5, 20);
    let default = Settings {
        costs: Some(COSTS),
        maker_longest_days: Some(15.0),
        assumed_shape: None,
        lead_days: 14.0,
        service: 0.95,
        have: 0,
        ahead_days: 7.0,
    };
    let view =
        wear(&read(TABLE, today), &Request { today, default, parts: std::collections::BTreeMap::new() });
    let part = &view.parts[0];
    assert_eq!(part.change_at_days, Some(15.0));
    assert_eq!((part.due[0].place.as_str(), part.due[0].days_left), ("left barrel", Some(-5)));
    assert_eq!(part.due[0].due.as_deref(), Some("2026-05-15"));
    let spares = part.spares.as_ref().unwrap();
    assert!(spares.order == spares.hold && spares.service >= 0.95);
    let told = text(&view);
    assert!(told.contains("OVERDUE by 5 days") && told.contains("never lengthen") && told.contains("W0105"));
    assert!(picture(part).contains("<svg") && serde_json::to_string(&view).unwrap().contains("\"failed\":2"));
}
