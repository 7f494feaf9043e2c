//! The description of the interface, made from the handlers and types themselves.

use serde::Serialize;
use utoipa::openapi::security::{ApiKey, ApiKeyValue, SecurityScheme};
use utoipa::{Modify, OpenApi, ToSchema};

use crate::api;
use crate::morning::{acts, inspector, wear};
use crate::who::SESSION;

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
        acts::release,
        acts::sign,
        acts::lots,
        acts::lot,
        acts::practice,
        acts::lengths,
        acts::erase,
        acts::use_lengths,
        wear::set_past,
        wear::set_costs,
        inspector::open,
        inspector::close,
        crate::app::openapi,
    ),
    components(schemas(EventShape, crate::problem::Problem)),
    security(("session" = [])),
    modifiers(&Session)
)]
struct Interface;

/// Who asks is told by a cookie, which signing in sets.
struct Session;

impl Modify for Session {
    fn modify(&self, document: &mut utoipa::openapi::OpenApi) {
        let cookie = SecurityScheme::ApiKey(ApiKey::Cookie(ApiKeyValue::new(SESSION)));
        let components = document.components.get_or_insert_default();
        components.security_schemes.insert("session".to_owned(), cookie.into());
    }
}

/// The document, JSON.
pub fn document() -> String {
    Interface::openapi().to_json().expect("the document is plain data")
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use crate::gate;

    /// Every route under `/api` is described, and nothing is described that is not served.
    #[test]
    fn describes_every_route() {
        let document: serde_json::Value = serde_json::from_str(&super::document()).expect("it is JSON");
        let paths = document["paths"].as_object().expect("paths by their name");
        let described: BTreeSet<(String, String)> = paths
            .iter()
            .flat_map(|(path, methods)| {
                let methods = methods.as_object().expect("methods by their name");
                methods.keys().map(move |method| (path.clone(), method.to_uppercase()))
            })
            .collect();
        let served: BTreeSet<(String, String)> = gate::all()
            .filter(|route| route.path.starts_with("/api/"))
            .map(|route| (route.path.to_owned(), route.method.to_owned()))
            .collect();
        assert_eq!(described, served);
    }
}
