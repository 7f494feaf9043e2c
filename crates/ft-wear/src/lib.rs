//! How long parts last, when to change them, and how many to keep.
//!
//! From replacements (failed, changed in time, still fitted) to a life curve, a Weibull fit with honest bounds, the
//! age at which a planned change costs least, due dates and an order list. It advises and never lengthens: the
//! maker's longest interval is a cap that no fit can lift, and where the record does not show that a part wears,
//! no age is recommended. It knows neither steps nor people. Check values: `tests/` and the oracle rows `WEI`,
//! `KM`, `WBAYES`, `AGE-OPT`, `SPARE`, `EXP`, `LOGN`.

pub mod due;
pub mod exponential;
pub mod kaplan_meier;
pub mod lives;
pub mod lognormal;
pub mod record;
pub mod replacement;
pub mod spares;
pub mod view;
pub mod weibayes;
pub mod weibull;

pub use lives::{BadLives, End, Life, Lives};
