//! Links for inspectors: they only read, and they end.

use std::sync::Arc;

use axum::Extension;
use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{Html, IntoResponse, Response};
use ft_pages::{InspectView, Language, NightLine, Page, Shell};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::desk::place;
use super::paper::{self, Wanted};
use crate::api::{beside, run};
use crate::body::{Asked, Body};
use crate::chain::Followed;
use crate::clock::day;
use crate::ids::{fingerprint, now_ms, token};
use crate::leaf::{Spans, extend, leaf};
use crate::pages::Query;
use crate::problem::Problem;
use crate::site::Site;
use crate::who::Who;

const DAY_MS: i64 = 86_400_000;
/// The longest that a link is open, days. Source: none, our choice.
const MOST_DAYS: i64 = 30;
const SHELF: &str = "inspect";
/// Nights on a leaf of the page.
const NIGHTS: u64 = 50;
/// Lots whose names are offered; any other can be written.
const LOTS: usize = 200;

/// For how many days.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct For {
    /// Days.
    #[schema(minimum = 1, maximum = 30)]
    days: i64,
}

/// A link that was made; its token is told once, and only its hash is kept.
#[derive(Debug, Serialize, ToSchema)]
pub struct Link {
    /// Where it leads on this site.
    path: String,
    /// Until when, milliseconds since 1970.
    until_ms: i64,
}

/// Opens a link.
///
/// # Errors
/// [`Problem`]: too many days.
#[utoipa::path(post, path = "/api/inspect", request_body = For, tag = "people",
    responses((status = 200, body = Link), (status = "4XX", body = Problem)))]
pub async fn open(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Body(For { days }): Body<For>,
) -> Result<Json<Link>, Problem> {
    beside(&site, move |site| {
        if !(1..=MOST_DAYS).contains(&days) {
            let remedy = format!("Ask for 1 to {MOST_DAYS} days.");
            return Err(Problem::bad("W0485", format!("A link is not open for {days} days."), remedy));
        }
        let (token, until_ms) = (token(), now_ms() + days * DAY_MS);
        site.store.put(SHELF, &fingerprint(&token), &until_ms.to_string())?;
        let text = format!("A link for an inspector was opened by {} for {days} days.", who.name());
        site.say(ft_record::Fact::Note { text }, who.name, None)?;
        // What the link shows is signed as it stands.
        site.store.seal(now_ms())?;
        Ok(Json(Link { path: format!("/inspect/{token}"), until_ms }))
    })
    .await
}

/// A link to close, by the hash that the page of people shows.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Which {
    /// The hash.
    token: String,
}

/// Closes a link.
///
/// # Errors
/// [`Problem`] of the store.
#[utoipa::path(post, path = "/api/inspect/close", request_body = Which, tag = "people",
    responses((status = 204), (status = "4XX", body = Problem)))]
