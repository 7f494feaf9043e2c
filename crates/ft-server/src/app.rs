//! The router: every route of the table with its handler, and what is around all of them.

use std::sync::Arc;
use std::time::Instant;

use axum::extract::{MatchedPath, Path, Request, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, LOCATION};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::{MethodRouter, get, post};
use axum::{Extension, Json, Router};
use tower_http::compression::CompressionLayer;

use crate::api;
use crate::gate::{self, Route, Verdict};
use crate::pages;
use crate::problem::Problem;
use crate::site::Site;
use crate::who::{Who, is_own};

/// Whether a connection is encrypted: put into each request by whoever accepts it.
#[derive(Debug, Clone, Copy)]
pub struct IsSecure(pub bool);

/// The largest body of most requests.
const BODY: usize = 512 * 1024;
/// The largest machine file that is checked.
const FILE: usize = 256 * 1024;

/// The router of a site.
///
/// # Panics
/// If the table has a route that has no handler.
pub fn router(site: &Arc<Site>, is_secure: bool) -> Router {
    let mut router = Router::new();
    for route in gate::all() {
        router = router.route(route.path, handler(route));
    }
    router
        .method_not_allowed_fallback(not_allowed)
        .fallback(nothing)
        .route_layer(middleware::from_fn_with_state(Arc::clone(site), guard))
        .layer(axum::extract::DefaultBodyLimit::max(BODY))
        .layer(middleware::from_fn_with_state(Arc::clone(site), around))
        // Not streams: they are told as things happen.
        .layer(CompressionLayer::new().gzip(true))
        .layer(Extension(IsSecure(is_secure)))
        .with_state(Arc::clone(site))
}

fn handler(route: &Route) -> MethodRouter<Arc<Site>> {
    match (route.method, route.path) {
        ("GET", "/") => get(pages::tonight),
        ("GET", "/step") => get(pages::step),
        ("GET", "/tray/{machine}") => get(pages::tray),
        ("GET", "/machine/{machine}") => get(pages::machine),
        ("GET", "/readings") => get(pages::readings),
        ("GET", "/file/{machine}") => get(pages::file),
        ("GET", "/record") => get(pages::record),
        ("GET", "/sign-in") => get(pages::sign_in),
        ("GET", "/set-up") => get(pages::set_up),
        ("GET", "/trust") => get(pages::trust),
        ("GET", "/trust/ca.crt") => get(certificate),
        ("GET", "/assets/{*path}") => get(asset),
        ("GET", "/sw.js") => get(worker),
        ("GET", "/health") => get(health),
        ("GET", "/metrics") => get(metrics),
        ("GET", "/api/openapi.json") => get(openapi),
        ("GET", "/api/run") => get(api::run::run),
        ("GET", "/api/form/{mark}") => get(api::run::form),
        ("GET", "/api/stream") => get(api::stream::stream),
        ("GET", "/api/probes") => get(api::probes::probes),
        ("GET", "/api/probes/cards") => get(api::probes::cards),
        ("GET", "/api/people") => get(api::people::list),
        ("GET", "/api/search/{machine}") => get(api::run::search),
        ("POST", "/api/events") => post(api::events::events),
        ("POST", "/api/run/open") => post(api::run::open),
        ("POST", "/api/run/close") => post(api::run::close),
        ("POST", "/api/plan/what-if") => post(api::run::what_if),
        ("POST", "/api/answer") => post(api::answer::answer),
        ("POST", "/api/check") => post(api::check::check).layer(axum::extract::DefaultBodyLimit::max(FILE)),
        ("POST", "/api/product") => post(api::product::check),
        ("POST", "/api/people") => post(api::people::add),
        ("POST", "/api/people/{name}/pin") => post(api::people::reset_pin),
        ("POST", "/api/people/{name}/roles") => post(api::people::set_roles),
        ("POST", "/api/me/pin") => post(api::people::own_pin),
        ("POST", "/api/sign-in") => post(api::sign_in::sign_in),
        ("POST", "/api/sign-out") => post(api::sign_in::sign_out),
        ("POST", "/api/set-up") => post(api::sign_in::set_up),
        (method, path) => {
            crate::morning::handler(route).unwrap_or_else(|| panic!("{method} {path} has no handler"))
        }
    }
}

/// Lets in whom the table lets in.
async fn guard(
    State(site): State<Arc<Site>>,
    Extension(IsSecure(is_secure)): Extension<IsSecure>,
    matched: MatchedPath,
    mut request: Request,
    next: Next,
) -> Response {
    let Some(route) = gate::route(request.method().as_str(), matched.as_str()) else {
        return next.run(request).await;
    };
    if request.method() == Method::POST && !is_own(request.headers(), is_secure) {
        return Problem::new(
            StatusCode::FORBIDDEN,
            "W0406",
            "This request does not come from a page of this site.",
            "Send the header `x-fulltray: 1`, and no `origin` but the site's own.",
        )
        .into_response();
    }
    let who = Who::of(&site, request.headers(), is_secure);
    let roles = who.name.as_ref().map(|_| who.roles.as_slice());
    let is_first_start = site.known().people.is_empty();
    let verdict = gate::judge(route.may, roles, is_first_start, has_token(&site, request.headers()));
    if let Some(instead) = instead(route, verdict, is_first_start, request.uri().path()) {
        return instead;
    }
    request.extensions_mut().insert(who);
    next.run(request).await
}

