//! Who may do what, out of the record: roles, skills that were practised and done under watch, and lapses.
//!
//! [`People`] is a fold. Only a trainer or a lead can confirm or withdraw a skill, only somebody who may do it alone
//! can watch, and nobody can say so of themselves; what was told otherwise is set aside.

mod lengths;
mod people;
mod skill;
mod view;

pub use lengths::{NOTICE, NOTICE_ES, StepLengths};
pub use people::{Named, People, Person};
pub use skill::{Alone, Settings, Why};
pub use view::{PeopleView, PersonView, SkillView};
