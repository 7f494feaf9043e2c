//! The record: what can have happened, as a closed and versioned set of events.
//!
//! Whatever is shown is a fold over events. Nothing is edited; a correction is an event that names what it corrects.

mod event;
mod fact;

pub use event::{Event, VERSION};
pub use fact::{
    Fact, Installed, Journey, LotOrigin, OpenReason, PartRef, Practice, ReadingSource, Role, SignedAs,
    Training,
};
