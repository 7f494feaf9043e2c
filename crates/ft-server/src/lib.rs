//! The running site: sign-in, the interface over HTTP, live updates, certificates, measurements.
//!
//! Pages are put together by `ft-pages`, nights by `ft-run`, and the record is kept by `ft-store`. Here is what has to do
//! with connections, and who may do what: one table, `gate::ROUTES`, which the router is made from.

mod addresses;
mod api;
mod app;
mod body;
mod chain;
mod clock;
mod config;
mod current;
pub mod gate;
mod ids;
mod known;
mod leaf;
mod listen;
mod metrics;
mod morning;
mod openapi;
mod pages;
mod pin;
mod planner;
mod probes;
mod problem;
mod product;
mod readings;
mod seat;
mod sentence;
mod sessions;
mod sheet;
mod site;
mod tls;
mod who;
mod words;

pub use api::run::Search;
pub use config::Config;
pub use current::Current;
pub use listen::{Started, serve};
pub use openapi::document;
pub use pin::Tried;
pub use probes::ProbesConfig;
pub use problem::Problem;
pub use seat::Seat;
pub use site::{NoSite, Read};
