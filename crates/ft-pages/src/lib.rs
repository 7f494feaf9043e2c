//! The pages: view structs to HTML, and the program that runs in the browser, embedded.
//!
//! Pure functions: a [`Shell`] says for whom and where, a view says what, and the answer is a whole document. Nothing
//! here asks anything of anybody. What runs in the browser lies in `client/` as plain modules and is served as it
//! stands by [`asset`]; the pages hold no script and no style of their own, so that [`POLICY`] can forbid both.

mod assets;
mod file;
mod inspect;
mod leaf;
mod lots;
mod machine;
mod parts;
mod people;
mod practice;
mod probes;
mod problem;
mod product;
mod readings;
mod record;
mod release;
mod shell;
mod sign_in;
mod step;
mod tonight;
mod trace;
mod tray;
mod trust;
mod words;

pub use assets::{ASSETS, POLICY, asset};
pub use file::{FileView, file};
pub use inspect::{InspectView, NightLine, inspect};
pub use leaf::Leaves;
pub use lots::{Due, HeldLine, LotsView, ShareLine, lots, percent};
pub use machine::{EventLine, EventState, MachineView, StateGroup, StateLine, machine};
pub use parts::{DueLine, InspectLine, LifeLine, OrderLine, PartsView, parts};
pub use people::{PeopleView, PersonLine, SkillLine, people};
pub use practice::{Course, PracticeView, practice};
pub use probes::{AlarmLine, ProbeCard, ProbeState, ProbesView, probes};
pub use problem::problem;
pub use product::{ProductLine, ProductView};
pub use readings::{ReadingTaken, ReadingWanted, ReadingsView, readings};
pub use record::{RecordLine, RecordView, RunLine, SignatureLine, record};
pub use release::{Answer, ReasonLine, ReleaseView, release};
pub use shell::{MachineLink, Page, Person, Shell, document, path_segment};
pub use sign_in::{SetUpView, SignInView, set_up, sign_in};
pub use step::step;
pub use tonight::{Hand, MachineLine, NightState, PlanRow, TonightView, tonight};
pub use trace::{GlassView, ServedLine, TraceView, glass, trace};
pub use tray::{MissingLine, Slot, SlotState, TrayView, tray};
pub use trust::{TrustView, trust};
pub use words::{Language, text};
