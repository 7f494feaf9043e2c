//! Growth of many histories at once: streaming, parallel, memory bounded.
//!
//! [`table::DoseTable`] turns any rate into two look-ups and a division for each stretch; [`packed`] sums a uniform
//! log of one square-root line in whole numbers, with no look-up at all; [`stream::Accumulator`] takes one reading
//! at a time and keeps only the last; [`folder`] runs a folder of CSV logs through it, as many at once as there are
//! cores. Whatever is left out is counted and listed.
//!
//! Temperatures are held in hundredths of a degree, rounded up, so that rounding never makes less of the growth.

pub mod folder;
pub mod outcome;
pub mod packed;
pub mod stream;
pub mod table;

pub use folder::{BadFolder, Columns, read_log, run_folder};
pub use outcome::{LeftOut, Outcome, Subject};
pub use stream::Accumulator;
pub use table::{DoseTable, centi_from_celsius};
