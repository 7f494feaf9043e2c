//! Growth under a logged temperature history, by the exact solution of Baranyi and Roberts in the dose.
//!
//! The model of Baranyi and Roberts (1994) with one rate μ(T(t)) in both of its equations and a constant ceiling
//! depends on the history only through the *dose* `M = ∫ μ(T(t)) dt`. So there is no differential equation to
//! step through, and no short excursion to step over: [`fn@dose`] integrates along the polyline, [`primary`] turns
//! the dose into a count.
//!
//! What is told to people is an [`Advice`]: *nothing to add*, *discard earlier*, or *hold for a decision*. The
//! type has no way to say that something is safe or may be kept longer.
//!
//! Nothing here reads a file, a clock or chance. Rates are natural logs per hour, times hours, temperatures °C.

pub mod advice;
pub mod cooling;
pub mod curve;
pub mod dose;
pub mod history;
pub mod organisms;
pub mod primary;
pub mod report;
pub mod secondary;

pub use advice::{Advice, Deadline, Reason, discard_at};
pub use curve::RateCurve;
pub use dose::{dose, time_above, time_of_dose};
pub use history::{BadHistory, GapRule, History, Reading, Segment};
pub use organisms::{Organism, shipped};
pub use report::{GrowthReport, Question, report};
pub use secondary::{BadModel, SecondaryModel};
