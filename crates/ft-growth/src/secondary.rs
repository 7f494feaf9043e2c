//! Secondary models: how fast an organism grows at one temperature.
//!
//! Papers mix natural logs per hour, decimal logs per day and doublings; here a rate is always a natural log per
//! hour. [`b_from_log10_per_day`] converts the coefficient of a square-root model.

use std::fmt;

use ft_maths::{LN_10, exp, sqrt};
use serde::{Deserialize, Serialize};

/// A rate of growth as a function of temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum SecondaryModel {
    /// `√μ = b (T - t_min)`, zero at and below `t_min`.
    ///
    /// Source: Ratkowsky and others 1982, J Bacteriol 149:1.
    SquareRoot {
        /// Slope, (ln/h)^½ per °C, above zero.
        b: f64,
        /// Notional least temperature of growth, °C.
        t_min: f64,
    },
    /// `√μ = b (T - t_min) (1 - e^(c (T - t_max)))`, zero outside `t_min..t_max`.
    ///
    /// Source: Ratkowsky and others 1983, J Bacteriol 154:1222.
    ExtendedSquareRoot {
        /// Slope at the cold end, (ln/h)^½ per °C, above zero.
        b: f64,
        /// Notional least temperature of growth, °C.
        t_min: f64,
        /// How sharply growth falls off at the warm end, 1/°C, above zero.
        c: f64,
        /// Notional greatest temperature of growth, °C.
        t_max: f64,
    },
    /// Cardinal temperatures with inflection:
    /// `μ = mu_opt (T - t_max)(T - t_min)² / ((t_opt - t_min)((t_opt - t_min)(T - t_opt) - (t_opt - t_max)(t_opt + t_min - 2T)))`,
    /// zero outside `t_min..t_max`.
    ///
    /// Source: Rosso and others 1993, J Theor Biol 162:447.
    Cardinal {
        /// Least temperature of growth, °C.
        t_min: f64,
        /// Temperature of fastest growth, °C; above the middle of `t_min` and `t_max`.
        t_opt: f64,
        /// Greatest temperature of growth, °C.
        t_max: f64,
        /// Rate at `t_opt`, ln/h, above zero.
        mu_opt: f64,
    },
}

/// Parameters that give no curve: what is wrong with them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadModel(pub String);

impl fmt::Display for BadModel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for BadModel {}

impl SecondaryModel {
    /// The same model, if its parameters give a curve.
    ///
    /// # Errors
    /// [`BadModel`]: a parameter that is not finite, a slope or rate that is not above zero, temperatures out of
    /// order, or an optimum not above the middle (where the cardinal formula has a pole within its range).
    pub fn checked(self) -> Result<Self, BadModel> {
        let bad = |message: &str| Err(BadModel(message.to_owned()));
        let (temperatures, positive): (&[f64], &[f64]) = match &self {
            Self::SquareRoot { b, t_min } => (&[*t_min], &[*b]),
            Self::ExtendedSquareRoot { b, t_min, c, t_max } => (&[*t_min, *t_max], &[*b, *c]),
            Self::Cardinal { t_min, t_opt, t_max, mu_opt } => (&[*t_min, *t_opt, *t_max], &[*mu_opt]),
        };
        if !temperatures.iter().chain(positive).all(|value| value.is_finite()) {
            return bad("a parameter is not a finite number");
        }
        if positive.iter().any(|value| *value <= 0.0) {
            return bad("a slope or rate is not above zero");
        }
        if temperatures.windows(2).any(|pair| pair[0] >= pair[1]) {
            return bad("the temperatures do not rise from least to greatest");
        }
        if let Self::Cardinal { t_min, t_opt, t_max, .. } = self
            && 2.0 * t_opt <= t_min + t_max
        {
            return bad("the optimum is not above the middle of the least and the greatest temperature");
        }
        Ok(self)
    }

