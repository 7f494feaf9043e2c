//! The rate that an organism is given: one secondary model, or the fastest of several.

use crate::secondary::{BadModel, SecondaryModel};

/// The largest of one or more secondary models at each temperature.
///
/// An envelope of several lines is how a cautious reading of disagreeing studies is written down: whichever study
/// is faster at a temperature counts there.
#[derive(Debug, Clone, PartialEq)]
pub struct RateCurve {
    /// At least one; more than one only if all are square-root models.
    models: Vec<SecondaryModel>,
    /// Every temperature at which the curve is not smooth, rising, none twice.
    kinks: Vec<f64>,
}

impl RateCurve {
    /// The envelope of the models.
    ///
    /// # Errors
    /// [`BadModel`]: none given, parameters that give no curve, or several that are not all square-root models
    /// (whose crossings would have to be searched for).
    pub fn new(models: Vec<SecondaryModel>) -> Result<Self, BadModel> {
        if models.is_empty() {
            return Err(BadModel("a curve needs at least one model".into()));
        }
        for model in &models {
            model.checked()?;
        }
        let mut kinks: Vec<f64> = models.iter().flat_map(SecondaryModel::kinks).collect();
        for (index, one) in models.iter().enumerate() {
            for other in &models[index + 1..] {
                kinks.extend(crossing(one, other)?);
            }
        }
        kinks.sort_by(f64::total_cmp);
        kinks.dedup();
        Ok(Self { models, kinks })
    }

    /// Rate at one temperature, ln/h; never negative.
    pub fn rate(&self, celsius: f64) -> f64 {
        self.models.iter().map(|model| model.rate(celsius)).fold(0.0, f64::max)
    }

    /// The models whose largest this is.
    pub fn models(&self) -> &[SecondaryModel] {
        &self.models
    }

    /// The one model that is the largest from `low` to `high`; `None` if there is a kink strictly between.
    pub fn smooth_model(&self, low: f64, high: f64) -> Option<SecondaryModel> {
        let is_smooth = !self.kinks.iter().any(|kink| low < *kink && *kink < high);
        is_smooth.then(|| *self.largest_at(low.midpoint(high)))
    }

    /// Dose of a stretch of `hours` over which the temperature runs straight from `from` to `to`, in natural logs.
    ///
    /// Along a straight line `∫ μ dt = hours / (to - from) · ∫ μ dT`, cut at the kinks, so that no part of the
    /// stretch is missed however short it is. Cost: one piece for each kink that the stretch passes.
    pub fn dose_of_stretch(&self, from: f64, to: f64, hours: f64) -> f64 {
        let span = (to - from).abs();
        if span == 0.0 {
            return self.rate(from) * hours;
        }
        hours / span * self.integral(from.min(to), from.max(to))
    }

    /// `∫ μ dT` from `low` to `high`, ln·°C/h.
    pub fn integral(&self, low: f64, high: f64) -> f64 {
        let mut sum = 0.0;
        let mut from = low;
        for &kink in self.kinks.iter().filter(|kink| low < **kink && **kink < high) {
            sum += self.smooth_integral(from, kink);
            from = kink;
        }
        sum + self.smooth_integral(from, high)
    }

    /// The same with no kink between: one model is the largest all along.
    fn smooth_integral(&self, low: f64, high: f64) -> f64 {
        let middle = low.midpoint(high);
        let largest = self.largest_at(middle);
        if largest.rate(middle) > 0.0 { largest.integral_over_temperature(low, high) } else { 0.0 }
    }

    fn largest_at(&self, celsius: f64) -> &SecondaryModel {
        self.models
            .iter()
            .max_by(|one, other| one.rate(celsius).total_cmp(&other.rate(celsius)))
            .expect("a curve has at least one model")
    }
}

/// Where two square-root lines have the same rate above both of their least temperatures.
fn crossing(one: &SecondaryModel, other: &SecondaryModel) -> Result<Option<f64>, BadModel> {
    let (SecondaryModel::SquareRoot { b: b1, t_min: t1 }, SecondaryModel::SquareRoot { b: b2, t_min: t2 }) =
        (*one, *other)
    else {
        return Err(BadModel("only square-root models can be joined into one curve".into()));
    };
    let at = (b1 * t1 - b2 * t2) / (b1 - b2);
    Ok((at.is_finite() && at > t1.max(t2)).then_some(at))
}

#[cfg(test)]
mod tests {
    use super::RateCurve;
    use crate::secondary::SecondaryModel;

    /// The two published lines for Listeria in milk cross at 2.6 °C; the sum of many short trapezia knows nothing
    /// of kinks and must agree to their own error.
    #[test]
    fn an_envelope_is_cut_where_its_lines_cross() {
        let milk = SecondaryModel::SquareRoot { b: 0.024, t_min: -2.32 };
        let fast = SecondaryModel::SquareRoot { b: 0.027_911, t_min: -1.6273 };
        let curve = RateCurve::new(vec![milk, fast]).unwrap();
        let steps = 100_000;
        let mut slow = 0.0;
        for step in 0..steps {
            let at = |n: i32| -6.0 + 26.0 * f64::from(n) / f64::from(steps);
            slow += f64::midpoint(curve.rate(at(step)), curve.rate(at(step + 1))) / f64::from(steps);
        }
        assert!((curve.dose_of_stretch(-6.0, 20.0, 1.0) - slow).abs() < 1e-9);
        assert!((curve.dose_of_stretch(20.0, -6.0, 1.0) - slow).abs() < 1e-9, "direction does not matter");
        assert!(curve.rate(1.0) > fast.rate(1.0) && curve.rate(9.0) > milk.rate(9.0));
    }

    #[test]
    fn only_lines_whose_crossing_is_known_are_joined() {
        let line = SecondaryModel::SquareRoot { b: 0.024, t_min: -2.32 };
        let cardinal = SecondaryModel::Cardinal { t_min: 3.7, t_opt: 40.8, t_max: 46.6, mu_opt: 2.3 };
        assert!(RateCurve::new(vec![line, cardinal]).is_err());
        assert!(RateCurve::new(vec![]).is_err());
    }
}
