//! Seeded random procedures, and outsiders that referee a verdict. For tests and benchmarks only.

pub mod chance;
pub mod kiosk;
pub mod spin;
pub mod tiny;
