//! May it serve? Yes or no, every reason with its evidence, and what would turn a no into a yes.
//!
//! [`Morning`] is a fold over the record that keeps what the question needs: the last closing and opening of each
//! machine, faults, parts, lots, people. [`Expected`] says what a machine should have gone through, out of its machine
//! file. [`may_it_serve`] holds one against the other at a moment. It is a pure function: the clock comes in.
//!
//! Nothing here ever turns silence into a yes. What was not told is a reason; what was told twice counts in the worse
//! way. A lead may set some reasons aside, in the record and visibly: never a missing part, a skipped stage, a failed
//! reading or a lot that has to go. It advises; it never drives a machine.

mod decision;
mod expected;
mod judge;
mod morning;
mod played;
mod say;
mod text;

pub use decision::{CAUTION, CAUTION_ES, Code, Decision, Evidence, OverriddenBy, Reason, TextReference};
pub use expected::{Circuit, Contact, Expected, Limit, Measure, Part, Settings, Vessel, Work};
pub use judge::may_it_serve;
pub use morning::{MachineLog, Morning, Run};
pub use text::text;
