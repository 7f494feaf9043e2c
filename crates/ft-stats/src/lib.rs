//! Distributions, roots and least values that readings, durations and wear share.
//!
//! The quantiles of Student's t, chi-squared, gamma, beta and the hypergeometric distribution come from `statrs`; the
//! normal tail comes from `libm`, because the library's own is good to 5e-12 only, which is not enough where a
//! run length is one over a small tail. Nothing here knows what a number means. Tested in `tests/against_scipy.rs`.

pub mod distribution;
pub mod maths;
pub mod root;
