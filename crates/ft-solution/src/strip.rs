//! A test strip shows a band, never a number.

use std::fmt;

/// The colours of one kind of strip: the strengths in mg/L that they stand for, rising.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    marks_mg_per_l: Vec<f64>,
}

/// What a strip said: at least `low`, at most `high`, in mg/L.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// At least this much.
    pub low: f64,
    /// At most this much; infinite above the last colour.
    pub high: f64,
}

/// What a band says about a range that is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BandVerdict {
    /// The whole band lies within.
    Within,
    /// Part of the band lies outside: read again between two colours, or remake the solution.
    Undecided,
    /// The whole band lies outside.
    Outside,
}

/// Why a strip cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StripProblem(pub String);

impl fmt::Display for StripProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for StripProblem {}

impl Strip {
    /// A strip with these colours.
    ///
    /// # Errors
    /// [`StripProblem`] unless there are two or more, none negative, each above the one before.
    pub fn new(marks_mg_per_l: Vec<f64>) -> Result<Self, StripProblem> {
        let rising = marks_mg_per_l.windows(2).all(|pair| pair[0] < pair[1]);
        let sound = marks_mg_per_l.iter().all(|mark| *mark >= 0.0 && mark.is_finite());
        if marks_mg_per_l.len() < 2 || !rising || !sound {
            return Err(StripProblem(
                "a strip needs two or more colours of 0 mg/L or more, each above the one before".into(),
            ));
        }
        Ok(Self { marks_mg_per_l })
    }

    /// The band of a colour: from the colour below to the colour above, since eyes do not read finer.
    ///
    /// # Errors
    /// [`StripProblem`] where the strip has no such colour.
    pub fn band_of(&self, colour_mg_per_l: f64) -> Result<Band, StripProblem> {
        let index = self.marks_mg_per_l.iter().position(|mark| mark.total_cmp(&colour_mg_per_l).is_eq());
        let Some(index) = index else {
            let marks: Vec<String> = self.marks_mg_per_l.iter().map(ToString::to_string).collect();
            return Err(StripProblem(format!(
                "the strip has no colour for {colour_mg_per_l} mg/L; its colours are {}",
                marks.join(", ")
            )));
        };
        let low = index.checked_sub(1).map_or(self.marks_mg_per_l[0], |below| self.marks_mg_per_l[below]);
        let high = self.marks_mg_per_l.get(index + 1).copied().unwrap_or(f64::INFINITY);
        Ok(Band { low, high })
    }

    /// The band between two colours that are next to each other, when the pad lies between them.
    ///
    /// # Errors
    /// [`StripProblem`] where they are not neighbours.
    pub fn band_between(&self, low: f64, high: f64) -> Result<Band, StripProblem> {
        let neighbours = self
            .marks_mg_per_l
            .windows(2)
            .any(|pair| pair[0].total_cmp(&low).is_eq() && pair[1].total_cmp(&high).is_eq());
        if !neighbours {
            return Err(StripProblem(format!(
                "{low} and {high} mg/L are not neighbouring colours of the strip"
            )));
        }
        Ok(Band { low, high })
    }
}

impl Band {
    /// Holds the band against a range in mg/L, both ends allowed.
    pub fn verdict(self, least: f64, most: f64) -> BandVerdict {
        if least <= self.low && self.high <= most {
            BandVerdict::Within
        } else if self.high < least || most < self.low {
            BandVerdict::Outside
        } else {
            BandVerdict::Undecided
        }
    }
}
