//! Signing in and out, and the first start.

use std::net::SocketAddr;
use std::sync::atomic::Ordering;
use std::sync::{Arc, PoisonError};

use axum::extract::{ConnectInfo, State};
use axum::http::header::SET_COOKIE;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use ft_record::{Fact, Role};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::beside;
use super::people::{fit_language, fit_name, fit_pin};
use super::run::language_of;
use crate::body::Body;
use crate::ids;
use crate::pin::{self, Tried};
use crate::problem::Problem;
use crate::site::Site;
use crate::who::{BROWSER, SESSION, Who, cookie, set_cookie};
use crate::words;

/// Name and PIN.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SignIn {
    /// The name.
    pub name: String,
    /// 4 to 12 digits.
    #[schema(example = "2580")]
    pub pin: String,
}

/// Who is signed in now.
#[derive(Debug, Serialize, ToSchema)]
pub struct Me {
    /// The name.
    pub name: String,
    /// What they may do.
    pub roles: Vec<String>,
    /// The language that they read.
    pub language: String,
}

/// A browser keeps its name for a year.
const YEAR_S: u64 = 365 * 24 * 3600;
/// A session's cookie ends with the longest session.
const SHIFT_S: u64 = 12 * 3600;

/// Signs in.
///
/// # Errors
/// [`Problem`]: name or PIN is wrong, or too often was.
#[utoipa::path(post, path = "/api/sign-in", request_body = SignIn, tag = "people", security(()),
    responses((status = 200, body = Me), (status = 401, body = Problem), (status = 429, body = Problem), (status = "4XX", body = Problem)))]
pub async fn sign_in(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    ConnectInfo(peer): ConnectInfo<SocketAddr>,
    Body(asked): Body<SignIn>,
) -> Result<Response, Problem> {
    let language = language_of(None, &who);
    // Who has signed in on this browser before is held up by the limit for the name alone.
    let known_here =
        who.browser.as_ref().is_some_and(|browser| site.sessions().has_been(browser, &asked.name));
    if !known_here && let Err(ms) = site.addresses().begin(peer.ip(), ids::now_ms()) {
        site.metrics.misses.fetch_add(1, Ordering::Relaxed);
        return Err(later("W0427", language, ms));
    }
    let browser = who.browser.clone().filter(|name| name.len() == 64).unwrap_or_else(ids::token);
    let (token, me, browser) = beside(&site, move |site| {
        try_pin(site, &asked, language)?;
        if !known_here {
            site.addresses().right(peer.ip());
        }
        let token = site.sessions().begin(&site.store, &asked.name, &browser, ids::now_ms())?;
        Ok((token, me(site, &asked.name), browser))
    })
    .await?;
    Ok(with_session(&token, &browser, who.is_secure, Json(me)))
}

/// Whether name and PIN belong together, as often as it may be tried.
fn try_pin(site: &Site, asked: &SignIn, language: &str) -> Result<(), Problem> {
    let is_lead = site.known().roles(&asked.name).contains(&Role::Lead);
    let tried = {
        let _one = site.trying.lock().unwrap_or_else(PoisonError::into_inner);
        pin::try_one(&site.store, &asked.name, &asked.pin, is_lead, ids::now_ms())?
    };
    match tried {
        Tried::Right if !site.known().roles(&asked.name).is_empty() => Ok(()),
        Tried::Right | Tried::Wrong => {
            site.metrics.misses.fetch_add(1, Ordering::Relaxed);
            Err(words::problem(StatusCode::UNAUTHORIZED, "W0402", language, &[]))
        }
        Tried::Wait(ms) => Err(later("W0429", language, ms)),
        Tried::Locked => Err(words::problem(StatusCode::TOO_MANY_REQUESTS, "W0423", language, &[])),
    }
}

/// Too often: how long to wait, in the words of a code.
fn later(code: &'static str, language: &str, ms: i64) -> Problem {
    words::problem(StatusCode::TOO_MANY_REQUESTS, code, language, &[((ms + 999) / 1000).to_string()])
}

