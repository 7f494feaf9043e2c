//! What a prediction may say: nothing, discard earlier, or let somebody decide. There is no other word in the type.

use std::fmt;

use serde::Serialize;

/// What growth adds to the dates and limits that already hold.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "advice", rename_all = "kebab-case")]
pub enum Advice {
    /// The prediction adds nothing. It does not say that anything is safe, and cancels no breach of a limit.
    NothingToAdd,
    /// Somebody has to decide, because of the reason.
    HoldForDecision(Reason),
    /// The product goes at the moment that the reason names, if no earlier date holds.
    DiscardEarlier(Reason),
}

/// Why a prediction has something to say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reason {
    /// Hours since the start of the history at which it came about.
    pub at_h: f64,
    /// One plain sentence without a full stop.
    pub because: String,
}

impl Advice {
    /// The graver of two; of two equally grave ones the earlier.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        if other.rank() > self.rank() { other } else { self }
    }

    /// Gravest last; within one gravity, earliest last.
    fn rank(&self) -> (u8, f64) {
        match self {
            Self::NothingToAdd => (0, 0.0),
            Self::HoldForDecision(reason) => (1, -reason.at_h),
            Self::DiscardEarlier(reason) => (2, -reason.at_h),
        }
    }

    /// The words of the agreed answer, without the reason.
    pub fn words(&self) -> &'static str {
        match self {
            Self::NothingToAdd => "nothing to add",
            Self::HoldForDecision(_) => "hold for a decision",
            Self::DiscardEarlier(_) => "discard earlier",
        }
    }
}

impl fmt::Display for Advice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NothingToAdd => f.write_str(self.words()),
            Self::HoldForDecision(reason) | Self::DiscardEarlier(reason) => {
                write!(f, "{}: {}", self.words(), reason.because)
            }
        }
    }
}

/// A moment by which the product goes, and who says so.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Deadline {
    /// Hours since the start of the history; negative if it was before.
    pub at_h: f64,
    /// The legal date, the weekly discard, the house rule, or the prediction.
    pub from: String,
}

/// The earliest of the deadlines that hold and of what the advice says; `None` if nothing sets one.
///
/// The prediction comes in last and can only move the moment forward: whatever the advice, the answer is not later
/// than the earliest of `deadlines`.
pub fn discard_at(deadlines: &[Deadline], advice: &Advice) -> Option<Deadline> {
    let held = deadlines.iter().min_by(|one, other| one.at_h.total_cmp(&other.at_h)).cloned();
    let Advice::DiscardEarlier(reason) = advice else { return held };
    match held {
        Some(held) if held.at_h <= reason.at_h => Some(held),
        _ => Some(Deadline { at_h: reason.at_h, from: format!("prediction: {}", reason.because) }),
    }
}

#[cfg(test)]
mod tests {
    use super::{Advice, Deadline, Reason, discard_at};

    fn reason(at_h: f64) -> Reason {
        Reason { at_h, because: "test".into() }
    }

    #[test]
    fn a_prediction_moves_a_date_forward_or_not_at_all() {
        let law = Deadline { at_h: 72.0, from: "legal date".into() };
        let house = Deadline { at_h: 48.0, from: "house rule".into() };
        let held = [law, house.clone()];
        assert_eq!(discard_at(&held, &Advice::NothingToAdd), Some(house.clone()));
        assert_eq!(discard_at(&held, &Advice::HoldForDecision(reason(5.0))), Some(house.clone()));
        assert_eq!(discard_at(&held, &Advice::DiscardEarlier(reason(90.0))), Some(house));
        let earlier = discard_at(&held, &Advice::DiscardEarlier(reason(30.0))).unwrap();
        assert_eq!((earlier.at_h.to_bits(), earlier.from.as_str()), (30.0_f64.to_bits(), "prediction: test"));
        assert_eq!(discard_at(&[], &Advice::NothingToAdd), None, "no date is not a date far away");
    }

    #[test]
    fn the_graver_advice_wins_then_the_earlier() {
        let late = Advice::DiscardEarlier(reason(9.0));
        let early = Advice::DiscardEarlier(reason(3.0));
        assert_eq!(late.or(early.clone()), early);
        assert_eq!(early.clone().or(Advice::HoldForDecision(reason(1.0))), early);
        assert_eq!(
            Advice::NothingToAdd.or(Advice::HoldForDecision(reason(1.0))).words(),
            "hold for a decision"
        );
    }
}
