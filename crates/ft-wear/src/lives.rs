//! Ages of parts when last seen, and how each ended.

use std::fmt;

/// How a part's life ended, as far as the record goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum End {
    /// It failed at this age.
    Failed,
    /// It had not failed when it was last seen: changed in time, or still fitted (censored on the right).
    Unfailed,
}

/// One or more parts with the same age and end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Life {
    /// Age when last seen, above 0, in the unit of the whole list.
    pub age: f64,
    /// What happened at that age.
    pub end: End,
    /// How many parts, at least 1.
    pub count: u32,
}

/// Ages and ends of at least one part, sorted by age, failures before the others at equal ages, each age and end once.
#[derive(Debug, Clone, PartialEq)]
pub struct Lives {
    sorted: Vec<Life>,
}

/// Why a list of lives cannot be used.
#[derive(Debug, Clone, PartialEq)]
pub enum BadLives {
    /// The list holds nothing.
    Empty,
    /// An age is not a positive finite number, or a count is nought.
    BadAge {
        /// Place in the list, counted from 1.
        number: usize,
        /// The age that was given.
        age: f64,
    },
    /// Nothing failed, so that a life cannot be fitted; a lower bound can be given if a shape is assumed.
    NoFailures,
    /// All failures are at the greatest age, so that the likelihood grows with the shape without end.
    NoSpread,
}

impl fmt::Display for BadLives {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "no parts in the list"),
            Self::BadAge { number, age } => {
                write!(
                    f,
                    "part {number} has age {age}, and an age is a finite number above 0 with a count of 1 or more"
                )
            }
            Self::NoFailures => {
                write!(f, "nothing failed: give the shape that is expected to have a lower bound of the life")
            }
            Self::NoSpread => {
                write!(f, "all failures are at the greatest age in the list: the shape has no bound")
            }
        }
    }
}

impl std::error::Error for BadLives {}

impl Lives {
    /// Checks and sorts a list.
    ///
    /// # Errors
    /// [`BadLives::Empty`] or [`BadLives::BadAge`] of the first that is wrong.
    pub fn new(mut lives: Vec<Life>) -> Result<Self, BadLives> {
        if lives.is_empty() {
            return Err(BadLives::Empty);
        }
        for (index, life) in lives.iter().enumerate() {
            if !(life.age.is_finite() && life.age > 0.0) || life.count == 0 {
                return Err(BadLives::BadAge { number: index + 1, age: life.age });
            }
        }
        lives.sort_by(|a, b| a.age.total_cmp(&b.age).then(a.end.cmp(&b.end)));
        // Ages in whole days repeat: sums over a thousand blades become sums over some eighty ages.
        lives.dedup_by(|next, kept| {
            let same = next.age.total_cmp(&kept.age).is_eq() && next.end == kept.end;
            if same {
                kept.count += next.count;
            }
            same
        });
        Ok(Self { sorted: lives })
    }

    /// One part for each age, failures first.
    ///
    /// # Errors
    /// As [`Lives::new`].
    pub fn from_ages(failed: &[f64], unfailed: &[f64]) -> Result<Self, BadLives> {
        let life = |end| move |age: &f64| Life { age: *age, end, count: 1 };
        Self::new(
            failed.iter().map(life(End::Failed)).chain(unfailed.iter().map(life(End::Unfailed))).collect(),
        )
    }

    /// Sorted by age, failures before the others at equal ages; each age and end once.
    pub fn sorted(&self) -> &[Life] {
        &self.sorted
    }

    /// Number of parts that failed.
    pub fn failures(&self) -> u32 {
        self.sorted.iter().filter(|life| life.end == End::Failed).map(|life| life.count).sum()
    }

    /// Number of parts.
    pub fn parts(&self) -> u32 {
        self.sorted.iter().map(|life| life.count).sum()
    }

    /// Sum of all ages: the time that all parts together were seen at work.
    pub fn total_age(&self) -> f64 {
        self.sum(|life| life.age)
    }

    /// Sum of a term over all parts, in order of age.
    pub(crate) fn sum(&self, term: impl Fn(&Life) -> f64) -> f64 {
        self.sorted.iter().fold(0.0, |total, life| total + f64::from(life.count) * term(life))
    }

    /// Sum of a term over all parts that failed, in order of age.
    pub(crate) fn sum_failed(&self, term: impl Fn(&Life) -> f64) -> f64 {
        self.sum(|life| if life.end == End::Failed { term(life) } else { 0.0 })
    }

    /// The greatest age in the list.
    pub fn greatest_age(&self) -> f64 {
        self.sorted.last().map_or(0.0, |life| life.age)
    }
}
