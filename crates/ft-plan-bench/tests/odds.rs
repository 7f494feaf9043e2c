//! The simulation on a plan's own rules, against quadrature and against nights that it has not seen.

use ft_night::{Lag, Person, Phase, Point, Problem, Task};
use ft_plan::{Budget, StepLength, plan, simulate};
use ft_plan_bench::nights::{Size, night};

fn in_a_row(hands_s: &[u32]) -> Problem {
    let mut problem = Problem {
        people: vec![Person::default()],
        places: vec![ft_night::Place::default()],
        ..Problem::default()
    };
    for (task, &hands_s) in hands_s.iter().enumerate() {
        problem
            .tasks
            .push(Task { phases: vec![Phase { hands_s, people: 1, ..Phase::default() }], ..Task::default() });
        if task > 0 {
            problem.lags.push(Lag { from: Point::end(task - 1), to: Point::begin(task), ..Lag::default() });
        }
    }
    problem
}

/// Source: the sum of three log-normals by panelled Gauss-Legendre quadrature, checked with FFT convolution (the
/// project's check value SUMLN-exact).
#[test]
fn three_steps_in_a_row_have_the_distribution_of_their_sum() {
    let problem = in_a_row(&[12, 20, 8]);
    let plan = plan(&problem, &Budget::units(10, 1));
    let lengths = [(12.0_f64, 0.25), (20.0, 0.35), (8.0, 0.5)]
        .map(|(median, sigma)| StepLength { mu: median.ln(), sigma });
    let odds = simulate(&problem, &plan, &lengths, 200_000, 1);
    let exact = [(40.0, 0.431_738_6), (45.0, 0.643_002_5), (55.0, 0.895_740_8), (70.0, 0.988_703_8)];
    for (at, share) in exact {
        // Three standard errors of 200,000 draws are 0.0034.
        assert!((odds.by(at) - share).abs() < 0.0035, "{at}: {} not {share}", odds.by(at));
    }
    assert!(odds.critical_share.iter().all(|&share| (share - 1.0).abs() < f64::EPSILON));
}

/// A hundred kitchens, each with a record of 40 nights, the fit of each step from it, and 100 further nights: what was
/// said to have a probability of 0.8 comes true 0.8 +- 0.03 of the time.
#[test]
fn what_has_odds_of_eight_in_ten_comes_true_eight_times_in_ten() {
    let problem = night(Size { machines: 1, people: 2, walking: true }, 3);
    let plan = plan(&problem, &Budget::units(100, 1));
    let truth = ft_plan::lengths_as_planned(&problem, &plan, 0.3);
    let mut dice = ft_plan_bench::wild::Dice::new(5);
    let shares = [0.5, 0.8, 0.9];
    let mut came_true = [0.0; 3];
    for kitchen in 0..100 {
        let fitted: Vec<StepLength> = truth.iter().map(|step| fit(step, 40, &mut dice)).collect();
        let said = simulate(&problem, &plan, &fitted, 1000, kitchen);
        let came = simulate(&problem, &plan, &truth, 100, 1000 + kitchen);
        for (count, share) in came_true.iter_mut().zip(shares) {
            *count += came.by(said.quantile(share)) / 100.0;
        }
    }
    for (came, share) in came_true.into_iter().zip(shares) {
        assert!((came - share).abs() < 0.03, "said {share}, came true {came}");
    }
}

/// Mean and standard deviation of the logarithms of so many drawn lengths.
fn fit(step: &StepLength, count: usize, dice: &mut ft_plan_bench::wild::Dice) -> StepLength {
    // The sum of twelve uniform numbers is normal enough for a record, and not what the simulation itself draws from.
    let mut normal = || (0..12).map(|_| f64::from(dice.between(0, 1_000_000)) / 1e6).sum::<f64>() - 6.0;
    let logs: Vec<f64> = (0..count).map(|_| step.mu + step.sigma * normal()).collect();
    let mu = logs.iter().sum::<f64>() / count as f64;
    let variance = logs.iter().map(|log| (log - mu).powi(2)).sum::<f64>() / (count - 1) as f64;
    StepLength { mu, sigma: variance.sqrt() }
}
