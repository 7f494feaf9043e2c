//! Whether odds come true: records of invented crews whose truth is known, laws learned from them, nights drawn from
//! the truth. A probability of 0.8 has to come true 0.8 ± 0.03 of the time over 10,000 nights.

use ft_odds::lengths::{Assumptions, Lengths, RATE_BOUNDS, Run};
use ft_odds::lognormal::LogNormal;
use ft_odds::pert::Random;
use ft_odds::sum::matched;
use ft_stats::distribution::normal_quantile;

/// A crew as it truly is: logs of each person's first run of each step, spread of runs, learning.
struct Crew {
    levels: Vec<Vec<f64>>,
    within_sd: f64,
    exponent: f64,
    learned_after: u32,
}

impl Crew {
    fn drawn(random: &mut Random, persons: usize, steps: usize) -> Self {
        let mut normal = || normal_quantile(random.share());
        let bases: Vec<f64> = (0..steps).map(|_| 2.3 + 0.5 * normal()).collect();
        let levels =
            (0..persons).map(|_| bases.iter().map(|base| base + 0.22 * normal()).collect()).collect();
        Self { levels, within_sd: 0.18, exponent: 0.92f64.log2(), learned_after: 30 }
    }

    fn minutes(&self, random: &mut Random, person: usize, step: usize, number: u32) -> f64 {
        let number = f64::from(number.min(self.learned_after));
        let log = self.levels[person][step] + self.exponent * number.ln();
        (log + self.within_sd * normal_quantile(random.share())).exp()
    }
}

/// Runs of every person: uneven on purpose, from none to a dozen.
fn record(crew: &Crew, random: &mut Random) -> (Vec<Run>, Vec<Vec<u32>>) {
    let mut runs = Vec::new();
    let mut done = vec![vec![0; crew.levels[0].len()]; crew.levels.len()];
    for (person, steps) in done.iter_mut().enumerate() {
        for (step, count) in steps.iter_mut().enumerate() {
            *count = random.below(13) as u32;
            for number in 1..=*count {
                let minutes = crew.minutes(random, person, step, number);
                runs.push(Run { step: format!("s{step}"), person: format!("p{person}"), number, minutes });
            }
        }
    }
    (runs, done)
}

/// Share of nights that ended by the length to which the learned laws gave each of the odds.
fn came_true<const N: usize>(odds: [f64; N], nights: u32) -> [f64; N] {
    let mut random = Random { state: 2025 };
    let (persons, steps) = (4, 6);
    let mut in_time = [0u32; N];
    for night in 0..nights {
        let crew = Crew::drawn(&mut random, persons, steps);
        let (runs, done) = record(&crew, &mut random);
        let (lengths, left_out) = Lengths::learn(&runs, Assumptions::default());
        assert!(left_out.is_empty());
        let person = night as usize % persons;
        let law =
            |step: usize| lengths.law(&format!("s{step}"), &format!("p{person}"), done[person][step], 10.0);
        let laws: Vec<LogNormal> = (0..steps).map(law).collect();
        let night = matched(&laws);
        let taken: f64 =
            (0..steps).map(|step| crew.minutes(&mut random, person, step, done[person][step] + 1)).sum();
        for (count, p) in in_time.iter_mut().zip(odds) {
            *count += u32::from(taken <= night.quantile(p));
        }
    }
    in_time.map(|count| f64::from(count) / f64::from(nights))
}

#[test]
fn odds_come_true_as_often_as_they_say() {
    let odds = [0.5, 0.8, 0.9];
    for (p, share) in odds.into_iter().zip(came_true(odds, 10_000)) {
        println!("odds of {p} came true {share:.4} of 10,000 nights");
        assert!((share - p).abs() <= 0.03, "odds of {p} came true {share} of the time");
    }
}

fn run(step: &str, person: &str, number: u32, minutes: f64) -> Run {
    Run { step: step.into(), person: person.into(), number, minutes }
}

#[test]
fn few_runs_are_drawn_to_the_crew_and_many_are_believed() {
    let mut runs: Vec<Run> =
        (1..=12).map(|n| run("flush", "quick", n, 5.0 + 0.3 * f64::from(n % 3))).collect();
    runs.extend((1..=12).map(|n| run("flush", "slow", n, 12.0 + 0.5 * f64::from(n % 3))));
    runs.push(run("flush", "new", 1, 3.0));
    let (lengths, _) = Lengths::learn(&runs, Assumptions::default());
    assert!(lengths.trust("flush", "new") < lengths.trust("flush", "quick"));
    assert!(lengths.trust("flush", "stranger") <= 0.0);
    let at = |person: &str, done: u32| lengths.law("flush", person, done, 8.0);
    assert!(
        at("quick", 12).median() < at("stranger", 12).median()
            && at("stranger", 12).median() < at("slow", 12).median()
    );
    assert!(at("quick", 12).log_sd < at("stranger", 12).log_sd, "a stranger is less sure");
    let rate = lengths.rate("flush").expect("a step of the record");
    assert!(3.0 * rate < at("new", 1).median(), "one quick run is not believed altogether");
}

#[test]
fn a_step_that_was_never_timed_takes_what_the_card_says_and_is_unsure() {
    let (lengths, left_out) = Lengths::learn(
        &[run("a", "p", 1, -3.0), run("a", "p", 0, 3.0), run("a", "p", 1, f64::NAN)],
        Assumptions::default(),
    );
    assert_eq!(left_out, [0, 1, 2]);
    let law = lengths.law("a", "p", 0, 10.0);
    assert!((law.median() - 10.0).abs() < 1e-12 && law.log_sd > 0.3);
    assert_eq!(lengths.rate("a"), None);
}

/// A record in which a step halves at each doubling says something else than practice; and nobody learns backwards.
#[test]
fn learning_stays_within_bounds() {
    let steep: Vec<Run> =
        [1, 2, 4, 8].iter().map(|n| run("a", "p", *n, 64.0 / f64::from(*n).powi(2))).collect();
    let worse: Vec<Run> = [1, 2, 4, 8].iter().map(|n| run("b", "p", *n, 5.0 * f64::from(*n))).collect();
    let (lengths, _) = Lengths::learn(&[steep, worse].concat(), Assumptions::default());
    let rate = |step: &str| lengths.rate(step).expect("a step of the record");
    assert!((rate("a") - RATE_BOUNDS.0).abs() < 1e-12 && (rate("b") - RATE_BOUNDS.1).abs() < 1e-12);
    let later = lengths.law("a", "p", 30, 8.0);
    assert_eq!(later, lengths.law("a", "p", 300, 8.0), "practice ends");
}
