//! Genealogy of lots by mass balance: what is in any vessel at any time, where it came from, where it went.
//!
//! [`Books`] is a fold over the record. Every vessel is taken as stirred: what is drawn has the shares of what is
//! there, so that the shares of a barrel that is drawn and refilled decay. Nothing is guessed in silence: a draw of
//! more than the books hold adds product of unknown origin ([`UNKNOWN`]), which is told and has no date.
//!
//! It knows dates and shares; it does not know growth. A prediction comes in as a day and can only shorten.

mod books;
mod carry;
mod due;
mod limits;
mod lot;
mod moves;
mod place;
mod text;
mod trace;
mod view;

pub use books::Books;
pub use carry::{Shortfall, UNKNOWN};
pub use due::{Due, Predicted};
pub use limits::{Limits, MarkDays, RerunHours};
pub use lot::Lot;
pub use moves::{Move, Moved};
pub use place::{of_vessel, vessel};
pub use text::{glass_text, inventory_text, trace_text};
pub use trace::{Glass, Trace, backward, forward};
pub use view::{
    CAUTION, Contents, GlassView, Held, InventoryView, NightLine, ServedLine, Share, TraceView, VesselSpan,
};
