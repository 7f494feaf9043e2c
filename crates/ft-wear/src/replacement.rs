//! The age at which a planned change costs least, and when not to name one.

use crate::weibull::{Fit, Weibull, scale_for};
use ft_stats::root::root_beyond;

/// What a planned change costs and what a failure costs, in the same money; both above 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Costs {
    /// Part and work when it is changed in time.
    pub planned: f64,
    /// Part, work, lost product and lost trade when it fails.
    pub failure: f64,
}

/// The age that costs least, and what it costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Optimum {
    /// Age at which to change.
    pub age: f64,
    /// Cost for each unit of age with that rule.
    pub cost_rate: f64,
    /// Cost for each unit of age when parts are left until they fail.
    pub run_to_failure_rate: f64,
}

/// Cost for each unit of age when parts are changed at `age` or when they fail, whichever comes first.
pub fn cost_rate(law: Weibull, costs: Costs, age: f64) -> f64 {
    let survives = law.survival(age);
    (costs.planned * survives + costs.failure * (1.0 - survives)) / law.mean_until(age)
}

/// The age that costs least; `None` when the shape is 1 or less, or a failure costs no more than a planned change:
/// then changing in time never pays.
///
/// Solves `h(T)·∫R - F(T) = cp/(cf - cp)`, whose left side grows with T when the shape is above 1.
/// Source: Barlow & Proschan 1965, age replacement (from memory; checked against `reliability` 0.9.0, q = 0).
pub fn optimum(law: Weibull, costs: Costs) -> Option<Optimum> {
    if law.shape <= 1.0 || costs.failure <= costs.planned || costs.planned <= 0.0 {
        return None;
    }
    let ratio = costs.planned / (costs.failure - costs.planned);
    let excess = |age: f64| law.hazard(age) * law.mean_until(age) - (1.0 - law.survival(age)) - ratio;
    let age = root_beyond(excess, law.scale * 1e-6, 1.5)?;
    let run_to_failure_rate = costs.failure / law.mean();
    Some(Optimum { age, cost_rate: cost_rate(law, costs, age), run_to_failure_rate })
}

/// Cost for each unit of age when a failed part is only patched, so that it goes on as old as it was (minimal
/// repair), and is changed at the age that costs least; the age and the cost. `None` when the shape is 1 or less.
///
/// Source: Barlow & Hunter 1960 (from memory): `T = η (cp / (cr (β - 1)))^(1/β)`.
pub fn minimal_repair_optimum(law: Weibull, planned: f64, repair: f64) -> Option<(f64, f64)> {
    if law.shape <= 1.0 || planned <= 0.0 || repair <= 0.0 {
        return None;
    }
    let cumulative = planned / (repair * (law.shape - 1.0));
    let age = law.scale * ft_stats::maths::pow(cumulative, 1.0 / law.shape);
    Some((age, (planned + repair * cumulative) / age))
}

/// Why an age is or is not recommended.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// The record shows wear, and this age costs least.
    LeastCost {
        /// The age and its cost.
        optimum: Optimum,
        /// Ages that would cost least at the two ends of what the shape may be, least first.
        range: (f64, f64),
    },
    /// The maker's longest interval is shorter than the age that costs least.
    MakerComesFirst {
        /// What the record alone would say; shown, never used.
        optimum: Optimum,
    },
    /// The bounds of the shape hold 1: the record does not show that an older part fails sooner.
    NotShownToWear {
        /// Bounds of the shape at 95 %.
        shape: (f64, f64),
    },
    /// A failure costs no more than a planned change.
    FailureIsCheap,
    /// The bounds are above 1, but the age that costs least lies beyond what numbers hold.
    BeyondReach,
}

/// What is recommended.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// The age at which to change: never above the maker's longest interval.
    pub change_at: Option<f64>,
    /// Why.
    pub reason: Reason,
}

/// The age at which to change a part, from a fit, costs and the maker's longest interval if there is one.
///
/// One-way: the answer may be earlier than the maker's interval, never later.
pub fn advise(fit: &Fit, costs: Costs, maker_longest: Option<f64>) -> Advice {
    let shape = fit.shape_bounds(0.95);
    let without = |reason| Advice { change_at: maker_longest, reason };
    if costs.failure <= costs.planned {
        return without(Reason::FailureIsCheap);
    }
    if shape.0 <= 1.0 {
        return without(Reason::NotShownToWear { shape });
    }
    let Some(best) = optimum(fit.law, costs) else { return without(Reason::BeyondReach) };
    if let Some(longest) = maker_longest
        && longest <= best.age
    {
        return without(Reason::MakerComesFirst { optimum: best });
    }
    let at = |shape: f64| {
        let law = Weibull { shape, scale: scale_for(fit.lives(), shape) };
        optimum(law, costs).map_or(f64::INFINITY, |found| found.age)
    };
    let ends = [at(shape.0), at(shape.1), best.age];
    let range = (ends.into_iter().fold(f64::INFINITY, f64::min), ends.into_iter().fold(0.0, f64::max));
    Advice { change_at: Some(best.age), reason: Reason::LeastCost { optimum: best, range } }
}
