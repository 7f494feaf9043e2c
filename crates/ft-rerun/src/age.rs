//! How old the blend is, by volume and by count.
//!
//! In a stirred hopper the oldest part never quite goes: it is a share `f^d` after `d` days. On a rack of tubs that
//! are served oldest first it goes altogether. Which of the two it is has to be asked. The *bacteria* are older
//! than the volume: the share of the count that descends from mix older than `d` days is `(f g)^d`.

use ft_maths::pow;

/// Share of the volume older than `days`, well mixed, carried share `f`.
pub fn share_older(f: f64, days: u32) -> f64 {
    pow(f, f64::from(days))
}

/// Share of the count that descends from mix older than `days`, when the chain has settled (`f g < 1`).
pub fn count_share_older(f: f64, g: f64, days: u32) -> f64 {
    pow(f * g, f64::from(days))
}

/// Mean age of the volume in days when it was never discarded: `f / (1 - f)`.
pub fn mean_days(f: f64) -> f64 {
    f / (1.0 - f)
}

/// Mean age `days` days after everything was discarded: `f (1 - f^days) / (1 - f)`.
pub fn mean_days_since_discard(f: f64, days: u32) -> f64 {
    mean_days(f) * (1.0 - share_older(f, days))
}

/// Days until at most `share` of the volume is as old, `0 < f < 1` and `0 < share < 1`.
pub fn days_to_share(f: f64, share: f64) -> u32 {
    // Counted rather than computed from logarithms, which may fall on the wrong side of a whole number.
    let mut left = 1.0;
    let mut days = 0;
    while left > share && days < 10_000 {
        left *= f;
        days += 1;
    }
    days
}

/// Share of the volume older than `days` after unequal nights: the product of the last `days` carried shares.
pub fn share_older_unequal(shares: &[f64], days: usize) -> f64 {
    shares.iter().rev().take(days).product()
}

/// Share of a constant-volume, well-mixed barrel that is left of what was in it, after `through` litres have run
/// through `volume` litres: `e^(-through/volume)`.
pub fn share_left_in_barrel(volume: f64, through: f64) -> f64 {
    ft_maths::exp(-through / volume)
}
