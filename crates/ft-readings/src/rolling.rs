//! Rules of the form "fails when k of the last n exceed".

use ft_stats::distribution::binomial_cdf;

/// A rule over the last results: fails when `k` of the last `n` exceed; 1 to 16 results.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rolling {
    k: u32,
    n: u32,
}

/// What a history says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Fewer than k - 1 of the last n exceed.
    Passes,
    /// One more that exceeds, next time, fails.
    OneMoreFails,
    /// k or more of the last n exceed.
    Fails,
}

impl Rolling {
    /// `k` of the last `n`; `None` unless `1 <= k <= n <= 16`.
    pub fn new(k: u32, n: u32) -> Option<Self> {
        (1 <= k && k <= n && n <= 16).then_some(Self { k, n })
    }

    /// Judges results in order of time, each `true` when it exceeds its limit; only the last n count.
    ///
    /// Source: the form of "3 of the last 5" in US state rules on frozen desserts.
    pub fn judge(&self, exceeds: &[bool]) -> Verdict {
        let count_last = |n: usize| exceeds.iter().rev().take(n).filter(|e| **e).count() as u32;
        if self.k <= count_last(self.n as usize) {
            Verdict::Fails
        } else if self.k == count_last(self.n as usize - 1) + 1 {
            Verdict::OneMoreFails
        } else {
            Verdict::Passes
        }
    }

    /// Probability that the rule fails on any given last n, when each result exceeds with chance `share`.
    pub fn fails_now(&self, share: f64) -> f64 {
        1.0 - binomial_cdf(u64::from(self.k) - 1, u64::from(self.n), share)
    }

    /// Probability that the rule has failed at least once within the first `samples` results.
    ///
    /// Exact: follows the odds of every pattern of the last n - 1 results. Cost: `samples · 2^(n-1)`.
    pub fn fails_within(&self, samples: u32, share: f64) -> f64 {
        let patterns = 1usize << (self.n - 1);
        let mut odds = vec![0.0; patterns];
        odds[0] = 1.0;
        let mut failed = 0.0;
        for _ in 0..samples {
            let mut next = vec![0.0; patterns];
            for (pattern, chance) in odds.iter().enumerate().filter(|(_, chance)| **chance > 0.0) {
                let mask = patterns - 1;
                next[(pattern << 1) & mask] += chance * (1.0 - share);
                if self.k <= pattern.count_ones() + 1 {
                    failed += chance * share;
                } else {
                    next[((pattern << 1) | 1) & mask] += chance * share;
                }
            }
            odds = next;
        }
        failed
    }
}
