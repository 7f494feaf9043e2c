//! What the morning is asked and told over the interface.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use ft_app::Trouble;
use ft_compile::Variant;
use ft_lots::{InventoryView, TraceView};
use ft_practice::measure::MEASURE;
use ft_record::{Fact, Role, SignedAs};
use ft_release::{Code, Decision};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::desk::{files, limits};
use super::pages::is_any;
use crate::api::beside;
use crate::body::{Asked, Body};
use crate::ids::now_ms;
use crate::problem::Problem;
use crate::site::Site;
use crate::who::Who;

/// The answer for a display or an ordering system: each machine's decision.
#[derive(Debug, Serialize, ToSchema)]
pub struct Answers {
    /// The moment, milliseconds since 1970.
    at_ms: i64,
    /// One for each machine.
    #[schema(value_type = Vec<Object>)]
    machines: Vec<Decision>,
}

/// May it serve?
///
/// # Errors
/// [`Problem`] of the store, or of a machine file.
#[utoipa::path(get, path = "/api/release", tag = "morning",
    responses((status = 200, body = Answers), (status = "4XX", body = Problem)))]
pub async fn release(State(site): State<Arc<Site>>) -> Result<Json<Answers>, Problem> {
    beside(&site, |site| {
        let mut desk = site.desk()?;
        let at_ms = now_ms();
        let machines = desk.decisions(&site.store, &files(&site.current()), at_ms)?;
        Ok(Json(Answers { at_ms, machines }))
    })
    .await
}

/// A machine to release.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OfMachine {
    /// The machine.
    machine: String,
}

/// Signs a machine's opening and asks whether it may serve: the answer goes into the record, yes or no.
///
/// # Errors
/// [`Problem`]: something else than the signature stands against it.
#[utoipa::path(post, path = "/api/release", request_body = OfMachine, tag = "morning",
    responses((status = 200, body = Object), (status = "4XX", body = Problem)))]
pub async fn sign(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Body(OfMachine { machine }): Body<OfMachine>,
) -> Result<Json<Decision>, Problem> {
    beside(&site, move |site| {
        let before = decide(site, &machine)?;
        let signature =
            |reason: &&ft_release::Reason| reason.code == Code::NotSigned && reason.subject == "opening";
        if let Some(first) = before.standing().find(|reason| !signature(reason)) {
            let (why, remedy) = (&first.sentence["en"], &first.yes_when["en"]);
            let codes = before.standing().map(|reason| reason.key.clone()).collect();
            site.say_of(
                &machine,
                Fact::Refused { reasons: codes },
                who.name.clone(),
                before.opening.clone(),
            )?;
            return Err(Problem::conflict("W0482", format!("It may not serve yet: {why}"), remedy.clone()));
        }
        let run = before.opening.clone().ok_or_else(|| Problem::no_such("There is no opening to sign."))?;
        if !before.may_serve {
            let signed = Fact::Signed { r#as: SignedAs::Opener };
            site.say_of(&machine, signed, who.name.clone(), Some(run.clone()))?;
        }
        let after = decide(site, &machine)?;
        let fact = if after.may_serve {
            Fact::Released { of_run: run.clone() }
        } else {
            Fact::Refused { reasons: after.standing().map(|reason| reason.key.clone()).collect() }
        };
        site.say_of(&machine, fact, who.name.clone(), Some(run))?;
        Ok(Json(after))
    })
    .await
}

fn decide(site: &Site, machine: &str) -> Result<Decision, Problem> {
    let mut desk = site.desk()?;
    let all = desk.decisions(&site.store, &files(&site.current()), now_ms())?;
    let found = all.into_iter().find(|decision| decision.machine == machine);
    found.ok_or_else(|| Problem::no_such(format!("There is no machine {machine:?}.")))
}

/// What is held, and what has to go.
///
/// # Errors
/// [`Problem`] of the store.
#[utoipa::path(get, path = "/api/lots", tag = "morning",
    responses((status = 200, body = Object), (status = "4XX", body = Problem)))]
pub async fn lots(State(site): State<Arc<Site>>) -> Result<Json<InventoryView>, Problem> {
    beside(&site, |site| {
        let desk = site.desk()?;
        let now = now_ms();
        Ok(Json(InventoryView::new(desk.morning.books(), now, &limits(now), &BTreeMap::new())))
    })
    .await
}

/// Where a lot went.
///
/// # Errors
/// [`Problem`]: there is no such lot.
#[utoipa::path(get, path = "/api/lots/{lot}", tag = "morning", params(("lot" = String, Path)),
    responses((status = 200, body = Object), (status = "4XX", body = Problem)))]
pub async fn lot(State(site): State<Arc<Site>>, Path(lot): Path<String>) -> Result<Json<TraceView>, Problem> {
    beside(&site, move |site| {
        let desk = site.desk()?;
        let books = desk.morning.books();
        if !books.lots().contains_key(&lot) {
            return Err(Problem::no_such(format!("There is no lot {lot:?} in the record.")));
        }
        Ok(Json(TraceView::new(books, &lot, &limits(now_ms()))))
    })
    .await
}

