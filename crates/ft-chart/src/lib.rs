//! Charts as SVG text: temperature and growth over time, control charts, life curves, and for measurements
//! a log-log chart and small multiples.
//!
//! Pure functions from numbers to text; the same numbers give the same bytes. Lines differ in their dashes and are
//! named at their ends, so that colour is never the only sign. Colours are taken from the reader's own text colour
//! where possible, and a chart has a title and a description for readers that cannot see it.

mod axis;
pub mod control;
mod growth;
pub mod life;
mod log_log;
mod panels;
mod plane;
mod svg;
pub mod trend;

pub use growth::{GrowthChart, GrowthLine, growth_svg};
pub use log_log::{LogLogChart, Series, log_log_svg};
pub use panels::{Panels, panels_svg};
