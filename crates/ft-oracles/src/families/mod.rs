//! Who answers which rows. One file for each group of families; each says `None` to a row that is not its own.

use serde_json::Value;

pub mod cooling;
pub mod growth;
pub mod input;
pub mod kill;
pub mod odds;
pub mod readings;
pub mod rerun;
pub mod wear;

/// What a family says to a row: `None` if it is not its own, else an answer or why the input cannot be read.
pub type Answer = Option<Result<Value, String>>;

/// One group of families.
pub struct Group {
    /// What it is called on the coverage page.
    pub name: &'static str,
    /// The crate that it tests.
    pub tests: &'static str,
    /// Answers a row by its id and input.
    pub answer: fn(&str, &Value) -> Answer,
}

/// Every group; the first that says something is believed.
pub const GROUPS: &[Group] = &[
    Group { name: "growth", tests: "ft-growth", answer: growth::answer },
    Group { name: "cooling", tests: "ft-growth", answer: cooling::answer },
    Group { name: "odds", tests: "ft-odds", answer: odds::answer },
    Group { name: "readings", tests: "ft-readings", answer: readings::answer },
    Group { name: "wear", tests: "ft-wear", answer: wear::answer },
    Group { name: "rerun", tests: "ft-rerun", answer: rerun::answer },
    Group { name: "kill", tests: "ft-kill", answer: kill::answer },
];

/// The answer of the first group that knows the row.
pub fn answer(id: &str, input: &Value) -> Answer {
    GROUPS.iter().find_map(|group| (group.answer)(id, input))
}
