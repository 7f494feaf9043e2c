//! Three-point estimates and networks of activities, as textbooks have them, and what they leave out.
//!
//! The formula of the critical path is too hopeful wherever paths meet: the later of two uncertain ends is later than
//! either. [`simulate`] shows by how much.

use ft_stats::distribution::{beta_cdf, normal_cdf};
use ft_stats::maths::sqrt;

/// The least, the likeliest and the greatest length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreePoint {
    /// Least.
    pub least: f64,
    /// Likeliest.
    pub likeliest: f64,
    /// Greatest.
    pub greatest: f64,
}

impl ThreePoint {
    /// Mean: `(a + 4m + b)/6`.
    pub fn mean(&self) -> f64 {
        (self.least + 4.0 * self.likeliest + self.greatest) / 6.0
    }

    /// Variance: `((b - a)/6)²`.
    pub fn variance(&self) -> f64 {
        let sixth = (self.greatest - self.least) / 6.0;
        sixth * sixth
    }

    /// Length at a share `p` of the beta law with these three points, from a table of 1,024 steps.
    fn table(&self) -> Vec<f64> {
        const STEPS: usize = 1024;
        let width = self.greatest - self.least;
        if width <= 0.0 {
            return vec![self.least; 2];
        }
        let a = 1.0 + 4.0 * (self.likeliest - self.least) / width;
        let b = 1.0 + 4.0 * (self.greatest - self.likeliest) / width;
        let shares: Vec<f64> =
            (0..=STEPS * 4).map(|i| beta_cdf(i as f64 / (STEPS * 4) as f64, a, b)).collect();
        let mut at = 0;
        (0..=STEPS)
            .map(|step| {
                let share = step as f64 / STEPS as f64;
                while at + 2 < shares.len() && shares[at + 1] < share {
                    at += 1;
                }
                let (low, high) = (shares[at], shares[at + 1]);
                let within = if high > low { ((share - low) / (high - low)).clamp(0.0, 1.0) } else { 0.0 };
                self.least + width * (at as f64 + within) / (STEPS * 4) as f64
            })
            .collect()
    }
}

/// An activity with those that must end before it begins.
#[derive(Debug, Clone, PartialEq)]
pub struct Activity {
    /// Its name.
    pub name: String,
    /// How long it takes.
    pub length: ThreePoint,
    /// Places in the list, counted from 0, all before its own.
    pub after: Vec<usize>,
}

/// The critical path by mean lengths.
#[derive(Debug, Clone, PartialEq)]
pub struct CriticalPath {
    /// Places of its activities, from first to last.
    pub path: Vec<usize>,
    /// Its mean length.
    pub mean: f64,
    /// Its variance.
    pub variance: f64,
}

impl CriticalPath {
    /// Probability of ending by then, as the formula has it: of this path alone, as if its length were normal.
    pub fn ends_by(&self, length: f64) -> f64 {
        ends_by(self.mean, self.variance, length)
    }
}

/// Probability that a normal length with this mean and variance is at most `length`.
pub fn ends_by(mean: f64, variance: f64, length: f64) -> f64 {
    normal_cdf((length - mean) / sqrt(variance))
}

/// The critical path of a network; `None` if it is empty or an activity names one that does not come before it.
///
/// Among equally long paths the one whose activities come first in the list.
pub fn critical_path(network: &[Activity]) -> Option<CriticalPath> {
    let ends = ends(network, |index| network[index].length.mean())?;
    let last = first_greatest(0..network.len(), &ends)?;
    let mut path = vec![last];
    while let Some(before) = first_greatest(network[path[path.len() - 1]].after.iter().copied(), &ends) {
        path.push(before);
    }
    path.reverse();
    let variance = path.iter().fold(0.0, |sum, index| sum + network[*index].length.variance());
    Some(CriticalPath { mean: ends[last], variance, path })
}

fn first_greatest(places: impl Iterator<Item = usize>, ends: &[f64]) -> Option<usize> {
    places.fold(None, |best, place| match best {
        Some(found) if ends[place] <= ends[found] => best,
        _ => Some(place),
    })
}

/// When each activity ends, if each starts as soon as it may.
fn ends(network: &[Activity], length: impl Fn(usize) -> f64) -> Option<Vec<f64>> {
    let mut ends: Vec<f64> = Vec::with_capacity(network.len());
    for (index, activity) in network.iter().enumerate() {
        let mut start = 0.0f64;
        for before in &activity.after {
            start = start.max(*ends.get(*before)?);
        }
        ends.push(start + length(index));
    }
    (!ends.is_empty()).then_some(ends)
}

/// What many simulated nights gave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Simulated {
    /// Mean length.
    pub mean: f64,
    /// Standard deviation of the length.
    pub sd: f64,
    /// Share that ended by the length asked for.
    pub ends_by: f64,
}

/// Simulates a network `draws` times with beta lengths; the same seed gives the same answer. `None` as
/// [`critical_path`].
///
/// Draws are stratified: each activity visits each of `draws` equal shares of its law once, in an order of its own
/// (a Latin hypercube, from memory), which needs far fewer draws than plain chance.
pub fn simulate(network: &[Activity], by: f64, draws: usize, seed: u64) -> Option<Simulated> {
    let mut random = Random { state: seed };
    let lengths: Vec<Vec<f64>> =
        network.iter().map(|activity| stratified(&activity.length.table(), draws, &mut random)).collect();
    let (mut sum, mut squares, mut in_time) = (0.0, 0.0, 0usize);
    // One night takes the same place in each activity's list, so that the loop is over places.
    #[allow(clippy::needless_range_loop)]
    for draw in 0..draws {
        let ends = ends(network, |index| lengths[index][draw])?;
        let end = ends.iter().copied().fold(0.0, f64::max);
        sum += end;
        squares += end * end;
        in_time += usize::from(end <= by);
    }
    let count = draws as f64;
    let mean = sum / count;
    let sd = sqrt((squares / count - mean * mean).max(0.0));
    Some(Simulated { mean, sd, ends_by: in_time as f64 / count })
}

/// One length from each of `draws` equal shares, shuffled.
fn stratified(table: &[f64], draws: usize, random: &mut Random) -> Vec<f64> {
    let steps = (table.len() - 1) as f64;
    let mut lengths: Vec<f64> = (0..draws)
        .map(|stratum| {
            let at = (stratum as f64 + random.share()) / draws as f64 * steps;
            let index = (at as usize).min(table.len() - 2);
            table[index] + (at - index as f64) * (table[index + 1] - table[index])
        })
        .collect();
    for index in (1..draws).rev() {
        lengths.swap(index, random.below(index + 1));
    }
    lengths
}

/// The generator `SplitMix64`: one addition and three mixings, the same on every machine.
///
/// Source: Steele, Lea & Flood 2014 (from memory; first outputs checked in the tests).
#[derive(Debug, Clone)]
pub struct Random {
    /// The seed, then the state.
    pub state: u64,
}

impl Random {
    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number above 0 and below 1.
    pub fn share(&mut self) -> f64 {
        ((self.bits() >> 12) as f64 + 0.5) / (1u64 << 52) as f64
    }

    /// A whole number from 0 to below `bound`, by the high half of a product: no modulo, a bias below 2⁻⁴⁰ for
    /// bounds up to 2²⁴.
    pub fn below(&mut self, bound: usize) -> usize {
        ((u128::from(self.bits()) * bound as u128) >> 64) as usize
    }
}
