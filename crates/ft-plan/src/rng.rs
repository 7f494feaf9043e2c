//! Chance from a seed: `SplitMix64`, so that the same seed gives the same plan on every machine.
//!
//! Source: Steele, Lea and Flood 2014, "Fast splittable pseudorandom number generators", OOPSLA (constants from memory).

/// A stream of numbers that its seed decides.
#[derive(Debug, Clone)]
pub struct Rng(u64);

impl Rng {
    /// The stream of a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number.
    pub fn next_u64(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number in `0..count`; 0 where `count` is 0.
    pub fn below(&mut self, count: usize) -> usize {
        ((u128::from(self.next_u64()) * count as u128) >> 64) as usize
    }

    /// A number in `0.0..1.0`.
    pub fn unit(&mut self) -> f64 {
        (self.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }
}
