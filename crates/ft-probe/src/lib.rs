//! What probes send: which message or row is which reading, what is kept of it, gaps, and alarms before limits are met.
//!
//! Everything here is arithmetic over what came: no socket, no folder, no clock. Whoever listens to a broker or looks
//! into a folder hands on bytes and moments, and writes down what comes out. Three things hold:
//!
//! - **Nothing is dropped in silence.** What is not kept one by one is counted, with the lowest and the highest; what is
//!   no reading is counted by a code that says why ([`CODES`]).
//! - **A silence is a gap.** Between the last reading and the next nobody knows, and that is what is shown.
//! - **An alarm can only make somebody look sooner.** By when to look only moves earlier while it lasts.

pub mod alarm;
mod arrival;
mod codes;
mod limit;
mod mapping;
pub mod message;
mod rows;
pub mod thin;
mod unit;
mod value;
mod watch;

pub use arrival::{Arrival, Reading, Refusal};
pub use codes::{CODES, Code};
pub use limit::Limit;
pub use mapping::{
    Broker, Columns, Folder, Keep, Mapping, Places, Probe, ReadMapping, Source, check_places, fits, read,
};
pub use rows::Rows;
pub use unit::{ProbeUnit, number};
pub use watch::{STRETCH_MS, Said, Watch};

/// What every reading of a probe is shown with.
pub const CAUTION: [(&str, &str); 2] = [
    (
        "en",
        "A probe shows its own place, not the food. Your local code, the equipment's own instructions and a thermometer \
         in the food come first. A forecast can shorten the time that you have, never lengthen it.",
    ),
    (
        "es",
        "Una sonda muestra su propio sitio, no el alimento. Antes están la norma local, las instrucciones del equipo y un \
         termómetro en el alimento. Un pronóstico puede acortar el tiempo disponible, nunca alargarlo.",
    ),
];
