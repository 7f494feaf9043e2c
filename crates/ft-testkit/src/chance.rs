//! Seeded chance: the generator `SplitMix64` (Steele, Lea, Flood, Fast splittable pseudorandom number generators, 2014).

/// A stream of pseudorandom numbers that its seed decides.
#[derive(Debug, Clone)]
pub struct Chance(u64);

impl Chance {
    /// The stream of this seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `end`, which must not be 0.
    pub fn below(&mut self, end: usize) -> usize {
        (self.bits() % end as u64) as usize
    }

    /// A number in `low..=high`.
    pub fn within(&mut self, low: usize, high: usize) -> usize {
        low + self.below(high - low + 1)
    }

    /// Yes in `percent` of 100 cases.
    pub fn percent(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }
}
