//! Where a function of one number is nought, and where it is least.

/// A root of `f` between `low` and `high`, to the last digits that a double holds; `None` when the signs at the two
/// ends are the same or a value is not a number.
///
/// Never leaves the bracket: secant and inverse quadratic steps where they pay, halving otherwise.
/// Source: R. P. Brent 1973, Algorithms for Minimization without Derivatives, chapter 4 (from memory).
pub fn root(f: impl Fn(f64) -> f64, low: f64, high: f64) -> Option<f64> {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return Some(a);
    }
    if fb == 0.0 {
        return Some(b);
    }
    if fa.is_nan() || fb.is_nan() || fa.signum() == fb.signum() {
        return None;
    }
    let (mut c, mut fc) = (a, fa);
    let mut step = b - a;
    let mut before = step;
    for _ in 0..200 {
        if fb.signum() == fc.signum() {
            (c, fc) = (a, fa);
            step = b - a;
            before = step;
        }
        if fc.abs() < fb.abs() {
            (a, fa) = (b, fb);
            (b, fb) = (c, fc);
            (c, fc) = (a, fa);
        }
        let least = 2.0 * f64::EPSILON * b.abs() + f64::MIN_POSITIVE;
        let middle = (c - b) / 2.0;
        if middle.abs() <= least || fb == 0.0 {
            return Some(b);
        }
        match interpolated(a, fa, b, fb, c, fc) {
            Some(short) if before.abs() > least && fa.abs() > fb.abs() && fits(short, middle, before) => {
                before = step;
                step = short;
            }
            _ => {
                step = middle;
                before = middle;
            }
        }
        (a, fa) = (b, fb);
        b += if step.abs() > least { step } else { least.copysign(middle) };
        fb = f(b);
        if fb.is_nan() {
            return None;
        }
    }
    Some(b)
}

/// The step from `b` to where a line, or a parabola on its side, through the known points meets nought.
// The letters are those of the source.
#[allow(clippy::many_single_char_names)]
fn interpolated(a: f64, fa: f64, b: f64, fb: f64, c: f64, fc: f64) -> Option<f64> {
    let ratio = fb / fa;
    let (numerator, denominator) = if a.to_bits() == c.to_bits() {
        ((c - b) * ratio, 1.0 - ratio)
    } else {
        let (q, r) = (fa / fc, fb / fc);
        (ratio * ((c - b) * q * (q - r) - (b - a) * (r - 1.0)), (q - 1.0) * (r - 1.0) * (1.0 - ratio))
    };
    let step = numerator / denominator;
    step.is_finite().then_some(step)
}

/// Whether a step stays well inside the bracket and is shorter than half the one before the last.
fn fits(step: f64, middle: f64, before: f64) -> bool {
    step.signum() == middle.signum() && step.abs() < 1.5 * middle.abs() && step.abs() < before.abs() / 2.0
}

/// A root of `f` beyond `start`, looked for in growing steps, the first by `factor` (above 1 upwards, below 1
/// downwards) and each by the last one to the power of 5/4, for a positive `start`; `None` when the sign does not
/// change before the numbers end.
pub fn root_beyond(f: impl Fn(f64) -> f64, start: f64, mut factor: f64) -> Option<f64> {
    let at_start = f(start);
    // A zero has a sign too, and walking away from it would never see it change.
    if at_start == 0.0 {
        return Some(start);
    }
    let sign = at_start.signum();
    let mut near = start;
    for _ in 0..200 {
        let far = near * factor;
        factor *= factor.sqrt().sqrt();
        let value = f(far);
        if value.is_nan() || far == 0.0 || far.is_infinite() {
            return None;
        }
        if value * sign <= 0.0 {
            return root(&f, near.min(far), near.max(far));
        }
        near = far;
    }
    None
}

/// The place of the least value of `f` between `low` and `high`, where `f` falls and then rises; good to about
/// 1e-8 of the width, as any search that only compares values.
///
/// Source: golden section, J. Kiefer 1953 (from memory).
pub fn least(f: impl Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    let golden = (5f64.sqrt() - 1.0) / 2.0;
    let (mut low, mut high) = (low, high);
    let mut left = high - golden * (high - low);
    let mut right = low + golden * (high - low);
    let (mut at_left, mut at_right) = (f(left), f(right));
    for _ in 0..90 {
        if at_left <= at_right {
            high = right;
            (right, at_right) = (left, at_left);
            left = high - golden * (high - low);
            at_left = f(left);
        } else {
            low = left;
            (left, at_left) = (right, at_right);
            right = low + golden * (high - low);
            at_right = f(right);
        }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::{least, root, root_beyond};
    use crate::maths::{exp, ln};

    #[test]
    fn roots_are_found_to_the_last_digits() {
        let close = |found: Option<f64>, expected: f64| {
            let found = found.expect("a root");
            assert!((found - expected).abs() < 1e-14 * expected.abs().max(1.0), "{found} for {expected}");
        };
        close(root(|x| x * x - 2.0, 0.0, 2.0), 2f64.sqrt());
        close(root(|x| exp(x) - 5.0, -50.0, 50.0), ln(5.0));
        close(root(|x| (x - 1.0) * (x - 1.0) * (x - 1.0), 0.0, 3.0), 1.0);
        close(root(|x| x, -1.0, 0.0), 0.0);
        close(root_beyond(|x| ln(x) - 3.0, 1.0, 1.5), exp(3.0));
        close(root_beyond(|x| ln(x) + 3.0, 1.0, 0.5), exp(-3.0));
    }

    #[test]
    fn no_root_is_none_and_never_a_guess() {
        assert_eq!(root(|x| x * x + 1.0, -1.0, 1.0), None);
        assert_eq!(root(|_| f64::NAN, -1.0, 1.0), None);
        assert_eq!(root_beyond(|x| x + 1.0, 1.0, 2.0), None);
        assert_eq!(root_beyond(|x| 2.0 - x, 2.0, 0.5), Some(2.0), "the start is the root");
    }

    #[test]
    fn least_value_of_a_parabola() {
        assert!((least(|x| (x - 0.3) * (x - 0.3), -1.0, 2.0) - 0.3).abs() < 1e-7);
    }
}
