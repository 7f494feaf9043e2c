//! Baselines of ATP swabs: what clean reads here, with this instrument.
//!
//! Light units are not comparable between instruments, a swab does not count microbes, and sanitiser left on a
//! surface can quench it: a pass is a sign of cleaning, not of safety.

use ft_stats::maths::{mean, standard_deviation};

use crate::{BadReadings, checked};

/// Limits of a surface, in the instrument's light units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Baseline {
    /// Pass at or below this.
    pub pass: f64,
    /// Fail at or above this; caution between the two.
    pub fail: f64,
}

/// What a swab says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// As clean as this surface usually is.
    Pass,
    /// Swab again; a second caution counts as a failure.
    Caution,
    /// Clean the whole step again, sanitise again, swab again.
    Fail,
}

/// Baseline from 20 or more swabs of surfaces that were accepted as clean: pass up to their mean, fail from their
/// mean plus three standard deviations.
///
/// By its make-up about half of all clean surfaces read a caution on the first swab.
/// Source: arithmetic read in public guidance without a brand (20 to 50 results); the lower end is enforced here.
///
/// # Errors
/// [`BadReadings`].
pub fn from_record(clean: &[f64]) -> Result<Baseline, BadReadings> {
    checked(clean, 20)?;
    let (centre, spread) = (mean(clean), standard_deviation(clean));
    if spread <= 0.0 {
        return Err(BadReadings::NoSpread);
    }
    Ok(Baseline { pass: centre, fail: centre + 3.0 * spread })
}

/// Baseline from 5 or more swabs after cleaning with great care at least twice: pass up to their mean, fail from
/// `times` (2 to 3) that mean.
///
/// Source: as [`from_record`] (5 to 10 replicates).
///
/// # Errors
/// [`BadReadings`]; `times` outside 2 to 3 is taken as the nearer end, the stricter for a number that is none.
pub fn from_trial(clean: &[f64], times: f64) -> Result<Baseline, BadReadings> {
    checked(clean, 5)?;
    let pass = mean(clean);
    let times = if times.is_nan() { 2.0 } else { times.clamp(2.0, 3.0) };
    Ok(Baseline { pass, fail: times * pass })
}

impl Baseline {
    /// What the first swab says.
    pub fn judge(&self, light: f64) -> Verdict {
        if light <= self.pass {
            Verdict::Pass
        } else if light < self.fail {
            Verdict::Caution
        } else {
            Verdict::Fail
        }
    }

    /// What a repeated swab says after a caution.
    pub fn judge_again(&self, light: f64) -> Verdict {
        match self.judge(light) {
            Verdict::Pass => Verdict::Pass,
            Verdict::Caution | Verdict::Fail => Verdict::Fail,
        }
    }
}
