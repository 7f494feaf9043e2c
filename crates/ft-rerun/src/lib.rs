//! Carry-over of kept product: shares, ages, dates and growth along a chain of blends.
//!
//! Each night what is drawn off is kept, and blended into tomorrow's mix. [`ledger`] keeps the books of real
//! volumes: every litre that goes in is in a vessel or has gone out, and knows the lot that it came from. [`days`]
//! runs the record of a chain through such a ledger and asks what a weekly discard, a daily one, or a colder shelf
//! would have changed. [`recurrence`], [`moebius`] and [`age`] are the same in formulas, for settled habits.
//!
//! It assumes clean contact surfaces: it knows nothing of film in the machine or of what hands bring in.

pub mod age;
pub mod days;
pub mod ledger;
pub mod moebius;
pub mod record;
pub mod recurrence;
pub mod report;

pub use days::{Day, DayState, Variant, run};
pub use ledger::{BadMove, Ledger, Lot, Mixing, Portion};
pub use report::{RerunReport, report};
