//! Temperatures over time: logs read with nothing dropped in silence, cooling windows, date marks, cycles.
//!
//! Between two readings that are not too far apart the temperature is taken as a straight line. A gap is unknown:
//! it is neither good nor bad, it is told, and what depends on it is answered with "not told". Every row that is
//! left out is counted and listed with its reason. The clock is never read here; moments come in as values.

mod cooling;
mod cycles;
mod dates;
mod history;
mod import;
mod mapping;
mod moment;
mod view;

pub use cooling::{WindowOutcome, WindowVerdict, judge_cooling};
pub use cycles::{Cycle, find_cycles, judge_cycle, longest_hold};
pub use dates::{DateMark, Frozen, KeepUntil, TimeControl, time_control};
pub use history::{Above, History, Reading, Summary};
pub use import::{Import, LISTED, LeftOut, Reason, import, import_all};
pub use mapping::{BadMapping, Mapping, read_zone};
pub use moment::{Moment, NoMoment, read as read_moment};
pub use view::{AboveView, ColdchainView, KeepView, LeftOutView, ReasonCount, WindowView};

/// What every answer about time and temperature ends with.
pub const CAUTION: &str = "A log shows its probe, not the food: your local code, the date mark and your own senses \
     come first. A prediction may shorten a holding time, never lengthen it.";
