//! Rule sets as data: limits by place and date, each in the unit of its own text.
//!
//! A limit of 75 °F is compared in °F. A site stacks sets; every set that speaks must be met, so the strictest
//! wins, and an answer names it and what the others said. No set here is law: each is a reading aid, with its
//! text reference and how sure we are of it. Adding a place is adding a file: `docs/rules.md`.
//!
//! This crate judges figures that it is given. It reads no clock and no file, and measures nothing.

mod amount;
mod answer;
mod codes;
mod microbes;
mod model;
mod read;
mod sanitise;
mod scalar;
mod shipped;
mod site;
mod stack;
mod subject;
mod view;

pub use amount::{Amount, CountUnit, DensityUnit, Dimension, LengthUnit, ShareUnit};
pub use answer::{Answer, Finding, NOT_LAW, Verdict};
pub use codes::{CODES, Code};
pub use microbes::{Grade, MicrobeAnswer, MicrobeFinding, judge_attributes};
pub use model::{Body, Bound, Condition, Hold, InForce, Plan, Row, Rule, RuleSet, SetKind, Sureness, Window};
pub use read::{ReadSet, read};
pub use sanitise::Solution;
pub use shipped::{SHIPPED, Shipped, shipped, shipped_named};
pub use site::{Override, Site, read_site};
pub use stack::{Circumstances, Stack};
pub use subject::{KEYS, PRACTICES, SUBJECTS, Subject, subject_named};
pub use view::{AnswerView, FindingView, RulesView, SetView};
