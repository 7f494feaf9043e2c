//! Proves a procedure or finds its shortest flaw, derives the loosest safe order, and finds the smallest repair.
//!
//! [`check`] answers for everything that the people could do, in any interleaving. It never says `Proved`
//! without having covered everything; [`Proof::certificate`] lets `ft-verify` find out on its own.
//! [`mod@reference`] is the same answer in the plainest way, for tests. How it works: `docs/how-the-proof-works.md`.

mod bits;
mod cases;
mod check;
mod concrete;
mod deadlock;
mod explore;
mod justify;
pub mod live;
mod loosen;
mod memo;
mod order;
mod precedence;
pub mod reference;
mod relation;
mod repair;
mod run;
mod slice;
mod states;
mod strict;
pub mod tell;
mod threads;
mod trial;
mod verdict;

pub use check::check;
pub use order::{NoOrder, Order, OrderEdge, Reason, order, was_asked, why, why_before, why_not, with_order};
pub use repair::{Added, Repair, repair};
pub use verdict::{Flaw, FlawKind, Limits, Proof, TooLarge, Verdict};
