//! Partial pooling: how far each person's mean is to be drawn to the crew's.

use ft_stats::maths::{ln, mean, sum, sum_of_squares};
use ft_stats::root::least;

/// How runs vary, and the mean of the crew; all on the log.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Variance of one person's runs (σ²).
    pub within: f64,
    /// Variance of persons' true means (τ²), 0 or more.
    pub between: f64,
    /// The crew's mean: persons' means weighted by how well they are known.
    pub centre: f64,
}

impl Spread {
    /// How far a person with `runs` runs is believed, 0 to 1: `τ²/(τ² + σ²/n)`.
    pub fn trust(&self, runs: usize) -> f64 {
        if runs == 0 || self.between <= 0.0 {
            return 0.0;
        }
        self.between / (self.between + self.within / runs as f64)
    }

    /// A person's mean drawn to the crew's.
    pub fn drawn(&self, own_mean: f64, runs: usize) -> f64 {
        if runs == 0 {
            return self.centre;
        }
        self.centre + self.trust(runs) * (own_mean - self.centre)
    }

    /// Variance of what is not known of a person's true mean.
    pub fn unknown(&self, runs: usize) -> f64 {
        self.between * (1.0 - self.trust(runs))
    }
}

/// Spread by moments of the analysis of variance; one list of logs for each person, none of them empty.
///
/// `None` when no person has two runs, or there is only one person: then nothing tells runs from persons.
/// Source: unbalanced one-way random effects, NIST/SEMATECH e-Handbook 7.4.3 for the table; shrinkage after Efron &
/// Morris 1975.
pub fn by_moments(persons: &[&[f64]]) -> Option<Spread> {
    let counts: Vec<f64> = persons.iter().map(|logs| logs.len() as f64).collect();
    let (runs, groups) = (sum(counts.iter().copied()), persons.len() as f64);
    if persons.len() < 2 || runs <= groups {
        return None;
    }
    let means: Vec<f64> = persons.iter().map(|logs| mean(logs)).collect();
    let within = sum(persons.iter().map(|logs| sum_of_squares(logs))) / (runs - groups);
    let grand = sum(counts.iter().zip(&means).map(|(n, m)| n * m)) / runs;
    let among = sum(counts.iter().zip(&means).map(|(n, m)| n * (m - grand) * (m - grand))) / (groups - 1.0);
    let typical = (runs - sum(counts.iter().map(|n| n * n)) / runs) / (groups - 1.0);
    let between = ((among - within) / typical).max(0.0);
    Some(Spread { within, between, centre: centre(&counts, &means, within, between) })
}

/// Spread by restricted maximum likelihood; as [`by_moments`] otherwise.
///
/// For a given ratio τ²/σ² the variance σ² has a closed form, which leaves one number to search.
pub fn by_likelihood(persons: &[&[f64]]) -> Option<Spread> {
    let moments = by_moments(persons)?;
    let counts: Vec<f64> = persons.iter().map(|logs| logs.len() as f64).collect();
    let means: Vec<f64> = persons.iter().map(|logs| mean(logs)).collect();
    let inner = sum(persons.iter().map(|logs| sum_of_squares(logs)));
    let freedom = sum(counts.iter().copied()) - 1.0;
    if inner <= 0.0 {
        return Some(moments);
    }
    let at = |ratio: f64| {
        let weights: Vec<f64> = counts.iter().map(|n| n / (1.0 + n * ratio)).collect();
        let total = sum(weights.iter().copied());
        let centre = sum(weights.iter().zip(&means).map(|(w, m)| w * m)) / total;
        let outer = sum(weights.iter().zip(&means).map(|(w, m)| w * (m - centre) * (m - centre)));
        let within = (inner + outer) / freedom;
        let logs = sum(counts.iter().map(|n| ln(1.0 + n * ratio)));
        (freedom * ln(within) + logs + ln(total), within, centre)
    };
    // The search is on the log of the ratio; the ratio 0 is compared apart.
    let log_ratio = least(|log| at(ft_stats::maths::exp(log)).0, -20.0, 20.0);
    let ratio = ft_stats::maths::exp(log_ratio);
    let ratio = if at(0.0).0 <= at(ratio).0 { 0.0 } else { ratio };
    let (_, within, centre) = at(ratio);
    Some(Spread { within, between: ratio * within, centre })
}

fn centre(counts: &[f64], means: &[f64], within: f64, between: f64) -> f64 {
    // With no spread at all every person weighs the same as their runs.
    let weight = |n: &f64| if within + between > 0.0 { 1.0 / (between + within / n) } else { *n };
    let total = sum(counts.iter().map(weight));
    sum(counts.iter().zip(means).map(|(n, m)| weight(n) * m)) / total
}

/// Efron and Morris's estimate: equally well-known means with variance 1 drawn to their own mean by
/// `1 - (k - 3)/Σ(x - x̄)²`; the drawn means and that factor, never below 0.
///
/// Source: Efron & Morris 1975, Data Analysis Using Stein's Estimator (arithmetic read, data in the oracle row).
pub fn stein(means: &[f64]) -> (Vec<f64>, f64) {
    let centre = mean(means);
    let factor = (1.0 - (means.len() as f64 - 3.0) / sum_of_squares(means)).max(0.0);
    (means.iter().map(|x| centre + factor * (x - centre)).collect(), factor)
}
