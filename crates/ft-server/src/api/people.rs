//! People: who works here, what they may do, their PINs.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::{Extension, Json};
use ft_record::{Fact, Role};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::beside;
use super::sign_in::role_names;
use crate::body::Body;
use crate::pin;
use crate::problem::Problem;
use crate::site::Site;
use crate::who::Who;

/// Somebody who works here.
#[derive(Debug, Serialize, ToSchema)]
pub struct PersonView {
    /// The name.
    pub name: String,
    /// What they may do.
    pub roles: Vec<String>,
    /// The language that they read.
    pub language: String,
    /// Whether they can sign in.
    pub has_pin: bool,
}

/// Who works here.
///
/// # Errors
/// [`Problem`] of the store.
#[utoipa::path(get, path = "/api/people", tag = "people", responses((status = 200, body = Vec<PersonView>), (status = "4XX", body = Problem)))]
pub async fn list(State(site): State<Arc<Site>>) -> Result<Json<Vec<PersonView>>, Problem> {
    beside(&site, |site| {
        let known = site.known().people.clone();
        let mut list = Vec::new();
        for (name, person) in known {
            let has_pin = pin::exists(&site.store, &name)?;
            list.push(PersonView {
                roles: role_names(&person.roles),
                language: person.language,
                has_pin,
                name,
            });
        }
        Ok(Json(list))
    })
    .await
}

/// Somebody new.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewPerson {
    /// The name: 1 to 60 characters.
    pub name: String,
    /// What they may do: `closer`, `opener`, `lead`, `trainer`, `inspector`.
    #[schema(value_type = Vec<String>, example = json!(["closer"]))]
    pub roles: Vec<Role>,
    /// The language that they read.
    #[schema(example = "en")]
    pub language: String,
    /// 4 to 12 digits.
    #[schema(example = "2580")]
    pub pin: String,
}

/// Adds somebody.
///
/// # Errors
/// [`Problem`]: the name is taken, or name, PIN or language will not do.
#[utoipa::path(post, path = "/api/people", request_body = NewPerson, tag = "people",
    responses((status = 201), (status = "4XX", body = Problem)))]
pub async fn add(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Body(new): Body<NewPerson>,
) -> Result<StatusCode, Problem> {
    beside(&site, move |site| {
        fit_name(&new.name)?;
        fit_language(&new.language)?;
        fit_pin(&new.pin)?;
        if site.known().people.contains_key(&new.name) {
            return Err(Problem::conflict(
                "W0407",
                format!("Somebody is called {} already.", new.name),
                "Choose another name, or change what they may do.",
            ));
        }
        pin::set(&site.store, &new.name, &new.pin)?;
        let fact = Fact::PersonAdded { who: new.name, roles: new.roles, language: new.language };
        site.say(fact, who.name, None)?;
        Ok(StatusCode::CREATED)
    })
    .await
}

/// A PIN.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewPin {
    /// 4 to 12 digits.
    #[schema(example = "2580")]
    pub pin: String,
}

/// Sets somebody's PIN, unlocks them, and signs them out everywhere.
///
/// # Errors
/// [`Problem`]: nobody is called so, or the PIN will not do.
#[utoipa::path(post, path = "/api/people/{name}/pin", request_body = NewPin, tag = "people",
    params(("name" = String, Path)), responses((status = 204), (status = "4XX", body = Problem)))]
pub async fn reset_pin(
    State(site): State<Arc<Site>>,
    Path(name): Path<String>,
    Body(new): Body<NewPin>,
) -> Result<StatusCode, Problem> {
    beside(&site, move |site| {
        exists(site, &name)?;
        fit_pin(&new.pin)?;
        pin::set(&site.store, &name, &new.pin)?;
        site.sessions().end_all(&site.store, &name)?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// Sets one's own PIN, and signs out everywhere.
///
/// # Errors
/// [`Problem`]: the PIN will not do.
#[utoipa::path(post, path = "/api/me/pin", request_body = NewPin, tag = "people",
    responses((status = 204), (status = "4XX", body = Problem)))]
pub async fn own_pin(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Body(new): Body<NewPin>,
) -> Result<StatusCode, Problem> {
    beside(&site, move |site| {
        fit_pin(&new.pin)?;
        pin::set(&site.store, who.name(), &new.pin)?;
        site.sessions().end_all(&site.store, who.name())?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// What somebody may do from now on.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewRoles {
    /// All of their roles; empty: they no longer work here.
    #[schema(value_type = Vec<String>, example = json!(["closer", "opener"]))]
    pub roles: Vec<Role>,
}

/// Changes what somebody may do. One lead always stays.
///
/// # Errors
/// [`Problem`]: nobody is called so, or no lead would be left.
#[utoipa::path(post, path = "/api/people/{name}/roles", request_body = NewRoles, tag = "people",
    params(("name" = String, Path)), responses((status = 204), (status = "4XX", body = Problem)))]
pub async fn set_roles(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(name): Path<String>,
    Body(new): Body<NewRoles>,
) -> Result<StatusCode, Problem> {
    beside(&site, move |site| {
        exists(site, &name)?;
        let others = |known: &crate::known::Known| {
            known.people.iter().any(|(other, person)| *other != name && person.roles.contains(&Role::Lead))
        };
        if !new.roles.contains(&Role::Lead) && !others(&site.known()) {
            return Err(Problem::conflict(
                "W0408",
                "Nobody would be left who leads.",
                "Make somebody else a lead first.",
            ));
        }
        let gone = new.roles.is_empty();
        site.say(Fact::RolesChanged { who: name.clone(), roles: new.roles }, who.name, None)?;
        site.sessions().end_all(&site.store, &name)?;
        if gone {
            pin::remove(&site.store, &name)?;
        }
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

fn exists(site: &Site, name: &str) -> Result<(), Problem> {
    if site.known().people.contains_key(name) {
        Ok(())
    } else {
        Err(Problem::no_such(format!("Nobody is called {name:?}.")))
    }
}

/// A name that can be shown on one line.
pub fn fit_name(name: &str) -> Result<(), Problem> {
    let fine = !name.trim().is_empty()
        && name.trim() == name
        && name.chars().count() <= 60
        && !name
            .chars()
            .any(|c| c.is_control() || "\u{2028}\u{2029}\u{202e}\u{202d}\u{2066}\u{2067}".contains(c));
    if fine {
        Ok(())
    } else {
        Err(Problem::bad("W0420", "This name will not do.", "Write 1 to 60 characters on one line."))
    }
}

/// A language that the pages speak.
pub fn fit_language(code: &str) -> Result<(), Problem> {
    if ft_pages::Language::of(code).is_some() {
        Ok(())
    } else {
        Err(Problem::bad("W0421", format!("There are no pages in {code:?}."), "Choose `en` or `es`."))
    }
}

/// A PIN that is not the first to be guessed.
pub fn fit_pin(text: &str) -> Result<(), Problem> {
    if pin::is_fit(text) {
        Ok(())
    } else {
        Err(Problem::bad(
            "W0424",
            "This PIN will not do.",
            "Choose 4 to 12 digits that are not all alike and do not count up or down.",
        ))
    }
}
