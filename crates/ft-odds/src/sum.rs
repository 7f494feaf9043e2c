//! Sums and joins of lengths without random numbers: the same answer on every machine, every time.

use ft_stats::distribution::normal_density;
use ft_stats::maths::exp;

use crate::lognormal::LogNormal;

/// The log-normal law with the mean and variance of a sum of independent ones (Fenton and Wilkinson).
///
/// Off by up to 0.008 in probability for three steps of usual spread; use [`Length`] where that matters.
/// Source: Fenton 1960 (from memory).
pub fn matched(parts: &[LogNormal]) -> LogNormal {
    let (mean, variance) = moments(parts);
    LogNormal::from_moments(mean, variance)
}

/// Mean and variance of a sum of independent lengths.
pub fn moments(parts: &[LogNormal]) -> (f64, f64) {
    parts.iter().fold((0.0, 0.0), |(mean, variance), part| (mean + part.mean(), variance + part.variance()))
}

/// Probability that a sum of one to four independent lengths is at most `length`, to about 1e-10; `None` for none or
/// for more than four.
///
/// The trapezoid rule on the standardised logs: the integrand falls to nought with all its slopes at both ends, where
/// that rule converges faster than any power of its step. Cost: about 180 evaluations for each part but the last, to
/// the power of their number; [`Length`] is for longer chains.
pub fn at_most(parts: &[LogNormal], length: f64) -> Option<f64> {
    if 4 < parts.len() {
        return None;
    }
    let (last, others) = parts.split_last()?;
    Some(convolved(others, *last, length))
}

fn convolved(others: &[LogNormal], last: LogNormal, length: f64) -> f64 {
    const STEP: f64 = 0.1;
    let Some((first, rest)) = others.split_first() else { return last.at_most(length) };
    let mut sum = 0.0;
    for index in -90..=90 {
        let z = f64::from(index) * STEP;
        let left = length - exp(first.log_mean + first.log_sd * z);
        if left <= 0.0 {
            break;
        }
        sum += STEP * normal_density(z) * convolved(rest, last, left);
    }
    sum
}

/// An uncertain length on a grid: probability of each cell, the last of which holds all that is longer.
#[derive(Debug, Clone, PartialEq)]
pub struct Length {
    step: f64,
    cells: Vec<f64>,
}

impl Length {
    /// A log-normal length on a grid of `step`, up to `longest`.
    ///
    /// Each cell `i` stands for the length `i · step` and holds what lies within half a step of it, so that means
    /// are kept.
    pub fn of(law: LogNormal, step: f64, longest: f64) -> Self {
        let count = (longest / step).ceil() as usize + 1;
        let mut cells = Vec::with_capacity(count);
        let mut below = 0.0;
        for index in 0..count {
            let until = if index + 1 == count { 1.0 } else { law.at_most((index as f64 + 0.5) * step) };
            cells.push(until - below);
            below = until;
        }
        Self { step, cells }
    }

    /// This and then that, which must be on the same grid and independent.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        debug_assert!(self.step.to_bits() == next.step.to_bits() && self.cells.len() == next.cells.len());
        let last = self.cells.len() - 1;
        let mut cells = vec![0.0; self.cells.len()];
        for (i, a) in self.cells.iter().enumerate().filter(|(_, a)| **a > 0.0) {
            let fits = last - i;
            for (j, b) in next.cells[..fits].iter().enumerate() {
                cells[i + j] += a * b;
            }
            cells[last] += a * next.cells[fits..].iter().fold(0.0, |sum, b| sum + b);
        }
        Self { step: self.step, cells }
    }

    /// Until both are done: the later of two independent lengths on the same grid.
    #[must_use]
    pub fn both(&self, other: &Self) -> Self {
        debug_assert!(self.step.to_bits() == other.step.to_bits() && self.cells.len() == other.cells.len());
        let (mut own, mut theirs, mut before) = (0.0, 0.0, 0.0);
        let joined = self.cells.iter().zip(&other.cells).map(|(a, b)| {
            own += a;
            theirs += b;
            let cell = own * theirs - before;
            before = own * theirs;
            cell
        });
        Self { step: self.step, cells: joined.collect() }
    }

    /// Probability of at most this length; half a cell's worth is interpolated.
    pub fn at_most(&self, length: f64) -> f64 {
        let at = length / self.step + 0.5;
        if at <= 0.0 {
            return 0.0;
        }
        let whole = (at.floor() as usize).min(self.cells.len() - 1);
        let below = self.cells[..whole].iter().fold(0.0, |sum, cell| sum + cell);
        if whole + 1 >= self.cells.len() {
            return below;
        }
        below + (at - whole as f64) * self.cells[whole]
    }

    /// The length that this stays below with probability `p`; infinite when it is beyond the grid.
    pub fn quantile(&self, p: f64) -> f64 {
        let mut below = 0.0;
        for (index, cell) in self.cells[..self.cells.len() - 1].iter().enumerate() {
            if p <= below + cell && *cell > 0.0 {
                return ((index as f64 - 0.5) + (p - below) / cell).max(0.0) * self.step;
            }
            below += cell;
        }
        f64::INFINITY
    }

    /// Mean length, where nothing lies beyond the grid.
    pub fn mean(&self) -> f64 {
        self.cells.iter().enumerate().fold(0.0, |sum, (index, cell)| sum + index as f64 * self.step * cell)
    }
}
