//! Charts as SVG text: pure functions from numbers to a picture.
//!
//! A picture has a title and a description for a screen reader, draws with the colour of the text around it, and
//! never tells something by colour alone. The same numbers give the same bytes.

pub mod control;
pub mod life;
pub mod svg;
