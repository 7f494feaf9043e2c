//! Collects what is found wrong, up to a number that a person can still read.

use std::ops::Range;

use crate::{Problem, sort};

/// As many problems of a text are told; of the rest only how many there are.
pub const MOST_TOLD: usize = 100;

/// The problems of one text.
///
/// Noise makes millions of problems. Beyond [`MOST_TOLD`] they are counted, but their sentences are never
/// made: looking for the nearest name can cost more than all the rest.
#[derive(Debug, Default)]
pub struct Collector {
    told: Vec<Problem>,
    untold: usize,
    first_untold: Range<usize>,
}

impl Collector {
    /// Adds one. `say` is called only if it will be told.
    pub fn add(&mut self, span: Range<usize>, say: impl FnOnce(Range<usize>) -> Problem) {
        if self.is_full() {
            self.count(span);
        } else {
            self.told.push(say(span));
        }
    }

    /// Whether a further one would only be counted.
    pub fn is_full(&self) -> bool {
        self.told.len() >= MOST_TOLD
    }

    /// Counts one without its sentence.
    pub fn count(&mut self, span: Range<usize>) {
        if self.untold == 0 {
            self.first_untold = span;
        }
        self.untold += 1;
    }

    /// The one that was found last, if it is told.
    pub fn last_told(&mut self) -> Option<&mut Problem> {
        if self.untold == 0 { self.told.last_mut() } else { None }
    }

    /// All that are told, sorted; if there are more, the last one has the code `more` and says how many.
    pub fn finish(mut self, more: &'static str) -> Vec<Problem> {
        sort(&mut self.told);
        if self.untold > 0 {
            let message = format!("there are {} more problems after these {MOST_TOLD}", self.untold);
            self.told.push(
                Problem::error(more, self.first_untold, message)
                    .with_remedy("put the first ones right and check again"),
            );
        }
        self.told
    }
}