pub async fn close(
    State(site): State<Arc<Site>>,
    Body(Which { token }): Body<Which>,
) -> Result<StatusCode, Problem> {
    beside(&site, move |site| {
        site.store.remove(SHELF, &token)?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// Links that are open: until when, in words, and the hash of each token.
///
/// # Errors
/// [`Problem`] of the store.
pub fn links(site: &Site, kitchen: &ft_morning::Site<'_>) -> Result<Vec<(String, String)>, Problem> {
    let now = now_ms();
    let all =
        site.store.list(SHELF)?.into_iter().filter_map(|(hash, until)| Some((until.parse().ok()?, hash)));
    let open = all.filter(|(until, _): &(i64, String)| now < *until);
    Ok(open.map(|(until, hash)| (kitchen.clock(until), hash)).collect())
}

/// Until when a token is good.
fn admitted(site: &Site, token: &str) -> Result<i64, Problem> {
    let until = site.store.get(SHELF, &fingerprint(token))?.and_then(|until| until.parse().ok());
    until.filter(|until| now_ms() < *until).ok_or_else(|| {
        Problem::new(
            StatusCode::NOT_FOUND,
            "W0486",
            "This link is closed.",
            "Ask the kitchen's lead for another.",
        )
    })
}

/// The page.
///
/// # Errors
/// [`Problem`]: the link is closed.
pub async fn page(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(token): Path<String>,
    Asked(query): Asked<Query>,
) -> Result<Html<String>, Problem> {
    beside(&site, move |site| {
        let until = admitted(site, &token)?;
        let code = run::language_of(query.language.as_deref(), &who);
        let language = Language::of(code).unwrap_or(Language::English);
        let lots = site.desk()?.morning.books().lots().keys().take(LOTS).cloned().collect();
        let current = site.current();
        let kitchen = place(&current, language);
        let shell = Shell {
            language,
            page: Page::Inspect,
            machine: None,
            person: None,
            pages: Vec::new(),
            machines: Vec::new(),
            kitchen: run::kitchen(&current, code),
        };
        let known = site.known();
        let night = |line: &crate::known::RunLine| NightLine {
            title: format!("{} · {}", kitchen.clock(line.at_ms), line.procedure),
            signed: line.is_signed.then(|| match language {
                Language::English => "signed".to_owned(),
                Language::Spanish => "firmada".to_owned(),
            }),
            release: None,
            packet: format!("/inspect/{token}/packet/{}", ft_pages::path_segment(&line.id)),
        };
        // Nights are numbered from 1 as they were opened.
        let mut all = Spans::new();
        for (number, line) in (1..).zip(&known.runs) {
            if query.day.as_ref().is_none_or(|asked| *asked == day(line.at_ms)) {
                extend(&mut all, number);
            }
        }
        let leaf = leaf(&all, query.side(), NIGHTS);
        let numbers = leaf.spans.iter().rev().flat_map(|(first, last)| (*first..=*last).rev());
        let of_leaf = numbers.filter_map(|number| known.runs.get(number as usize - 1));
        let view = InspectView {
            until: kitchen.clock(until),
            nights: of_leaf.map(night).collect(),
            leaves: query.leaves(&format!("/inspect/{token}"), &leaf),
            lots: (lots, format!("/inspect/{token}/lot")),
            record: format!("/inspect/{token}/record.jsonl"),
            key: site.store.public_key().ok(),
            chain: chain(site, &kitchen)?,
        };
        Ok(Html(ft_pages::inspect(&shell, &view)))
    })
    .await
}

/// Whether the chain is whole, in a sentence.
fn chain(site: &Site, kitchen: &ft_morning::Site<'_>) -> Result<String, Problem> {
    let is_english = kitchen.language == Language::English;
    let say = |english: String, spanish: String| if is_english { english } else { spanish };
    let Some(Followed { seq, at_ms, broken }) = site.chain.followed(&site.store)? else {
        return Ok(say(
            "This server is following the chain just now: load this page again in a moment.".into(),
            "Este servidor está siguiendo la cadena ahora mismo: cargue la página otra vez en un momento."
                .into(),
        ));
    };
    let at = kitchen.clock(at_ms);
    Ok(match broken {
        None => say(
            format!("This server followed the chain at {at}, all {seq} events: it is whole."),
            format!("Este servidor siguió la cadena a las {at}, los {seq} hechos: está entera."),
        ),
        Some(why) => {
            say(format!("The chain does not hold: {why}"), format!("La cadena no se sostiene: {why}"))
        }
    })
}

/// The whole record as `fulltray record export` writes it: what `fulltray record verify` follows.
///
/// # Errors
/// [`Problem`]: the link is closed.
pub async fn record(State(site): State<Arc<Site>>, Path(token): Path<String>) -> Result<Response, Problem> {
    beside(&site, move |site| {
        admitted(site, &token)?;
        let mut out = String::new();
        site.store.export(|line| {
            out.push_str(&line);
            Ok::<(), Problem>(())
        })?;
        let name = "attachment; filename=\"record.jsonl\"";
        Ok(([(CONTENT_TYPE, "application/jsonl"), (CONTENT_DISPOSITION, name)], out).into_response())
    })
    .await
}

/// The packet of a night, or of the days that end with it.
///
/// # Errors
/// [`Problem`]: the link is closed, or there is no such night.
pub async fn packet(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path((token, run)): Path<(String, String)>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Response, Problem> {
    beside(&site, move |site| {
        admitted(site, &token)?;
        paper::of_nights(site, &run, &wanted, &who)
    })
    .await
}

/// The packet of a lot.
///
/// # Errors
/// [`Problem`]: the link is closed, or there is no such lot.
pub async fn lot(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(token): Path<String>,
    Asked(wanted): Asked<Wanted>,
) -> Result<Response, Problem> {
    beside(&site, move |site| {
        admitted(site, &token)?;
        let lot = wanted.lot.clone().unwrap_or_default();
        paper::of_lot(site, &lot, &wanted, &who)
    })
    .await
}
