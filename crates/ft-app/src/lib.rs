//! What the program can be asked, as plain functions from texts to views.
//!
//! Nothing here reads a clock, a disk or a terminal: texts and choices come in, views go out, and the edges (the
//! command line, the server) show them. A view is a plain struct that serialises to the documented JSON.

pub mod check;
pub mod explain;
pub mod hygiene;
pub mod morning;
pub mod night;
pub mod order;
pub mod play;
pub mod repair_text;
pub mod source;
pub mod tonight;
pub mod verify;
pub mod wear;

pub use source::{Choice, Forms, Prepared, Source, Trouble, machine, prepare};

/// A commented machine file to start from; it is proved as it stands.
pub const STARTER: &str = include_str!("starter.machine.kdl");
