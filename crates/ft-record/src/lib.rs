//! The record: what can have happened, as a closed and versioned set of events.
//!
//! Whatever is shown is a fold over events. Nothing is edited; a correction is an event that names what it corrects.
//!
//! [`Stored::link`] puts an event into the chain, [`Verifier`] follows a chain and names the first link that does
//! not hold, [`SiteKey`] signs it. [`read_event`] reads events of every version. [`incoming::check`] looks at an event
//! before it is taken, [`fold::run`] tells what a run has come to.

mod chain;
mod event;
mod export;
mod fact;
pub mod fold;
mod follow;
mod id;
pub mod incoming;
mod seal;
mod upcast;
mod words;

pub use chain::{Break, Broken, GENESIS, Hash, Link, Stored, Verifier, hash, hex, unhex};
pub use event::{Event, VERSION};
pub use export::{Exported, NotExported, event_line, first_line, read_exported, seal_line};
pub use fact::{
    Alarm, Fact, Installed, Journey, LotOrigin, OpenReason, PartRef, Practice, ReadingSource, Role, SignedAs,
    Training,
};
pub use follow::Follow;
pub use id::{is_uuid7, uuid7};
pub use seal::{Seal, SiteKey};
pub use upcast::{Unreadable, read_event};
pub use words::{Sentence, filled};