    /// Rate at one temperature, ln/h; zero where the organism does not grow, never negative.
    pub fn rate(&self, celsius: f64) -> f64 {
        match *self {
            Self::SquareRoot { b, t_min } => {
                let root = b * (celsius - t_min).max(0.0);
                root * root
            }
            Self::ExtendedSquareRoot { b, t_min, c, t_max } => {
                if !(t_min < celsius && celsius < t_max) {
                    return 0.0;
                }
                let root = b * (celsius - t_min) * (1.0 - exp(c * (celsius - t_max)));
                root * root
            }
            Self::Cardinal { t_min, t_opt, t_max, mu_opt } => {
                if !(t_min < celsius && celsius < t_max) {
                    return 0.0;
                }
                let rise = t_opt - t_min;
                let above = mu_opt * (celsius - t_max) * (celsius - t_min) * (celsius - t_min);
                let below =
                    rise * (rise * (celsius - t_opt) - (t_opt - t_max) * (t_opt + t_min - 2.0 * celsius));
                above / below
            }
        }
    }

    /// Temperatures at which the rate is not smooth, rising.
    pub fn kinks(&self) -> impl Iterator<Item = f64> {
        let (low, high) = match *self {
            Self::SquareRoot { t_min, .. } => (t_min, None),
            Self::ExtendedSquareRoot { t_min, t_max, .. } | Self::Cardinal { t_min, t_max, .. } => {
                (t_min, Some(t_max))
            }
        };
        std::iter::once(low).chain(high)
    }

    /// `∫ μ dT` from `low` to `high`, ln·°C/h. There must be no kink strictly between the two.
    ///
    /// Exact for the square-root model. The others are integrated by eight-point Gauss-Legendre on pieces of at
    /// most one degree: error below 1e-13 of the value (compared with their antiderivatives, see the tests).
    pub(crate) fn integral_over_temperature(&self, low: f64, high: f64) -> f64 {
        match *self {
            Self::SquareRoot { b, t_min } => {
                let (x, y) = ((low - t_min).max(0.0), (high - t_min).max(0.0));
                b * b * (high - low) * (x * x + x * y + y * y) / 3.0
            }
            Self::ExtendedSquareRoot { .. } | Self::Cardinal { .. } => {
                let pieces = (high - low).abs().ceil().max(1.0);
                let width = (high - low) / pieces;
                let mut sum = 0.0;
                for piece in 0..pieces as u32 {
                    let middle = low + (f64::from(piece) + 0.5) * width;
                    sum += self.gauss_legendre(middle, width / 2.0);
                }
                sum
            }
        }
    }

    fn gauss_legendre(&self, middle: f64, half: f64) -> f64 {
        let mut sum = 0.0;
        for (node, weight) in GAUSS_LEGENDRE_8 {
            sum += weight * (self.rate(middle - half * node) + self.rate(middle + half * node));
        }
        sum * half
    }
}

/// Slope in (ln/h)^½ per °C of a slope that a paper gives in (log10/day)^½ per °C.
pub fn b_from_log10_per_day(b: f64) -> f64 {
    b * sqrt(LN_10 / 24.0)
}

/// Positive nodes and weights of the eight-point rule on -1..1.
/// Source: numpy 2.4 `leggauss(8)`; agree with Abramowitz and Stegun 1964, table 25.4 (from memory).
#[allow(clippy::unreadable_literal)]
const GAUSS_LEGENDRE_8: [(f64, f64); 4] = [
    (0.18343464249564978, 0.36268378337836166),
    (0.525532409916329, 0.3137066458778869),
    (0.7966664774136267, 0.22238103445337443),
    (0.9602898564975362, 0.10122853629037706),
];

#[cfg(test)]
mod tests {
    use super::{SecondaryModel, b_from_log10_per_day};
    use ft_maths::{exp, ln};

    const EXTENDED: SecondaryModel =
        SecondaryModel::ExtendedSquareRoot { b: 0.03, t_min: -3.0, c: 0.25, t_max: 42.0 };
    const CARDINAL: SecondaryModel =
        SecondaryModel::Cardinal { t_min: 3.7, t_opt: 40.8, t_max: 46.6, mu_opt: 2.3 };

