//! The description of the interface, made from the handlers and types themselves.

use serde::Serialize;
use utoipa::{OpenApi, ToSchema};

use crate::api;

/// What happened, as the device that saw it says.
#[derive(Debug, Serialize, ToSchema)]
pub struct EventShape {
    /// The version of its shape.
    #[schema(minimum = 1, maximum = 1)]
    pub v: u32,
    /// A UUID of version 7 in lower case, made by the device.
    #[schema(pattern = "^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$")]
    pub id: String,
    /// The device.
    #[schema(min_length = 1, max_length = 80)]
    pub device: String,
    /// The device's own count, from 1.
    #[schema(minimum = 1)]
    pub order: u64,
    /// The device's clock, milliseconds since 1970.
    pub at_ms: i64,
    /// The device's time zone.
    #[schema(example = "Europe/Madrid")]
    pub zone: String,
    /// Who.
    pub person: Option<String>,
    /// The night that it belongs to.
    pub run: Option<String>,
    /// The machine.
    pub machine: Option<String>,
    /// What happened: `what` names the kind, as ft-record's `Fact` lists them.
    #[schema(value_type = Object, example = json!({"what": "happened", "event": "Load 1, rinse"}))]
    pub fact: serde_json::Value,
}

/// The interface.
#[derive(OpenApi)]
#[openapi(
    info(
        title = "Fulltray",
        description = "Close a food machine for the night and open it in the morning. Everything but /health and signing in needs the cookie of a session; what changes something needs the header `x-fulltray: 1` and the same origin."
    ),
    paths(
        api::sign_in::sign_in,
        api::sign_in::sign_out,
        api::sign_in::set_up,
        api::people::list,
        api::people::add,
        api::people::reset_pin,
        api::people::own_pin,
        api::people::set_roles,
        api::run::run,
        api::run::form,
        api::run::open,
        api::run::close,
        api::run::what_if,
        api::run::search,
        api::events::events,
        api::probes::probes,
        api::probes::cards,
        api::product::check,
        api::stream::stream,
        api::answer::answer,
        api::check::check,
    ),
    components(schemas(EventShape, crate::problem::Problem))
)]
struct Interface;

/// The document, JSON.
pub fn document() -> String {
    Interface::openapi().to_json().expect("the document is plain data")
}
