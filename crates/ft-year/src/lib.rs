//! A made-up busy year of the demo kitchen, as events, decided by a seed. Nothing of it ever happened.
//!
//! Four machines are closed each night and opened each morning by walking their core forms; lots come in, are blended,
//! served and kept; probes tell temperatures; parts are replaced. It is for tests and benchmarks of what reads a long
//! record.

mod night;
mod site;

pub use night::Year;
pub use site::{At, Machine, Site};