    /// Antiderivative of the extended square-root model, by parts; another route than the quadrature.
    fn extended_antiderivative(t: f64) -> f64 {
        let (b, t_min, c, t_max) = (0.03_f64, -3.0_f64, 0.25_f64, 42.0_f64);
        let x = t - t_min;
        let part = |k: f64| exp(k * (t - t_max)) * (x * x / k - 2.0 * x / (k * k) + 2.0 / (k * k * k));
        b * b * (x * x * x / 3.0 - 2.0 * part(c) + part(2.0 * c))
    }

    /// Antiderivative of the cardinal model: a cubic over a line, divided out.
    fn cardinal_antiderivative(t: f64) -> f64 {
        let (lo, opt, hi, mu) = (3.7_f64, 40.8_f64, 46.6_f64, 2.3_f64);
        let slope = (opt - lo) + 2.0 * (opt - hi);
        let shift = -(opt - lo) * opt - (opt - hi) * (opt + lo);
        let pole = -shift / slope;
        // With u = t - pole the numerator is (u + a)(u + d)^2.
        let (a, d) = (pole - hi, pole - lo);
        let u = t - pole;
        let whole = u * u * u / 3.0 + (a + 2.0 * d) * u * u / 2.0 + (2.0 * a * d + d * d) * u;
        mu / ((opt - lo) * slope) * (whole + a * d * d * ln(-u))
    }

    #[test]
    fn quadrature_agrees_with_the_antiderivatives() {
        for (low, high) in [(4.0, 4.01), (4.0, 5.0), (3.7, 12.3), (20.0, 41.9), (5.0, 37.0)] {
            let pairs = [
                (EXTENDED, extended_antiderivative(high) - extended_antiderivative(low)),
                (CARDINAL, cardinal_antiderivative(high) - cardinal_antiderivative(low)),
            ];
            for (model, expected) in pairs {
                let error = (model.integral_over_temperature(low, high) - expected).abs();
                assert!(error < 1e-12 * expected.abs().max(1.0), "{model:?} {low}..{high} off by {error:e}");
            }
        }
    }

    #[test]
    fn the_cardinal_rate_at_the_optimum_is_the_optimum() {
        assert!((CARDINAL.rate(40.8) - 2.3).abs() < 1e-12);
        assert_eq!(CARDINAL.rate(3.7).to_bits(), 0.0_f64.to_bits());
        assert_eq!(CARDINAL.rate(46.6).to_bits(), 0.0_f64.to_bits());
    }

    /// An isolate of the Bacillus cereus group whose slope its authors print as 0.127600 (log10/day)^½ per °C. The
    /// same growth either way: at 10 °C the decimal logs of a day are the natural logs of 24 hours over ln 10.
    #[test]
    fn a_slope_in_decimal_logs_per_day_is_converted() {
        let b = b_from_log10_per_day(0.1276);
        assert!((b - 0.039_523_2).abs() < 1e-6, "{b}");
        let line = SecondaryModel::SquareRoot { b, t_min: 4.8798 };
        let decimal_logs_of_a_day = (0.1276_f64 * (10.0 - 4.8798)).powi(2);
        assert!((line.rate(10.0) * 24.0 / std::f64::consts::LN_10 - decimal_logs_of_a_day).abs() < 1e-12);
    }

    #[test]
    fn parameters_that_give_no_curve_are_refused() {
        let says = |model: SecondaryModel| model.checked().unwrap_err().to_string();
        assert!(says(SecondaryModel::SquareRoot { b: -0.1, t_min: 0.0 }).contains("above zero"));
        assert!(says(SecondaryModel::SquareRoot { b: f64::NAN, t_min: 0.0 }).contains("finite"));
        let backwards = SecondaryModel::Cardinal { t_min: 9.0, t_opt: 5.0, t_max: 40.0, mu_opt: 1.0 };
        assert!(says(backwards).contains("rise"));
        let low = SecondaryModel::Cardinal { t_min: 0.0, t_opt: 10.0, t_max: 40.0, mu_opt: 1.0 };
        assert!(says(low).contains("middle"));
    }
}
