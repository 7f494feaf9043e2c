//! Average run length: how many readings until a chart signals, when it should and when it should not.
//!
//! All lengths are for independent normal readings and for a chart that starts at its target; shifts are in standard
//! deviations of a reading. Cold rooms are not independent: their charts signal sooner.

use ft_stats::distribution::{normal_cdf, normal_density, normal_tail};
use ft_stats::maths::sqrt;

const NODES: usize = 60;

/// Run length of a chart of single readings with limits `width` standard deviations from the centre.
pub fn shewhart(width: f64, shift: f64) -> f64 {
    1.0 / (normal_tail(width - shift) + normal_tail(width + shift))
}

/// Run length of a one-sided cumulative sum with slack `k` and decision interval `h`, in standard deviations, when
/// the process is `shift` above its target.
///
/// Solves Page's integral equation on Gauss-Legendre nodes.
/// Source: Page 1954, Goel & Wu 1971 (as described in the manual pages of SAS/QC and of the R package spc).
pub fn cusum_one_sided(k: f64, h: f64, shift: f64) -> f64 {
    let (nodes, weights) = gauss_legendre(NODES, 0.0, h);
    // Unknowns: the run length from 0, then from each node.
    let starts: Vec<f64> = std::iter::once(0.0).chain(nodes.iter().copied()).collect();
    let row = |start: &f64| -> Vec<f64> {
        let at_zero = normal_cdf(k - start - shift);
        let moved = nodes.iter().zip(&weights).map(|(x, w)| w * normal_density(x - start + k - shift));
        std::iter::once(at_zero).chain(moved).collect()
    };
    run_lengths(starts.iter().map(row).collect())[0]
}

/// Run length of a two-sided cumulative sum: `1/L = 1/L⁺ + 1/L⁻`, exact for a start at 0.
pub fn cusum(k: f64, h: f64, shift: f64) -> f64 {
    1.0 / (1.0 / cusum_one_sided(k, h, shift) + 1.0 / cusum_one_sided(k, h, -shift))
}

/// Run length of a two-sided moving average with settled limits, started at the target.
///
/// Limits that start narrower, as [`crate::ewma`] draws them, signal a little sooner.
/// Source: Crowder 1987, Lucas & Saccucci 1990 (from memory); checked by simulation in the tests.
pub fn ewma(weight: f64, width: f64, shift: f64) -> f64 {
    let reach = width * sqrt(weight / (2.0 - weight));
    let (nodes, weights) = gauss_legendre(NODES, -reach, reach);
    let starts: Vec<f64> = std::iter::once(0.0).chain(nodes.iter().copied()).collect();
    let row = |start: &f64| -> Vec<f64> {
        let density = |x: &f64| normal_density((x - (1.0 - weight) * start) / weight - shift) / weight;
        std::iter::once(0.0).chain(nodes.iter().zip(&weights).map(|(x, w)| w * density(x))).collect()
    };
    run_lengths(starts.iter().map(row).collect())[0]
}

/// Solves `L = 1 + Q L` for a square `Q` by elimination with pivots.
fn run_lengths(mut q: Vec<Vec<f64>>) -> Vec<f64> {
    let size = q.len();
    for (index, row) in q.iter_mut().enumerate() {
        for value in row.iter_mut() {
            *value = -*value;
        }
        row[index] += 1.0;
        row.push(1.0);
    }
    for column in 0..size {
        let best = (column..size).max_by(|a, b| q[*a][column].abs().total_cmp(&q[*b][column].abs()));
        q.swap(column, best.unwrap_or(column));
        let (above, below) = q.split_at_mut(column + 1);
        let pivot = &above[column];
        for row in below {
            let factor = row[column] / pivot[column];
            for (value, from) in row[column..].iter_mut().zip(&pivot[column..]) {
                *value -= factor * from;
            }
        }
    }
    let mut lengths = vec![0.0; size];
    for row in (0..size).rev() {
        let known = (row + 1..size).fold(0.0, |sum, column| sum + q[row][column] * lengths[column]);
        lengths[row] = (q[row][size] - known) / q[row][row];
    }
    lengths
}

/// Nodes and weights of Gauss and Legendre's rule between two ends, by Newton's method from Chebyshev's nodes.
fn gauss_legendre(count: usize, low: f64, high: f64) -> (Vec<f64>, Vec<f64>) {
    let (middle, half) = (f64::midpoint(low, high), (high - low) / 2.0);
    let mut nodes = Vec::with_capacity(count);
    let mut weights = Vec::with_capacity(count);
    for index in 0..count {
        let mut x =
            -ft_stats::maths::cos(std::f64::consts::PI * (index as f64 + 0.75) / (count as f64 + 0.5));
        let mut slope = 1.0;
        for _ in 0..100 {
            let (value, derivative) = legendre(count, x);
            slope = derivative;
            let step = value / derivative;
            x -= step;
            if step.abs() < 1e-15 {
                break;
            }
        }
        nodes.push(middle + half * x);
        weights.push(half * 2.0 / ((1.0 - x * x) * slope * slope));
    }
    (nodes, weights)
}

/// Legendre's polynomial of a degree of at least 1, and its slope, at `x`.
fn legendre(degree: usize, x: f64) -> (f64, f64) {
    let (mut before, mut value) = (1.0, x);
    for n in 2..=degree {
        let n = n as f64;
        (before, value) = (value, ((2.0 * n - 1.0) * x * value - (n - 1.0) * before) / n);
    }
    (value, degree as f64 * (x * value - before) / (x * x - 1.0))
}
