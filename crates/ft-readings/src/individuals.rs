//! The chart of single readings and their moving range, with rules that signal.
//!
//! The spread is estimated from the differences of neighbours, so that a slow drift does not hide itself by
//! widening its own limits.

use ft_stats::maths::{mean, sqrt};

use crate::{BadReadings, checked};

/// Expected range of two readings of a normal process over its standard deviation: `2/√π` = 1.128 (d₂ for 2).
pub const D2: f64 = std::f64::consts::FRAC_2_SQRT_PI;

/// Centre and limits of a chart of single readings, in the unit of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Mean of the readings.
    pub centre: f64,
    /// Mean of the moving ranges.
    pub mean_range: f64,
    /// Standard deviation from the moving ranges: `mean_range / 1.128`.
    pub sigma: f64,
    /// Lower limit: three standard deviations below the centre.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// Upper limit of a moving range: 3.267 times its mean, to the digits of tables.
    pub range_high: f64,
}

/// Limits from readings in order of time, of which at least two must be given, finite and not all equal.
///
/// The constants are computed, not taken from a table of rounded ones; the fourth digit of a limit may differ from a
/// textbook's for that reason. Source: NIST/SEMATECH e-Handbook 6.3.2.2.
///
/// # Errors
/// [`BadReadings`].
pub fn limits(readings: &[f64]) -> Result<Limits, BadReadings> {
    let with_gaps: Vec<_> = readings.iter().copied().map(Some).collect();
    limits_with_gaps(&with_gaps)
}

/// As [`limits`], where `None` is a gap: no difference is taken across it, and it counts as unknown.
///
/// # Errors
/// [`BadReadings`].
pub fn limits_with_gaps(readings: &[Option<f64>]) -> Result<Limits, BadReadings> {
    let known: Vec<f64> = readings.iter().flatten().copied().collect();
    checked(&known, 2)?;
    let ranges = moving_ranges(readings);
    if ranges.is_empty() {
        return Err(BadReadings::TooFew { have: 1, need: 2 });
    }
    let mean_range = mean(&ranges);
    if mean_range <= 0.0 {
        return Err(BadReadings::NoSpread);
    }
    let (centre, sigma) = (mean(&known), mean_range / D2);
    // Standard deviation of the range of two over σ: d₃ = √(2 - 4/π).
    let d3 = sqrt(2.0 - 4.0 / std::f64::consts::PI);
    Ok(Limits {
        centre,
        mean_range,
        sigma,
        low: centre - 3.0 * sigma,
        high: centre + 3.0 * sigma,
        range_high: mean_range * (1.0 + 3.0 * d3 / D2),
    })
}

/// Absolute differences of neighbours that have no gap between them.
pub fn moving_ranges(readings: &[Option<f64>]) -> Vec<f64> {
    readings.windows(2).filter_map(|pair| Some((pair[1]? - pair[0]?).abs())).collect()
}

/// Why a point of the chart signals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rule {
    /// Beyond a limit: more than three standard deviations from the centre.
    Beyond,
    /// Two of three in a row beyond two standard deviations on the same side.
    TwoOfThree,
    /// Four of five in a row beyond one standard deviation on the same side.
    FourOfFive,
    /// Eight in a row on the same side.
    EightInARow,
}

impl Rule {
    /// A word or two for a chart.
    pub fn words(self) -> &'static str {
        match self {
            Self::Beyond => "beyond limit",
            Self::TwoOfThree => "2 of 3 far",
            Self::FourOfFive => "4 of 5 off",
            Self::EightInARow => "8 on one side",
        }
    }
}

/// Points that signal: number counted from 1, and the first rule that it breaks; sorted by number.
///
/// A point signals only when it is itself part of the pattern that it completes. The three rules beside the limit
/// find drift sooner at the price of false alarms: one in about 92 readings instead of one in 370 of a steady
/// normal process. Source: NIST/SEMATECH e-Handbook 6.3.2 (the WECO rules); run lengths: Champ & Woodall 1987
/// (from memory), checked by simulation in the tests.
pub fn signals(readings: &[f64], centre: f64, sigma: f64) -> Vec<(usize, Rule)> {
    let scores: Vec<f64> = readings.iter().map(|x| (x - centre) / sigma).collect();
    (0..scores.len()).filter_map(|last| Some((last + 1, broken(&scores[..=last])?))).collect()
}

/// The first rule that the last score breaks.
fn broken(scores: &[f64]) -> Option<Rule> {
    let last = *scores.last()?;
    let side = if last >= 0.0 { 1.0 } else { -1.0 };
    // How many of the last `window` lie beyond `far` on the side of the last one, if that one does too.
    let beyond = |window: usize, far: f64| {
        if last * side <= far {
            return 0;
        }
        let start = scores.len().saturating_sub(window);
        scores[start..].iter().filter(|score| **score * side > far).count()
    };
    if beyond(1, 3.0) == 1 {
        Some(Rule::Beyond)
    } else if beyond(3, 2.0) >= 2 {
        Some(Rule::TwoOfThree)
    } else if beyond(5, 1.0) >= 4 {
        Some(Rule::FourOfFive)
    } else if beyond(8, 0.0) >= 8 {
        Some(Rule::EightInARow)
    } else {
        None
    }
}

/// Correlation of neighbours (lag 1), from -1 to 1; 0 for fewer than three readings or without spread.
///
/// Beyond `2/√n` on either side the limits of a chart do not mean what they say: a cold room with defrost cycles
/// cries wolf. Source: NIST/SEMATECH e-Handbook 1.3.5.12.
pub fn autocorrelation(readings: &[f64]) -> f64 {
    if readings.len() < 3 {
        return 0.0;
    }
    let centre = mean(readings);
    let spread = ft_stats::maths::sum_of_squares(readings);
    let together = readings.windows(2).fold(0.0, |sum, pair| sum + (pair[0] - centre) * (pair[1] - centre));
    if spread > 0.0 { together / spread } else { 0.0 }
}
