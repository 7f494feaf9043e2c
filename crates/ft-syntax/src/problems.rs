//! Collects what is found wrong, up to a number that a person can still read.

use std::ops::Range;

use ft_diag::Problem;

/// As many problems are told; of the rest only how many there are.
pub const MOST_TOLD: usize = 100;

/// The problems of one text.
#[derive(Default)]
pub struct Problems {
    told: Vec<Problem>,
    untold: usize,
    first_untold: Range<usize>,
}

impl Problems {
    /// Adds one. `say` is called only if it will be told: noise makes millions of problems.
    pub fn add(&mut self, span: Range<usize>, say: impl FnOnce(Range<usize>) -> Problem) {
        if self.told.len() < MOST_TOLD {
            self.told.push(say(span));
            return;
        }
        if self.untold == 0 {
            self.first_untold = span;
        }
        self.untold += 1;
    }

    /// The one that was found last, if it is told.
    pub fn last_told(&mut self) -> Option<&mut Problem> {
        if self.untold == 0 { self.told.last_mut() } else { None }
    }

    /// All of them in the order of the text, the last telling how many more there are.
    pub fn finish(mut self) -> Vec<Problem> {
        ft_diag::sort(&mut self.told);
        if self.untold > 0 {
            let message = format!("there are {} more problems after these {MOST_TOLD}", self.untold);
            self.told.push(
                Problem::error("F0027", self.first_untold, message)
                    .with_remedy("put the first ones right and check again"),
            );
        }
        self.told
    }
}

/// `text` for a sentence: one line of at most 40 characters.
pub fn shorten(text: &str) -> String {
    let mut short: String = text.chars().take(40).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}
