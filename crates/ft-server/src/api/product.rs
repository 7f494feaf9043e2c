//! A check of the product over the interface: the verdict, and the usual mistake by its name. It writes nothing down.

use axum::{Extension, Json};
use serde::Deserialize;

use super::run::language_of;
use crate::body::{Asked, Body};
use crate::problem::Problem;
use crate::product::{self, Verdict, judge};
use crate::who::Who;

/// In which language.
#[derive(Debug, Deserialize)]
pub struct In {
    language: Option<String>,
}

/// Judges a reading of the product, or the weights of a cup.
///
/// # Errors
/// [`Problem`]: a number is missing or cannot be.
#[utoipa::path(post, path = "/api/product", request_body = product::Asked, tag = "readings",
    params(("language" = Option<String>, Query)), responses((status = 200, body = Verdict), (status = "4XX", body = Problem)))]
pub async fn check(
    Extension(who): Extension<Who>,
    Asked(asked): Asked<In>,
    Body(check): Body<product::Asked>,
) -> Result<Json<Verdict>, Problem> {
    let language = ft_pages::Language::of(language_of(asked.language.as_deref(), &who));
    judge(&check, language.unwrap_or(ft_pages::Language::English)).map(Json)
}