fn with_session(token: &str, browser: &str, is_secure: bool, body: impl IntoResponse) -> Response {
    let mut answer = body.into_response();
    for cookie in
        [set_cookie(SESSION, token, SHIFT_S, is_secure), set_cookie(BROWSER, browser, YEAR_S, is_secure)]
    {
        if let Ok(value) = cookie.parse() {
            answer.headers_mut().append(SET_COOKIE, value);
        }
    }
    answer
}

fn me(site: &Site, name: &str) -> Me {
    let known = site.known();
    let person = known.people.get(name);
    Me {
        name: name.to_owned(),
        roles: person.map(|person| role_names(&person.roles)).unwrap_or_default(),
        language: person.map(|person| person.language.clone()).unwrap_or_default(),
    }
}

/// Roles as they are written.
pub fn role_names(roles: &[Role]) -> Vec<String> {
    let name = |role: &Role| serde_json::to_value(role).ok()?.as_str().map(str::to_owned);
    roles.iter().filter_map(name).collect()
}

/// Signs out.
///
/// # Errors
/// [`Problem`] of the store.
#[utoipa::path(post, path = "/api/sign-out", tag = "people", security(()), responses((status = 204), (status = "4XX", body = Problem)))]
pub async fn sign_out(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    headers: HeaderMap,
) -> Result<Response, Problem> {
    if let Some(token) = cookie(&headers, SESSION) {
        beside(&site, move |site| Ok(site.sessions().end(&site.store, &token)?)).await?;
    }
    let gone = set_cookie(SESSION, "", 0, who.is_secure);
    Ok((StatusCode::NO_CONTENT, [(SET_COOKIE, gone)]).into_response())
}

/// The first lead.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SetUp {
    /// The code that the server printed at its start.
    #[schema(example = "ABCD-EFGH")]
    pub code: String,
    /// The lead's name.
    pub name: String,
    /// 4 to 12 digits.
    pub pin: String,
    /// The language that they read.
    #[schema(example = "en")]
    pub language: String,
}

/// Sets up the first lead, with the code that only the server's terminal shows, and signs them in.
///
/// # Errors
/// [`Problem`]: the code is wrong, or somebody is set up already.
#[utoipa::path(post, path = "/api/set-up", request_body = SetUp, tag = "people", security(()),
    responses((status = 200, body = Me), (status = "4XX", body = Problem)))]
pub async fn set_up(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Body(asked): Body<SetUp>,
) -> Result<Response, Problem> {
    let language = language_of(None, &who);
    let browser = who.browser.clone().filter(|name| name.len() == 64).unwrap_or_else(ids::token);
    let (token, me, browser) = beside(&site, move |site| {
        fit_name(&asked.name)?;
        fit_language(&asked.language)?;
        fit_pin(&asked.pin)?;
        {
            let mut code = site.code();
            let typed: String =
                asked.code.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_uppercase();
            let is_right = code.as_ref().is_some_and(|code| code.replace('-', "") == typed);
            if !is_right {
                // A code that was guessed at is no longer one.
                let new = code.is_some().then(ids::one_time_code);
                if let Some(new) = &new {
                    println!("A wrong code was tried. The code for the first start is now {new}");
                }
                *code = new;
                return Err(words::problem(StatusCode::UNAUTHORIZED, "W0405", language, &[]));
            }
            *code = None;
        }
        pin::set(&site.store, &asked.name, &asked.pin)?;
        let roles = vec![Role::Lead, Role::Trainer, Role::Closer, Role::Opener];
        let (who, language) = (asked.name.clone(), asked.language.clone());
        site.say(Fact::PersonAdded { who, roles, language }, Some(asked.name.clone()), None)?;
        let token = site.sessions().begin(&site.store, &asked.name, &browser, ids::now_ms())?;
        Ok((token, me(site, &asked.name), browser))
    })
    .await?;
    Ok(with_session(&token, &browser, who.is_secure, Json(me)))
}
