//! Draws a plan: lanes for people, rooms and kit over the time of the night.
//!
//! Pure functions from problem and plan to text. They draw what the plan says and judge nothing.

mod calendar;
mod lanes;
mod svg;
mod text;

pub use calendar::calendar;
pub use lanes::{Bar, Lane, lanes};
pub use svg::svg;
pub use text::text;

/// When the night begins and how its clock is written: seconds of the plan from local midnight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Clock {
    /// Second of the day at which the plan's second 0 lies.
    pub begins_at_s: u32,
}

impl Clock {
    /// A second of the plan as `21:45`, rounded down to the minute.
    pub fn hour(self, at_s: u32) -> String {
        let minutes = u64::from(self.begins_at_s) / 60 + u64::from(self.begins_at_s % 60 + at_s) / 60;
        format!("{:02}:{:02}", minutes / 60 % 24, minutes % 60)
    }
}
