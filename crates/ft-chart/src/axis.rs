//! Scales and round ticks.

use ft_maths::{log10, pow};

/// A linear scale from values to places.
#[derive(Debug, Clone, Copy)]
pub struct Scale {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
}

impl Scale {
    /// Maps `low..high` to `from..to`; an empty range is widened by one.
    pub fn new(low: f64, high: f64, from: f64, to: f64) -> Self {
        let high = if high > low { high } else { low + 1.0 };
        Self { low, high, from, to }
    }

    /// Where a value stands.
    pub fn place(&self, value: f64) -> f64 {
        self.from + (value - self.low) / (self.high - self.low) * (self.to - self.from)
    }

    /// Round values within the range, about `wanted` of them.
    pub fn ticks(&self, wanted: f64) -> Vec<f64> {
        let rough = (self.high - self.low) / wanted;
        let power = pow(10.0, log10(rough).floor());
        let step = [1.0, 2.0, 5.0, 10.0].into_iter().find(|m| m * power >= rough).unwrap_or(10.0) * power;
        let first = (self.low / step).ceil() as i64;
        let last = (self.high / step + 1e-9).floor() as i64;
        (first..=last).map(|n| n as f64 * step).collect()
    }
}

/// A tick as text: at most two decimals, none that are zero.
pub fn label(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Fewer points with nothing lost to the eye: from each of `buckets` equal parts its first, lowest, highest and last.
///
/// A short excursion is the one thing that a chart of a long log must not lose.
pub fn thinned(points: &[(f64, f64)], buckets: usize) -> Vec<(f64, f64)> {
    if points.len() <= 4 * buckets {
        return points.to_vec();
    }
    let mut kept = Vec::with_capacity(4 * buckets);
    for part in points.chunks(points.len().div_ceil(buckets)) {
        let by_height =
            |(_, one): &(usize, &(f64, f64)), (_, other): &(usize, &(f64, f64))| one.1.total_cmp(&other.1);
        let lowest = part.iter().enumerate().min_by(by_height).map_or(0, |(index, _)| index);
        let highest = part.iter().enumerate().max_by(by_height).map_or(0, |(index, _)| index);
        let mut indexes = [0, lowest, highest, part.len() - 1];
        indexes.sort_unstable();
        for (place, index) in indexes.iter().enumerate() {
            if place == 0 || indexes[place - 1] != *index {
                kept.push(part[*index]);
            }
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::{Scale, label, thinned};

    #[test]
    fn ticks_are_round_and_inside() {
        assert_eq!(Scale::new(0.0, 24.0, 0.0, 1.0).ticks(6.0), [0.0, 5.0, 10.0, 15.0, 20.0]);
        assert_eq!(Scale::new(-0.1, 0.35, 0.0, 1.0).ticks(5.0).len(), 5);
        assert_eq!(label(0.1 + 0.2), "0.3");
        assert_eq!(Scale::new(3.0, 3.0, 0.0, 100.0).place(3.0).to_bits(), 0.0_f64.to_bits());
    }

    #[test]
    fn a_spike_outlives_thinning() {
        let mut points: Vec<(f64, f64)> = (0..100_000).map(|n| (f64::from(n), 3.0)).collect();
        points[77_777].1 = 25.0;
        let kept = thinned(&points, 300);
        assert!(kept.len() <= 1200);
        assert!(kept.contains(&(77_777.0, 25.0)));
        assert!(kept.windows(2).all(|pair| pair[0].0 < pair[1].0), "still in order");
    }
}
