//! What is shown is a fold over events: the present of a run, worked out anew from all that happened.
//!
//! A fold looks at the set of events, not at the order in which they arrived: two tablets that were without a
//! network, in whatever order they come back, give the same night.

mod merge;
mod moves;
mod night;
mod parts;

pub use merge::merged;
pub use moves::{Also, Blocked, Conflict, Done, MachineNight, replay};
pub use night::{Correction, Night, Opened, Presence, ReadingTaken, Signature, Timer, run};
pub use parts::PartNow;
