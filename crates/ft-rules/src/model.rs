//! A rule set and its rules as plain data.

use std::ops::Range;

use ft_units::{Strength, Temperature, Time};
use jiff::civil::Date;

use crate::amount::Amount;
use crate::subject::Subject;

/// What gives a set its weight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SetKind {
    /// A model text that is law only where it was adopted.
    Model,
    /// The law of a place.
    Law,
    /// Advice of an authority.
    Advice,
    /// The label of a chemical; speaks only where that chemical is used.
    Label,
    /// The instruction of a machine's maker.
    Maker,
    /// The rule of the house.
    House,
}

/// How sure we are of a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sureness {
    /// From memory: check the text before relying on it.
    Memory,
    /// Read in the text of a place that adopted it, or in a summary by an authority.
    Adoption,
    /// Read in the text itself.
    Read,
}

/// From when to when a set is in force, both days included; an end that is not known is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct InForce {
    /// First day.
    pub from: Option<Date>,
    /// Last day.
    pub until: Option<Date>,
}

/// The rules of one place, label or house.
#[derive(Debug, Clone, PartialEq)]
pub struct RuleSet {
    /// Its name, unique in a stack.
    pub name: String,
    /// Where it holds.
    pub place: String,
    /// Which edition was read, and where.
    pub edition: String,
    /// What gives it its weight.
    pub kind: SetKind,
    /// From when to when.
    pub in_force: InForce,
    /// The chemical whose label it is; `Some` exactly for labels.
    pub product: Option<String>,
    /// What else a reader should know.
    pub notes: Vec<String>,
    /// The rules in the order of the file.
    pub rules: Vec<Rule>,
}

/// One rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Unique in its set.
    pub id: String,
    /// Where in the text it stands.
    pub reference: String,
    /// How sure we are of it.
    pub sure: Sureness,
    /// When it applies; all must hold.
    pub when: Vec<Condition>,
    /// What it asks.
    pub body: Body,
    /// What else a reader should know.
    pub note: Option<String>,
    /// Bytes of the file.
    pub span: Range<usize>,
}

/// What a rule depends on.
#[derive(Debug, Clone, PartialEq)]
pub enum Condition {
    /// A circumstance is one of these words.
    Is {
        /// The circumstance.
        key: &'static str,
        /// The words, each of which will do.
        words: Vec<String>,
    },
    /// The room is warmer than this.
    RoomAbove(Temperature),
    /// The room is at most this warm.
    RoomMost(Temperature),
}

/// Which way a limit limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// The figure must not be below.
    AtLeast,
    /// The figure must not be above.
    AtMost,
}

/// What a rule asks.
#[derive(Debug, Clone, PartialEq)]
pub enum Body {
    /// A figure is limited.
    Limit {
        /// Which figure.
        subject: &'static Subject,
        /// The limit, in the unit of the text.
        amount: Amount,
    },
    /// A solution meets one row or more.
    Sanitise {
        /// `chlorine`, `iodine`, `quat` or `other`.
        agent: String,
        /// Rows, one of which must be met whole.
        rows: Vec<Row>,
    },
    /// Food is cooled through every window.
    Cooling(Vec<Window>),
    /// Mix is heat-treated in one of these ways.
    HeatTreat(Vec<Hold>),
    /// Colonies of an organism are limited.
    Microbes {
        /// Which organism or group.
        organism: String,
        /// How samples are judged.
        plan: Plan,
    },
    /// Something must be done.
    Duty(&'static str),
    /// Something must not be done.
    Forbid(&'static str),
}

/// One row of a table of sanitisers; what is `None` is not asked.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Row {
    /// Least strength.
    pub strength_least: Option<Strength>,
    /// Most strength for this row.
    pub strength_most: Option<Strength>,
    /// The strength is that of the label, so a label has to speak.
    pub strength_by_label: bool,
    /// Most pH.
    pub ph_most: Option<f64>,
    /// Least temperature.
    pub temperature_least: Option<Temperature>,
    /// Most hardness of the water.
    pub hardness_most: Option<Strength>,
    /// Least contact time.
    pub contact_least: Option<Time>,
}

/// From one temperature to a lower one within a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// The clock starts when the food is last at or above this; `None`: from the start of the record.
    pub from: Option<Temperature>,
    /// The clock stops when the food is at or below this.
    pub to: Temperature,
    /// The time that is allowed.
    pub within: Time,
}

/// A temperature held for a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hold {
    /// At least this hot.
    pub at: Temperature,
    /// For at least this long.
    pub time: Time,
}

/// How samples are judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Plan {
    /// No sample may be above the limit.
    Each {
        /// The limit.
        most: Amount,
    },
    /// A violation when `count` of the last `of` are above the limit; each that is above is over the limit.
    LastOf {
        /// The limit.
        most: Amount,
        /// How many make a violation.
        count: usize,
        /// Of how many.
        of: usize,
        /// The text warns rather than punishes.
        warns: bool,
    },
    /// Of `n` samples at most `c` may lie above `m`, and none above `most`.
    Attributes {
        /// Samples.
        n: usize,
        /// How many may lie between.
        c: usize,
        /// Good up to here.
        m: Amount,
        /// Bad above here; the same as `m` for a two-class plan.
        most: Amount,
    },
    /// Not found in this many grams of any of `n` samples.
    Absent {
        /// Samples.
        n: usize,
        /// Grams of each.
        grams: usize,
    },
}

impl InForce {
    /// Whether a day lies within.
    pub fn holds_on(self, day: Date) -> bool {
        self.from.is_none_or(|from| from <= day) && self.until.is_none_or(|until| day <= until)
    }
}

impl Sureness {
    /// In words, for every answer.
    pub fn says(self) -> &'static str {
        match self {
            Self::Memory => "from memory, not checked in the text",
            Self::Adoption => "read in an adoption or summary",
            Self::Read => "read in the text",
        }
    }
}

impl SetKind {
    /// Every kind with its word in files.
    pub const ALL: &'static [(Self, &'static str)] = &[
        (Self::Model, "model"),
        (Self::Law, "law"),
        (Self::Advice, "advice"),
        (Self::Label, "label"),
        (Self::Maker, "maker"),
        (Self::House, "house"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(kind, _)| *kind == self).map_or("", |(_, word)| word)
    }
}

impl Bound {
    /// In words, before a figure.
    pub fn says(self) -> &'static str {
        match self {
            Self::AtLeast => "at least",
            Self::AtMost => "at most",
        }
    }
}
