//! When a session is passed: one measure, for the terminal and for the tablet.
//!
//! It is a function of a tally alone. A tablet has no network when it matters, so its program holds the same comparison
//! over the numbers that are sent with what is practised (`client/practise.js`, `isPassed`); a test holds the two against
//! each other. What a tablet tells is judged again by [`Measure::is_passed`] before it goes into the record.

use serde::Serialize;

/// What a session came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Tally {
    /// Choices that were made.
    pub moves: u32,
    /// Choices that were wrong, the dangerous ones too.
    pub slips: u32,
    /// Choices that hands could have carried out, and by which somebody would have come to harm.
    pub dangers: u32,
    /// Whether everything was done.
    pub finished: bool,
}

/// What a session has to keep to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Measure {
    /// So many moves are made for each slip.
    pub moves_per_slip: u32,
    /// So many dangerous choices there may be.
    pub dangers: u32,
}

/// The measure. Source: none, our choice: nine of ten choices right, and nobody hurt.
pub const MEASURE: Measure = Measure { moves_per_slip: 10, dangers: 0 };

impl Measure {
    /// Whether a session is passed: all of it, no more dangerous choices than there may be, and few enough slips.
    pub fn is_passed(&self, tally: &Tally) -> bool {
        let weighed = u64::from(tally.slips) * u64::from(self.moves_per_slip);
        tally.finished && tally.dangers <= self.dangers && weighed <= u64::from(tally.moves)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nine_of_ten_nobody_hurt_and_all_of_it() {
        let good = Tally { moves: 20, slips: 2, dangers: 0, finished: true };
        assert!(MEASURE.is_passed(&good), "two in twenty are just enough");
        assert!(!MEASURE.is_passed(&Tally { moves: 19, ..good }));
        assert!(!MEASURE.is_passed(&Tally { dangers: 1, ..good }));
        assert!(!MEASURE.is_passed(&Tally { finished: false, ..good }));
        let most = Tally { moves: u32::MAX, slips: u32::MAX, dangers: 0, finished: true };
        assert!(!MEASURE.is_passed(&most), "large numbers do not wrap round");
    }
}
