//! What the planner is measured on: nights by seed, wild problems by seed, and the public scheduling sets.

pub mod nights;
pub mod sets;
pub mod wild;
