//! What the prover answers.

use ft_form::certificate::Certificate;
use ft_form::{EventId, Form};

/// How much work may be done. There is no clock in it, so that the same question always has the same answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// States visited, over all slices.
    pub states: u64,
    /// Bytes held by states at one time.
    pub bytes: u64,
}

impl Default for Limits {
    /// Some seconds and 1 GiB at most. Source: none, our choice for an interactive program.
    fn default() -> Self {
        Self { states: 20_000_000, bytes: 1 << 30 }
    }
}

impl Limits {
    /// A part of the work, for a question that is asked on the way to another.
    #[must_use]
    pub fn share(&self, of: u64) -> Self {
        Self { states: self.states / of, bytes: self.bytes }
    }
}

/// What can be wrong with a procedure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FlawKind {
    /// The hazard with this index can be shown.
    Hazard(usize),
    /// Events remain and none may happen.
    Deadlock,
    /// Everything has happened and the goal does not hold.
    Goal,
}

impl FlawKind {
    /// `hazard:ID`, `deadlock` or `goal`, as in the JSON.
    pub fn text(self, form: &Form) -> String {
        match self {
            Self::Hazard(index) => format!("hazard:{}", form.hazards[index].id),
            Self::Deadlock => "deadlock".into(),
            Self::Goal => "goal".into(),
        }
    }

    /// Every kind that a form has, in the card's order: hazards, deadlock, goal.
    pub fn all(form: &Form) -> Vec<Self> {
        let mut kinds: Vec<_> = (0..form.hazards.len()).map(Self::Hazard).collect();
        kinds.extend([Self::Deadlock, Self::Goal]);
        kinds
    }
}

/// One thing that can go wrong, with a shortest way to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Flaw {
    /// What goes wrong.
    pub kind: FlawKind,
    /// Events from the start, up to and including the one that makes the hazard true or on which it is
    /// reported; no shorter story has the same kind.
    pub story: Vec<EventId>,
}

/// The answer of [`crate::check`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    /// No hazard, no deadlock, and the goal is always reached.
    Proved(Proof),
    /// Each kind of flaw that can be reached, once, in the card's order.
    Flaw(Vec<Flaw>),
    /// The limits were reached first.
    TooLarge(TooLarge),
}

/// That a form is proved, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proof {
    /// States covered, over all slices.
    pub states: u64,
    /// What [`Verdict::Proved`] rests on.
    pub certificate: Certificate,
}

/// What was covered before the limits were reached.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TooLarge {
    /// States covered.
    pub states: u64,
    /// Kinds of which nothing is known.
    pub undecided: Vec<FlawKind>,
    /// Flaws found so far.
    pub flaws: Vec<Flaw>,
}

impl Verdict {
    /// Whether it is proved.
    pub fn is_proved(&self) -> bool {
        matches!(self, Self::Proved(_))
    }

    /// `proved`, `flaw` or `too-large`, as in the JSON.
    pub fn text(&self) -> &'static str {
        match self {
            Self::Proved(_) => "proved",
            Self::Flaw(_) => "flaw",
            Self::TooLarge(_) => "too-large",
        }
    }

    /// The flaws found, none if proved.
    pub fn flaws(&self) -> &[Flaw] {
        match self {
            Self::Proved(_) => &[],
            Self::Flaw(flaws) => flaws,
            Self::TooLarge(covered) => &covered.flaws,
        }
    }
}
