//! What a history adds up to: the dose, the time above a temperature, and when a dose is reached.

use crate::curve::RateCurve;
use crate::history::{History, Segment};

/// The dose `M = ∫ μ(T(t)) dt` of a whole history, in natural logs; never negative.
///
/// Without lag and far from the ceiling this is the natural log of the factor by which a count grows. Doses of
/// stretches add up, in any order. Cost: one pass.
pub fn dose(history: &History, curve: &RateCurve) -> f64 {
    history.segments().iter().map(|segment| dose_of(segment, curve)).sum()
}

/// The dose so far at the end of each stretch, as `(hours, natural logs)`, beginning with zero at the start.
pub fn track(history: &History, curve: &RateCurve) -> Vec<(f64, f64)> {
    let mut sum = 0.0;
    let mut track = vec![(0.0, 0.0)];
    for segment in history.segments() {
        sum += dose_of(segment, curve);
        track.push((segment.start + segment.hours, sum));
    }
    track
}

fn dose_of(segment: &Segment, curve: &RateCurve) -> f64 {
    curve.dose_of_stretch(segment.from, segment.to, segment.hours)
}

/// Hours since the start at which the dose reaches `target` natural logs; `None` if it does not, or is zero.
///
/// Within a stretch the moment is found by halving, to the last bit that a time can hold.
pub fn time_of_dose(history: &History, curve: &RateCurve, target: f64) -> Option<f64> {
    if target <= 0.0 {
        return None;
    }
    let mut sum = 0.0;
    for segment in history.segments() {
        let here = dose_of(segment, curve);
        if sum + here >= target {
            return Some(segment.start + hours_to_dose(segment, curve, target - sum));
        }
        sum += here;
    }
    None
}

fn hours_to_dose(segment: &Segment, curve: &RateCurve, target: f64) -> f64 {
    let slope = (segment.to - segment.from) / segment.hours;
    let (mut early, mut late) = (0.0, segment.hours);
    // Sixty halvings are more than the 53 bits of a float can tell apart.
    for _ in 0..60 {
        let middle = f64::midpoint(early, late);
        if curve.dose_of_stretch(segment.from, segment.from + slope * middle, middle) >= target {
            late = middle;
        } else {
            early = middle;
        }
    }
    late
}

/// Hours that a history spends above a temperature, exact along each straight line.
pub fn time_above(history: &History, celsius: f64) -> f64 {
    history.segments().iter().map(|segment| hours_above(segment, celsius)).sum()
}

fn hours_above(segment: &Segment, celsius: f64) -> f64 {
    let (low, high) = (segment.from.min(segment.to), segment.from.max(segment.to));
    if high <= celsius {
        0.0
    } else if celsius < low {
        segment.hours
    } else {
        segment.hours * (high - celsius) / (high - low)
    }
}

/// When a history is first above a temperature, hours since its start.
pub fn first_above(history: &History, celsius: f64) -> Option<f64> {
    let segment = history.segments().iter().find(|s| s.from.max(s.to) > celsius)?;
    if segment.from > celsius {
        return Some(segment.start);
    }
    Some(segment.start + segment.hours * (celsius - segment.from) / (segment.to - segment.from))
}

#[cfg(test)]
mod tests {
    use super::{dose, first_above, time_above, time_of_dose};
    use crate::curve::RateCurve;
    use crate::history::{GapRule, History, Reading};
    use crate::secondary::SecondaryModel;

    fn line() -> RateCurve {
        RateCurve::new(vec![SecondaryModel::SquareRoot { b: 0.027_911, t_min: -1.6273 }]).unwrap()
    }

    fn history(pairs: &[(f64, f64)]) -> History {
        let readings: Vec<Reading> =
            pairs.iter().map(|&(hours, celsius)| Reading { hours, celsius }).collect();
        History::new(&readings, GapRule::NONE).unwrap()
    }

    #[test]
    fn the_moment_of_a_dose_has_that_dose_before_it() {
        let whole = history(&[(0.0, 3.0), (6.0, 14.0), (20.0, 4.0)]);
        let target = dose(&whole, &line()) * 0.7;
        let at = time_of_dose(&whole, &line(), target).unwrap();
        let celsius = 14.0 - (at - 6.0) * 10.0 / 14.0;
        let before = history(&[(0.0, 3.0), (6.0, 14.0), (at, celsius)]);
        assert!((dose(&before, &line()) - target).abs() < 1e-12);
        assert_eq!(time_of_dose(&whole, &line(), 1e9), None);
        assert_eq!(time_of_dose(&whole, &line(), 0.0), None);
    }

    #[test]
    fn time_above_a_temperature_is_cut_within_a_reading() {
        let rising = history(&[(0.0, 3.0), (1.0, 7.0), (2.0, 7.0)]);
        assert!((time_above(&rising, 5.0) - 1.5).abs() < 1e-12);
        assert_eq!(time_above(&rising, 7.0).to_bits(), 0.0_f64.to_bits(), "at the limit is not above it");
        assert_eq!(first_above(&rising, 5.0), Some(0.5));
        assert_eq!(first_above(&rising, 7.0), None);
    }
}
