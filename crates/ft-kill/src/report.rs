//! What a step that was cut short or made too weak loses, beside the step as it is written.

use std::fmt::Write as _;

use serde::Serialize;

use crate::{chick_watson, hom_decaying, weibull};

/// Said with every log reduction.
pub const CAUTION: &str = "For explaining only. A contact time too short or a strength too low is a breach of the \
    label or the code, whatever is computed here; strength is not made up for with time. Soil, film and hardness \
    are outside the model. It releases nothing.";

/// A law of killing, with its coefficients; strength and time in the units that they were fitted in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "law", rename_all = "kebab-case")]
pub enum Law {
    /// See [`chick_watson`].
    ChickWatson {
        /// Coefficient.
        k: f64,
        /// Exponent of the strength.
        n: f64,
    },
    /// See [`hom`](crate::hom) and [`hom_decaying`].
    Hom {
        /// Coefficient.
        k: f64,
        /// Exponent of the strength.
        n: f64,
        /// Exponent of the time.
        m: f64,
        /// First-order decay of the strength, 1/time; zero for none.
        decay: f64,
    },
    /// See [`weibull`]: for one strength, which it does not know.
    Weibull {
        /// Time to the first log.
        delta: f64,
        /// Shape.
        p: f64,
    },
}

/// A strength held for a time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Step {
    /// Strength.
    pub strength: f64,
    /// Contact time.
    pub time: f64,
}

/// The step as it is written, the step as it was done, and what that loses.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KillReport {
    /// The law that was used.
    pub law: Law,
    /// The step as it is written.
    pub written: Step,
    /// The step as it was done.
    pub done: Step,
    /// Reduction of the written step, decimal logs, above zero.
    pub written_logs: f64,
    /// Reduction of the step as done, decimal logs, above zero.
    pub done_logs: f64,
    /// Whether the step as done is weaker or shorter than written: a breach, whatever the logs say.
    pub is_breach: bool,
    /// Said with every log reduction.
    pub caution: &'static str,
}

/// Compares a step as done with the step as written.
///
/// # Errors
/// One sentence: a strength, time or coefficient that is negative or not finite, or a Weibull law asked about two
/// strengths.
pub fn compare(law: Law, written: Step, done: Step) -> Result<KillReport, String> {
    for step in [written, done] {
        for (what, value) in [("strength", step.strength), ("contact time", step.time)] {
            if !(value.is_finite() && value >= 0.0) {
                return Err(format!("a {what} of {value} makes no sense; write a number from 0 up"));
            }
        }
    }
    check_law(law)?;
    if matches!(law, Law::Weibull { .. }) && written.strength.to_bits() != done.strength.to_bits() {
        return Err("a Weibull law holds for one strength; compare two times at that strength, or use \
                    Chick-Watson or Hom"
            .into());
    }
    Ok(KillReport {
        law,
        written,
        done,
        written_logs: logs(law, written),
        done_logs: logs(law, done),
        is_breach: done.strength < written.strength || done.time < written.time,
        caution: CAUTION,
    })
}

fn check_law(law: Law) -> Result<(), String> {
    let (positive, from_zero): (&[f64], f64) = match &law {
        Law::ChickWatson { k, n } => (&[*k, *n], 0.0),
        Law::Hom { k, n, m, decay } => (&[*k, *n, *m], *decay),
        Law::Weibull { delta, p } => (&[*delta, *p], 0.0),
    };
    if positive.iter().all(|value| value.is_finite() && *value > 0.0)
        && from_zero.is_finite()
        && from_zero >= 0.0
    {
        Ok(())
    } else {
        Err("a coefficient or exponent is not above zero; take them from the study that fitted the law"
            .into())
    }
}

fn logs(law: Law, step: Step) -> f64 {
    -match law {
        Law::ChickWatson { k, n } => chick_watson(k, n, step.strength, step.time),
        Law::Hom { k, n, m, decay } => hom_decaying(k, n, m, step.strength, decay, step.time),
        Law::Weibull { delta, p } => weibull(delta, p, step.time),
    }
}

impl KillReport {
    /// The report as plain text.
    pub fn text(&self) -> String {
        let mut text = format!(
            "As written: {:.1} log reduction. As done: {:.1}, which loses {:.1}.\n",
            self.written_logs,
            self.done_logs,
            (self.written_logs - self.done_logs).max(0.0)
        );
        if self.is_breach {
            text.push_str("This is a breach of the label or the code: do the step again as it is written.\n");
        }
        let _ = writeln!(text, "{}", self.caution);
        text
    }
}

#[cfg(test)]
mod tests {
    use super::{Law, Step, compare};

    /// Twenty seconds instead of thirty lose 1.67 of 5 logs, and stay a breach however strong the solution was.
    #[test]
    fn strength_is_not_made_up_for_with_time() {
        let law = Law::ChickWatson { k: 0.460_517_018_598_809_2 / 60.0, n: 1.0 };
        let written = Step { strength: 50.0, time: 30.0 };
        let short = compare(law, written, Step { strength: 50.0, time: 20.0 }).unwrap();
        assert!((short.written_logs - short.done_logs - 5.0 / 3.0).abs() < 1e-9 && short.is_breach);
        let strong_and_short = compare(law, written, Step { strength: 100.0, time: 20.0 }).unwrap();
        assert!(strong_and_short.done_logs > strong_and_short.written_logs && strong_and_short.is_breach);
        assert!(strong_and_short.text().contains("do the step again"));
    }

    #[test]
    fn senseless_numbers_are_refused() {
        let law = Law::Weibull { delta: 0.5, p: 1.0 };
        let step = Step { strength: 50.0, time: 1.0 };
        assert!(compare(law, step, Step { strength: -1.0, ..step }).unwrap_err().contains("strength of -1"));
        assert!(compare(law, step, Step { strength: 25.0, ..step }).unwrap_err().contains("one strength"));
        assert!(compare(Law::Weibull { delta: 0.0, p: 1.0 }, step, step).is_err());
    }
}
