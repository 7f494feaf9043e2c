//! The codes of what can be wrong with a rule file, each with its reason.

/// What there is to say of a code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Code {
    /// Such as `R0003`.
    pub code: &'static str,
    /// A few words, no full stop.
    pub title: &'static str,
    /// Why it is a problem, and what to do.
    pub why: &'static str,
}

/// All codes of rule and site files, in order.
pub const CODES: &[Code] = &[
    Code {
        code: "R0001",
        title: "not one rule set",
        why: "A rule file holds one node `rules \"name\" { … }` and nothing beside it, so that a place is a file.",
    },
    Code {
        code: "R0002",
        title: "an unknown word",
        why: "Subjects, practices, circumstances and properties have fixed words; one that is misspelt would be a rule that never speaks.",
    },
    Code {
        code: "R0003",
        title: "something is missing",
        why: "A set says its place, edition and kind; a rule says where it stands in its text (`ref`) and how sure we are (`sure`).",
    },
    Code {
        code: "R0004",
        title: "an amount that cannot be read",
        why: "A limit is a number with the unit of its text, in quotes: \"41 °F\". The unit has to fit what is limited.",
    },
    Code {
        code: "R0005",
        title: "a date that cannot be read",
        why: "Dates are written year, month, day: \"2023-03-08\". A date that is not known is left out, never guessed.",
    },
    Code {
        code: "R0006",
        title: "two rules of one name",
        why: "Overrides and answers name a rule, so a set has each name once. Give one of them its own `id=`.",
    },
    Code {
        code: "R0007",
        title: "a limit in the wrong direction",
        why: "Some figures must not be too low, others not too high. `at-least` where it should be `at-most` would turn the rule round.",
    },
    Code {
        code: "R0008",
        title: "a plan that cannot be",
        why: "A sampling plan needs counts that fit each other: at most as many as there are samples, and m not above M.",
    },
    Code {
        code: "R0009",
        title: "an override of nothing",
        why: "An override names a set of the stack and a rule in it, and stays on record with who, when and why.",
    },
];
