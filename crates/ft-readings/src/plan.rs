//! Sampling plans by attributes: n samples, at most c above m, none above M; and the odds that a bad lot passes.

use std::fmt;

use ft_stats::distribution::{binomial, binomial_cdf, hypergeometric_cdf, normal_tail};
use ft_stats::maths::pow;
use ft_stats::root::root;

/// A plan: `n` samples of which at most `c` may be above `m`, and none above `big_m` where there is one.
///
/// Two classes without `big_m`, three with it. Limits in the unit of the counts, such as colonies per gram.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    n: u32,
    c: u32,
    m: f64,
    big_m: Option<f64>,
}

/// Why a plan makes no sense.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BadPlan {
    /// No samples.
    NoSamples,
    /// As many or more may exceed than are taken, so that the plan refuses nothing.
    RefusesNothing,
    /// `M` is not above `m`, or a limit is negative or not a number.
    Limits,
}

impl fmt::Display for BadPlan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoSamples => "n is 0, and a plan takes at least one sample",
            Self::RefusesNothing => "c is not below n, so that samples above m never refuse a lot",
            Self::Limits => "m must be a number of 0 or more, and M above m",
        })
    }
}

impl std::error::Error for BadPlan {}

/// A laboratory's count.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Count {
    /// A number.
    Counted(f64),
    /// Below what the method counts, such as "<10".
    Below(f64),
    /// Above what the method counts, such as ">30000".
    Above(f64),
}

/// What a lot's counts say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// All at or below m.
    Satisfactory,
    /// At most c above m, none above M.
    Acceptable,
    /// More than c above m, or one above M.
    Unsatisfactory,
    /// Fewer or more counts than samples, or a count such as "<100" beside a limit of 10 that could be either.
    CannotTell,
}

impl Plan {
    /// A plan with two classes, or three with `big_m`.
    ///
    /// # Errors
    /// [`BadPlan`].
    pub fn new(n: u32, c: u32, m: f64, big_m: Option<f64>) -> Result<Self, BadPlan> {
        if n == 0 {
            return Err(BadPlan::NoSamples);
        }
        if c >= n && big_m.is_none() {
            return Err(BadPlan::RefusesNothing);
        }
        if !(m >= 0.0 && m.is_finite()) || big_m.is_some_and(|big_m| !(big_m > m && big_m.is_finite())) {
            return Err(BadPlan::Limits);
        }
        Ok(Self { n, c, m, big_m })
    }

    /// Number of samples.
    pub fn n(&self) -> u32 {
        self.n
    }

    /// Number of samples that may be above m.
    pub fn c(&self) -> u32 {
        self.c
    }

    /// Judges a lot by its counts.
    ///
    /// Source: the rule of EU 2073/2005, Annex I, for n, c, m, M (from memory). Where a count could lie on either
    /// side of a limit, the answer is the worst if that does not change it, and [`Verdict::CannotTell`] if it does.
    pub fn judge(&self, counts: &[Count]) -> Verdict {
        if counts.len() != self.n as usize {
            return Verdict::CannotTell;
        }
        let highest: Vec<f64> = counts.iter().map(|count| ends(*count).1).collect();
        let lowest: Vec<f64> = counts.iter().map(|count| ends(*count).0).collect();
        let (worst, best) = (self.judge_exact(&highest), self.judge_exact(&lowest));
        if worst == best { worst } else { Verdict::CannotTell }
    }

    fn judge_exact(&self, counts: &[f64]) -> Verdict {
        let above = |limit: f64| counts.iter().filter(|count| limit < **count).count() as u32;
        if self.c < above(self.m) || self.big_m.is_some_and(|big_m| 0 < above(big_m)) {
            Verdict::Unsatisfactory
        } else if 0 < above(self.m) {
            Verdict::Acceptable
        } else {
            Verdict::Satisfactory
        }
    }

