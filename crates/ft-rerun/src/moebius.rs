//! The chain with a ceiling: overnight growth under `nmax` is a Möbius map, so a chain is a product of 2×2 matrices.

use ft_maths::{exp_m1, sqrt};

/// The map `c -> (a c + b) / (p c + q)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moebius {
    a: f64,
    b: f64,
    p: f64,
    q: f64,
}

impl Moebius {
    /// The map that changes nothing.
    pub const IDENTITY: Self = Self { a: 1.0, b: 0.0, p: 0.0, q: 1.0 };

    /// A night: growth of `grown` natural logs under the ceiling `nmax`, then a blend with the share `f` carried
    /// over into fresh mix with `n0`: `c -> f E c / (1 + (E - 1) c / nmax) + (1 - f) n0`, `E = e^grown`.
    pub fn night(f: f64, grown: f64, n0: f64, nmax: f64) -> Self {
        let rise = exp_m1(grown);
        let per_count = rise / nmax;
        let fresh = (1.0 - f) * n0;
        Self { a: f * (rise + 1.0) + fresh * per_count, b: fresh, p: per_count, q: 1.0 }
    }

    /// The count after it.
    pub fn of(&self, count: f64) -> f64 {
        (self.a * count + self.b) / (self.p * count + self.q)
    }

    /// First `self`, then `next`. Scaled, so that long chains do not overflow.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        let product = Self {
            a: next.a * self.a + next.b * self.p,
            b: next.a * self.b + next.b * self.q,
            p: next.p * self.a + next.q * self.p,
            q: next.p * self.b + next.q * self.q,
        };
        let scale = product.a.abs().max(product.b.abs()).max(product.p.abs()).max(product.q.abs());
        Self { a: product.a / scale, b: product.b / scale, p: product.p / scale, q: product.q / scale }
    }

    /// The same `times` times over, in `log2(times)` products.
    #[must_use]
    pub fn repeated(&self, times: u32) -> Self {
        let mut result = Self::IDENTITY;
        let mut square = *self;
        let mut left = times;
        while left > 0 {
            if left & 1 == 1 {
                result = result.then(&square);
            }
            square = square.then(&square);
            left >>= 1;
        }
        result
    }

    /// The count that stays as it is: the positive root of `p c² + (q - a) c - b = 0`; `None` if there is none.
    pub fn fixed_point(&self) -> Option<f64> {
        let half = (self.q - self.a) / 2.0;
        if self.p == 0.0 {
            let point = self.b / (2.0 * half);
            return (point.is_finite() && point >= 0.0).then_some(point);
        }
        let root = sqrt(half * half + self.p * self.b);
        // Of the two ways to write the root, the one that does not subtract nearly equal numbers.
        Some(if half > 0.0 { self.b / (half + root) } else { (root - half) / self.p })
    }
}

#[cfg(test)]
mod tests {
    use super::Moebius;

    #[test]
    fn a_power_is_the_loop_and_ends_at_the_fixed_point() {
        let night = Moebius::night(0.3, std::f64::consts::LN_10, 100.0, 1e7);
        let mut count = 100.0;
        for nights in 1..40 {
            count = night.of(count);
            let at_once = night.repeated(nights).of(100.0);
            assert!((at_once - count).abs() < 1e-9 * count, "night {nights}: {at_once} {count}");
        }
        assert!((night.repeated(500).of(100.0) / night.fixed_point().unwrap() - 1.0).abs() < 1e-9);
        let fixed = night.fixed_point().unwrap();
        assert!((night.of(fixed) - fixed).abs() < 1e-9 * fixed);
    }

    #[test]
    fn without_growth_the_chain_ends_as_fresh_mix() {
        let night = Moebius::night(0.3, 0.0, 100.0, 1e7);
        assert!((night.fixed_point().unwrap() - 100.0).abs() < 1e-12);
        assert_eq!(
            Moebius::night(1.0, 0.0, 100.0, 1e7).fixed_point(),
            None,
            "nothing fresh, nothing settles"
        );
    }
}
