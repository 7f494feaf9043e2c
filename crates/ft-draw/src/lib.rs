//! Pictures as SVG text, for screen and paper. Pure functions: the same input gives the same bytes.

pub mod order;
mod svg;