    /// Probability that a lot passes, of which the share `above_m` lies above m, the share `above_big_m` of it
    /// above M (0 for two classes; it counts into `above_m`).
    pub fn accepts(&self, above_m: f64, above_big_m: f64) -> f64 {
        if self.big_m.is_none() {
            return binomial_cdf(u64::from(self.c), u64::from(self.n), above_m);
        }
        if !(0.0 <= above_big_m && above_big_m <= above_m && above_m <= 1.0) {
            return f64::NAN;
        }
        // None above M, and of the rest, which lie below M, at most c above m.
        let below_big_m = 1.0 - above_big_m;
        if below_big_m <= 0.0 {
            return 0.0;
        }
        let marginal = ((above_m - above_big_m) / below_big_m).clamp(0.0, 1.0);
        pow(below_big_m, f64::from(self.n)) * at_most(self.c, self.n, marginal)
    }

    /// As [`Plan::accepts`] for two classes and a small lot, drawn without putting back.
    pub fn accepts_from_lot(&self, lot: u64, bad: u64) -> f64 {
        hypergeometric_cdf(u64::from(self.c), lot, bad, u64::from(self.n))
    }

    /// Probability that a lot passes whose counts are log-normal, with this mean and standard deviation of the
    /// decimal log.
    pub fn accepts_log_normal(&self, log10_mean: f64, log10_sd: f64) -> f64 {
        let above = |limit: f64| normal_tail((ft_stats::maths::log10(limit) - log10_mean) / log10_sd);
        self.accepts(above(self.m), self.big_m.map_or(0.0, above))
    }

    /// The share above m at which a lot passes with the given probability, for two classes.
    pub fn share_at(&self, probability: f64) -> Option<f64> {
        root(|share| at_most(self.c, self.n, share) - probability, 0.0, 1.0)
    }

    /// Average share of bad ones that leave after refused lots were sorted: `p Pa (N - n)/N`, for two classes.
    ///
    /// Source: NIST/SEMATECH e-Handbook 6.2.3.2.
    pub fn outgoing(&self, share: f64, lot: f64) -> f64 {
        share * at_most(self.c, self.n, share) * (lot - f64::from(self.n)) / lot
    }
}

fn at_most(c: u32, n: u32, share: f64) -> f64 {
    binomial_cdf(u64::from(c), u64::from(n), share)
}

/// The least and the greatest that a count may be.
fn ends(count: Count) -> (f64, f64) {
    match count {
        Count::Counted(number) => (number, number),
        // Strictly below: a "<10" passes a limit of 10 whatever it was.
        Count::Below(limit) => (0.0, limit.next_down()),
        Count::Above(limit) => (limit.next_up(), f64::INFINITY),
    }
}

/// The smallest plan with two classes that passes lots with a share of `good` at least with probability `1 - alpha`,
/// and lots with a share of `bad` at most with probability `beta`; `None` beyond 2,000 samples.
///
/// Source: NIST/SEMATECH e-Handbook 6.2.3.1, two points on the curve.
pub fn smallest(good: f64, alpha: f64, bad: f64, beta: f64) -> Option<(u32, u32)> {
    let mut c = 0;
    for n in 1..=2000 {
        // The smallest c that is kind enough to good lots; it only grows with n.
        while at_most(c, n, good) < 1.0 - alpha {
            c += 1;
        }
        if c < n && at_most(c, n, bad) <= beta {
            return Some((n, c));
        }
    }
    None
}

/// Probability that exactly `k` of the plan's samples are above m.
pub fn exactly(plan: &Plan, k: u32, share: f64) -> f64 {
    binomial(u64::from(k), u64::from(plan.n), share)
}

/// Reads a count as laboratories write it: `120`, `<10`, `>30000`.
pub fn parse_count(text: &str) -> Option<Count> {
    let text = text.trim();
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|n| n.is_finite() && *n >= 0.0);
    match text.chars().next()? {
        '<' => number(&text[1..]).map(Count::Below),
        '>' => number(&text[1..]).map(Count::Above),
        _ => number(text).map(Count::Counted),
    }
}
