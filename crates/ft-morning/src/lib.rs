//! The morning's pages filled out of the record: what folds have found, in the page's language.
//!
//! Pure functions from a fold's answer to a view struct of `ft-pages`. Who asks, what they may do and what time it is
//! come in; nothing here decides anything.

mod due;
mod growth;
mod labels;
mod lots;
pub mod packet;
mod parts;
mod people;
mod practice;
mod release;
mod site;

pub use due::duties;
pub use growth::{Kept, Logs, kept, predicted};
pub use labels::{NoLabel, labels};
pub use lots::{glass, lots, trace};
pub use parts::{Inspections, parts};
pub use people::{Lengths, people};
pub use practice::{Sessions, practice};
pub use release::{answer, release};
pub use site::{Place, Site};