/// The answer of the gate to whom it does not let in.
fn instead(route: &Route, verdict: Verdict, is_first_start: bool, path: &str) -> Option<Response> {
    let go = |to: String| (StatusCode::SEE_OTHER, [(LOCATION, to)]).into_response();
    match verdict {
        Verdict::Pass if route.page && is_first_start && route.path == "/sign-in" => {
            Some(go("/set-up".to_owned()))
        }
        Verdict::Pass => None,
        Verdict::SignIn if route.page && is_first_start => Some(go("/set-up".to_owned())),
        Verdict::SignIn if route.page => Some(go(format!("/sign-in?next={}", ft_pages::path_segment(path)))),
        Verdict::SignIn => Some(Problem::signed_out().into_response()),
        Verdict::TooLate if route.page => Some(go("/".to_owned())),
        Verdict::TooLate => Some(
            Problem::conflict("W0409", "Somebody is set up already.", "Sign in, or ask a lead.")
                .into_response(),
        ),
        Verdict::NotYours => Some(Problem::not_yours(&gate::names(route.may)).into_response()),
    }
}

fn has_token(site: &Site, headers: &HeaderMap) -> bool {
    let shown = headers.get("authorization").and_then(|value| value.to_str().ok());
    let shown = shown.and_then(|value| value.strip_prefix("Bearer "));
    match (shown, &site.config.metrics_token) {
        // Hashes are compared, so that time tells nothing about the token.
        (Some(shown), Some(token)) => crate::ids::fingerprint(shown) == crate::ids::fingerprint(token),
        _ => false,
    }
}

/// Headers that keep a page to itself, one line in the log, and the measurements.
async fn around(State(site): State<Arc<Site>>, request: Request, next: Next) -> Response {
    let began = Instant::now();
    let method = request.method().clone();
    let matched = request.extensions().get::<MatchedPath>().map(|path| path.as_str().to_owned());
    let mut answer = in_our_words(next.run(request).await);
    let route = matched.unwrap_or_else(|| "-".to_owned());
    let (status, took) = (answer.status().as_u16(), began.elapsed());
    site.metrics.answered(&route, status, took);
    // The route and not the path: names, and whatever else stands in a path, stay out of the log.
    if route != "/assets/{*path}" && route != "/health" {
        println!("{method} {route} {status} {:.1} ms", took.as_secs_f64() * 1000.0);
    }
    let headers = answer.headers_mut();
    let mut set = |name: &'static str, value: &'static str| {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    };
    set("content-security-policy", ft_pages::POLICY);
    set("x-content-type-options", "nosniff");
    set("referrer-policy", "same-origin");
    set("cross-origin-opener-policy", "same-origin");
    set("cross-origin-resource-policy", "same-origin");
    set("permissions-policy", "geolocation=(), microphone=(), payment=()");
    set("x-frame-options", "DENY");
    if !headers.contains_key(CACHE_CONTROL) {
        headers.insert(CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    answer
}

/// A refusal that axum itself writes, such as that of a path that is no UTF-8, is one word of plain text: whoever asked
/// an interface gets a problem like every other.
fn in_our_words(answer: Response) -> Response {
    let kind = answer.headers().get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    if answer.status().is_client_error() && kind.starts_with("text/plain") {
        let message = "This request cannot be read.";
        Problem::new(answer.status(), "W0451", message, "Look at /api/openapi.json for its shape.")
            .into_response()
    } else {
        answer
    }
}

async fn nothing() -> Problem {
    Problem::no_such("There is no such page.")
}

async fn not_allowed() -> Problem {
    let message = "This is not done in this way.";
    Problem::new(StatusCode::METHOD_NOT_ALLOWED, "W0450", message, "Look at /api/openapi.json.")
}

async fn asset(Path(path): Path<String>) -> Response {
    embedded(&format!("/assets/{path}"))
}

async fn worker() -> Response {
    embedded("/sw.js")
}

/// Assets change with the program: they are asked for anew each time, and the service worker keeps them.
fn embedded(path: &str) -> Response {
    match ft_pages::asset(path) {
        Some((media, bytes)) => ([(CONTENT_TYPE, media), (CACHE_CONTROL, "no-cache")], bytes).into_response(),
        None => Problem::no_such("There is no such file.").into_response(),
    }
}

async fn certificate(State(site): State<Arc<Site>>) -> Response {
    match &site.trust {
        Some(trust) => {
            ([(CONTENT_TYPE, "application/x-x509-ca-cert")], trust.authority_pem.clone()).into_response()
        }
        None => Problem::no_such("This site has no certificate of its own.").into_response(),
    }
}

async fn health(State(site): State<Arc<Site>>) -> Result<Response, Problem> {
    let head = api::beside(&site, |site| Ok(site.head()?)).await?;
    Ok(Json(serde_json::json!({ "status": "ok", "seq": head.seq })).into_response())
}

async fn metrics(State(site): State<Arc<Site>>) -> Response {
    let mut text = site.metrics.text(site.known().seq, site.sessions().count());
    text.push_str(&site.probes.metrics(crate::ids::now_ms()));
    ([(CONTENT_TYPE, "text/plain; version=0.0.4")], text).into_response()
}

/// The description of the interface.
#[utoipa::path(get, path = "/api/openapi.json", tag = "site",
    responses((status = 200, body = Object), (status = "4XX", body = Problem)))]
pub async fn openapi() -> Response {
    ([(CONTENT_TYPE, "application/json")], crate::openapi::document()).into_response()
}
