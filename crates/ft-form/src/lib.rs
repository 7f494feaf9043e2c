//! The core form of a procedure: what a machine file compiles to, and what everything else works on.
//!
//! A form is plain data: variables with small finite domains, events that each happen exactly once,
//! hazards that must never hold, and a goal. [`walk`] defines what it means, in the plainest way;
//! [`json`] is the exchange format; [`promela`] lets the SPIN model checker referee a verdict.
//!
//! This crate deliberately does not search: it knows no prover and no planner.

pub mod certificate;
pub mod json;
pub mod promela;
mod types;
pub mod walk;

pub use types::{
    Allowed, Asked, Cond, Effect, Event, EventId, EventKind, Form, Hazard, MAX_VALUES, Op, Origin, Var,
    VarId, VarKind, Words, allows,
};
