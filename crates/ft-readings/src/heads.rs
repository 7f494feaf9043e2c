//! Which heads of a machine to sample, and how often.

/// Where a sample is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Head {
    /// A barrel's own head, counted from 1.
    Barrel(u32),
    /// The head between two barrels that draws from both, named by the left one, counted from 1.
    Twist(u32),
}

/// The samples of one machine: each barrel, and the twist between each pair that shares one.
///
/// `barrels` counts all; pairs share a twist head from the left, so that two barrels give three samples, four give
/// six, and a single one gives one. Source: published practice in Pennsylvania, a sample from each barrel or head of
/// each machine including the centre twist (PA Department of Agriculture, Frozen Dessert Testing sheet).
pub fn samples(barrels: u32) -> Vec<Head> {
    let mut heads: Vec<Head> = (1..=barrels).map(Head::Barrel).collect();
    heads.extend((1..barrels).step_by(2).map(Head::Twist));
    heads
}

/// How often to sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Interval {
    /// Every week, until three in a row passed.
    Weekly,
    /// Every month, after three in a row passed.
    Monthly,
}

/// How often a machine is sampled, from its rounds so far in order of time, each `true` when all its heads passed.
///
/// Source: as [`samples`]. After a failed round the weekly rhythm begins again.
pub fn interval(rounds_passed: &[bool]) -> Interval {
    let in_a_row = rounds_passed.iter().rev().take_while(|passed| **passed).count();
    // Once the rhythm is monthly it stays so until a round fails, and that ends the row.
    if 3 <= in_a_row { Interval::Monthly } else { Interval::Weekly }
}
