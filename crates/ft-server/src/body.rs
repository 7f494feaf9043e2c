//! Bodies and questions that are read strictly, and refused with a sentence.

use axum::Json;
use axum::extract::rejection::{JsonRejection, QueryRejection};
use axum::extract::{FromRequest, FromRequestParts, Query, Request};
use axum::http::StatusCode;
use axum::http::request::Parts;
use serde::de::DeserializeOwned;

use crate::problem::Problem;

/// A JSON body.
pub struct Body<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Body<T> {
    type Rejection = Problem;

    async fn from_request(request: Request, state: &S) -> Result<Self, Problem> {
        match Json::<T>::from_request(request, state).await {
            Ok(Json(body)) => Ok(Self(body)),
            Err(rejection) => Err(refused(&rejection)),
        }
    }
}

fn refused(rejection: &JsonRejection) -> Problem {
    let status = rejection.status();
    match status {
        StatusCode::PAYLOAD_TOO_LARGE => {
            Problem::new(status, "W0413", "This is too much at once.", "Send it in smaller pieces.")
        }
        StatusCode::UNSUPPORTED_MEDIA_TYPE => Problem::new(
            status,
            "W0415",
            "This is not JSON.",
            "Send JSON with the header `content-type: application/json`.",
        ),
        _ => Problem::new(
            status,
            "W0422",
            format!("This is not what was asked for: {}.", rejection.body_text()),
            "Look at /api/openapi.json for its shape.",
        ),
    }
}

/// What stands behind the question mark.
pub struct Asked<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequestParts<S> for Asked<T> {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Problem> {
        match Query::<T>::from_request_parts(parts, state).await {
            Ok(Query(asked)) => Ok(Self(asked)),
            Err(rejection) => {
                let rejection: QueryRejection = rejection;
                let message = format!("This is not what was asked for: {}.", rejection.body_text());
                Err(Problem::new(
                    rejection.status(),
                    "W0422",
                    message,
                    "Look at /api/openapi.json for its shape.",
                ))
            }
        }
    }
}
