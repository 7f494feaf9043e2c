//! Chores of this repository; see `main`.
fn main() {}
