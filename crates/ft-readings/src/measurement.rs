//! What a measurement can tell: uncertainty beside a limit, strips that read a band, and the least that is seen.

use ft_stats::maths::{mean, standard_deviation};

use crate::{BadReadings, checked};

/// What a reading says about a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// All that the true value may be is within the limits.
    Within,
    /// Part of what the true value may be is outside: take it as not shown, and measure again or better.
    TooCloseToTell,
    /// All that the true value may be is outside the limits.
    Outside,
}

/// Limits of a rule or label in the unit of the reading; both ends are allowed values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Least allowed value, if any.
    pub low: Option<f64>,
    /// Greatest allowed value, if any.
    pub high: Option<f64>,
}

/// Judges a band that the true value lies in: what a strip shows, or a reading with its uncertainty on both sides.
///
/// Source: the guarded acceptance of JCGM 106:2012 and ISO 14253-1 (from memory): conformity is shown only when the
/// whole band is inside.
pub fn judge(low: f64, high: f64, limits: Limits) -> Verdict {
    let inside = limits.low.is_none_or(|least| least <= low) && limits.high.is_none_or(|most| high <= most);
    let outside = limits.low.is_some_and(|least| high < least) || limits.high.is_some_and(|most| most < low);
    if inside {
        Verdict::Within
    } else if outside {
        Verdict::Outside
    } else {
        Verdict::TooCloseToTell
    }
}

/// The least that a method can tell from nothing, in the unit of the blanks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Detection {
    /// A reading above this is something: 1 in 20 readings of nothing is above it.
    pub critical: f64,
    /// What is truly there is seen 19 times in 20 from here on.
    pub detection: f64,
    /// A number may be given from here on, good to about a tenth.
    pub quantification: f64,
}

/// Limits from readings of blanks, at least five, as they would be for a well-known blank:
/// mean plus 1.645, 3.29 and 10 standard deviations.
///
/// Source: Currie 1968, Analytical Chemistry 40:586, the column for a well-known blank (from memory).
///
/// # Errors
/// [`BadReadings`].
pub fn detection(blanks: &[f64]) -> Result<Detection, BadReadings> {
    checked(blanks, 5)?;
    let (centre, spread) = (mean(blanks), standard_deviation(blanks));
    if spread <= 0.0 {
        return Err(BadReadings::NoSpread);
    }
    let at = |times: f64| centre + times * spread;
    Ok(Detection { critical: at(1.645), detection: at(3.29), quantification: at(10.0) })
}
