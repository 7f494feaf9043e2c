//! The night as it happens: forms with their proved order, what is next for whom, answers to deviations, and the plan
//! made anew from what really happened.
//!
//! Pure: texts, a plan and the events of a run come in; views and sentences go out. It reads no clock; whoever asks
//! says what time it is.

mod again;
mod answers;
mod machine;
mod next;
mod parts;
mod pieces;
mod rows;
mod undo;

pub use again::{Hand, Seen, again};
pub use answers::{Answer, Rest, answer, rest};
pub use machine::{Live, NotLive, Run};
pub use next::{Due, Next, due, next, open, siblings, starts};
pub use parts::{Followed, slot_place};
pub use pieces::{Pause, Piece, pieces};
pub use rows::{Beware, PlanRows, Row, Wait, rows};
pub use undo::{Undo, undoable};
