//! What is good: a least, a most, or both.

/// A band of a number; an end that is missing is open.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Band {
    /// The least.
    pub least: Option<f64>,
    /// The most.
    pub most: Option<f64>,
    /// Whether an end itself is no longer good: `< 5 °C` does not let 5 pass, `4..5 °C` does.
    pub is_strict: bool,
}

impl Band {
    /// Whether there is no end at all.
    pub fn is_open(self) -> bool {
        self.least.is_none() && self.most.is_none()
    }

    /// Whether a value is within.
    pub fn holds(self, value: f64) -> bool {
        let is_before = |one: f64, other: f64| if self.is_strict { one < other } else { one <= other };
        self.least.is_none_or(|least| is_before(least, value))
            && self.most.is_none_or(|most| is_before(value, most))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strict_end_is_no_longer_good() {
        let below = |is_strict| Band { least: None, most: Some(5.0), is_strict };
        assert!(!below(true).holds(5.0) && below(true).holds(4.9) && below(false).holds(5.0));
        let above = |is_strict| Band { least: Some(60.0), most: None, is_strict };
        assert!(!above(true).holds(60.0) && above(true).holds(60.1) && above(false).holds(60.0));
        assert!(Band::default().is_open() && Band::default().holds(-300.0));
        assert!(!below(false).holds(f64::NAN), "what is no number is never good");
    }
}
