//! The night's planning problem and its plan, as plain data.
//!
//! Nothing here searches and nothing here judges: `ft-plan` makes plans, `ft-referee` says whether they keep the
//! rules, and both read the rules from the documentation of these types. Times are whole seconds from an instant
//! that the caller chooses (usually the moment at which closing may begin).

mod json;
mod loads;
mod plan;
mod problem;

pub use json::{parse_plan, parse_problem, print_plan, print_problem};
pub use loads::{Grouping, LoadFault, first_grouping, group_faults};
pub use plan::{Assignment, Plan, Score, Word};
pub use problem::{
    Done, Edge, Hold, Item, Journey, KitPool, Lag, MAX_PEOPLE, Person, Phase, Place, Point, Problem, Room,
    RoomUse, Serving, Side, Stage, Task, WashWork, Words,
};