/// What is to be practised.
#[derive(Debug, Deserialize)]
pub struct Course {
    machine: String,
    procedure: String,
}

/// A procedure's form with its proved order, the same without it (what hands and the machine allow), and by what measure
/// a session is passed.
///
/// # Errors
/// [`Problem`]: there is no such machine or procedure, or it is not proved.
#[utoipa::path(get, path = "/api/practice", tag = "morning",
    params(("machine" = String, Query), ("procedure" = String, Query)),
    responses((status = 200, body = Object), (status = "4XX", body = Problem)))]
pub async fn practice(
    State(site): State<Arc<Site>>,
    Asked(Course { machine, procedure }): Asked<Course>,
) -> Result<Response, Problem> {
    beside(&site, move |site| {
        let current = site.current();
        let live = current.run.machine(&machine);
        let live = live.ok_or_else(|| Problem::no_such(format!("There is no machine {machine:?}.")))?;
        let file = &live.ready.file;
        let index = file.procedures.iter().position(|of| of.named.name == procedure);
        let index = index.ok_or_else(|| Problem::no_such(format!("There is no procedure {procedure:?}.")))?;
        // What is due by calendar is left out: practice is of what is done each time.
        let variant = Variant { due: false, ..live.ready.variant.clone() };
        let course = ft_app::morning::course(file, index, &variant).map_err(|trouble| {
            let why = match trouble {
                Trouble::Choice(wrong, _) => wrong,
                Trouble::Problems(problems) => {
                    problems.first().map(|problem| problem.message.clone()).unwrap_or_default()
                }
                Trouble::Form(sentences) => sentences.join(" "),
            };
            Problem::conflict(
                "W0483",
                format!("This cannot be practised: {why}"),
                "Look at the machine file's page.",
            )
        })?;
        let (form, free) = (ft_form::json::print(&course.form), ft_form::json::print(&course.free));
        let measure = serde_json::to_string(&MEASURE).expect("two numbers are JSON");
        let all = format!("{{\"form\":{form},\"free\":{free},\"measure\":{measure}}}");
        Ok(([(CONTENT_TYPE, "application/json")], all).into_response())
    })
    .await
}

/// `yes` or `no`.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Used {
    /// `yes` or `no`.
    #[schema(pattern = "^(yes|no)$", example = "yes")]
    used: String,
}

/// Sets whether lengths of steps are used.
///
/// # Errors
/// [`Problem`]: neither yes nor no.
#[utoipa::path(post, path = "/api/settings/lengths", request_body = Used, tag = "people",
    responses((status = 204), (status = "4XX", body = Problem)))]
pub async fn use_lengths(
    State(site): State<Arc<Site>>,
    Body(Used { used }): Body<Used>,
) -> Result<StatusCode, Problem> {
    beside(&site, move |site| {
        if used != "yes" && used != "no" {
            return Err(Problem::bad(
                "W0484",
                format!("{used:?} is neither yes nor no."),
                "Send `yes` or `no`.",
            ));
        }
        site.store.put("settings", "lengths", &used)?;
        site.plan_anew()?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// Whether somebody may see and erase these lengths: their own, or as a lead.
fn own(who: &Who, name: &str) -> Result<(), Problem> {
    if who.name() == name || is_any(who, &[Role::Lead]) {
        Ok(())
    } else {
        Err(Problem::not_yours("the person themselves, or a lead"))
    }
}

/// Erases the lengths of somebody's steps: an event, after which they are no longer used.
///
/// # Errors
/// [`Problem`]: they are somebody else's.
#[utoipa::path(post, path = "/api/people/{name}/lengths/erase", tag = "people",
    params(("name" = String, Path)), responses((status = 204), (status = "4XX", body = Problem)))]
pub async fn erase(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(name): Path<String>,
) -> Result<StatusCode, Problem> {
    beside(&site, move |site| {
        own(&who, &name)?;
        site.say(Fact::LengthsErased { who: name }, who.name, None)?;
        site.plan_anew()?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// How long steps took somebody, as a table: `ended_ms,step,number,minutes`; nothing from before an erasure.
///
/// # Errors
/// [`Problem`]: they are somebody else's.
#[utoipa::path(get, path = "/api/people/{name}/lengths.csv", tag = "people", params(("name" = String, Path)),
    responses((status = 200, content_type = "text/csv", body = String), (status = "4XX", body = Problem)))]
pub async fn lengths(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(name): Path<String>,
) -> Result<Response, Problem> {
    beside(&site, move |site| {
        own(&who, &name)?;
        let table = site.desk()?.lengths.export(&name);
        let headers =
            [(CONTENT_TYPE, "text/csv"), (CONTENT_DISPOSITION, "attachment; filename=\"lengths.csv\"")];
        Ok((headers, table).into_response())
    })
    .await
}
