//! A machine and its procedures as plain data: every name resolved to an index, every amount with its unit.
//!
//! Indexes point into the lists of [`Machine`]; a `…Id` says into which. Nothing here reads text, clock or disk,
//! and nothing here searches. Items keep the bytes of the file that they came from, for messages only.

mod kitchen;
mod machine;
mod procedure;

pub use kitchen::{Hours, Installed, Kitchen, Person, shortest};
pub use machine::{
    Caution, CautionKind, Fact, FactId, Groove, Journey, Line, LineId, Liquid, Lubricant, Machine, Material,
    Named, OptionId, Part, PartId, Place, PlaceId, Product, ProductId, SideId, Sink, SinkId, Solution,
    SolutionId, SolutionKind, Span, Stock, Switch, SwitchId, SwitchRole, Valve, ValveId, Vessel, VesselId,
    Walk, Words,
};
pub use procedure::{
    CardOrder, Condition, Every, Finding, Procedure, Serving, SideRef, Statement, Step, StepId, Subject,
    Target, Test, Wait, Wish,
};
