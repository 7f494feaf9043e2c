//! Probes over the interface: as they are now, for programs and for the page that shows them.

use std::sync::Arc;

use axum::Extension;
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

use super::beside;
use super::run::language_of;
use crate::body::Asked;
use crate::ids::now_ms;
use crate::problem::Problem;
use crate::site::Site;
use crate::who::Who;

/// In which language.
#[derive(Debug, Deserialize)]
pub struct In {
    language: Option<String>,
}

/// Every probe with its last reading, its state and its alarms; the broker.
#[utoipa::path(get, path = "/api/probes", tag = "readings",
    responses((status = 200, content_type = "application/json", body = Object), (status = "4XX", body = Problem)))]
pub async fn probes(State(site): State<Arc<Site>>) -> Response {
    ([(CONTENT_TYPE, "application/json")], crate::probes::json(&site, now_ms())).into_response()
}

/// The probes' part of the page of readings, as it is now.
///
/// # Errors
/// [`Problem`]: there are none.
#[utoipa::path(get, path = "/api/probes/cards", tag = "readings", params(("language" = Option<String>, Query)),
    responses((status = 200, content_type = "text/html", body = String), (status = "4XX", body = Problem)))]
pub async fn cards(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(asked): Asked<In>,
) -> Result<Response, Problem> {
    let language = ft_pages::Language::of(language_of(asked.language.as_deref(), &who));
    let language = language.unwrap_or(ft_pages::Language::English);
    beside(&site, move |site| {
        let view = crate::probes::cards(site, &site.current(), language, now_ms());
        let view = view.ok_or_else(|| Problem::no_such("This site has no probes."))?;
        let html = ft_pages::probes(language, &view);
        Ok(([(CONTENT_TYPE, "text/html; charset=utf-8")], html).into_response())
    })
    .await
}
