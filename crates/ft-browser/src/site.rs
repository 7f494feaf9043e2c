//! The program, started as a kitchen would start it, on a folder of its own.

/// FIXME: the program's `serve` is not there yet; this becomes its process.
#[derive(Debug)]
pub struct Site;
