//! What is wrong, for whoever asked: a code, a sentence, a remedy, and the status that goes with them.

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use utoipa::ToSchema;

/// An answer that is no.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Problem {
    /// A stable code, such as `W0401`.
    pub code: &'static str,
    /// What is wrong, one sentence.
    pub message: String,
    /// What would be right.
    pub remedy: String,
    #[serde(skip)]
    status: u16,
}

impl Problem {
    /// A problem with its status.
    pub fn new(
        status: StatusCode,
        code: &'static str,
        message: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self { code, message: message.into(), remedy: remedy.into(), status: status.as_u16() }
    }

    /// Nobody is signed in.
    pub fn signed_out() -> Self {
        Self::new(StatusCode::UNAUTHORIZED, "W0401", "Nobody is signed in.", "Sign in with name and PIN.")
    }

    /// Whoever is signed in may not do this.
    pub fn not_yours(who: &str) -> Self {
        let remedy = format!("Ask for somebody who may do it: {who}.");
        Self::new(StatusCode::FORBIDDEN, "W0403", "This is not yours to do.", remedy)
    }

    /// There is no such thing.
    pub fn no_such(what: impl Into<String>) -> Self {
        Self::new(StatusCode::NOT_FOUND, "W0404", what, "Check the name.")
    }

    /// What was sent is not what was asked for.
    pub fn bad(code: &'static str, message: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, code, message, remedy)
    }

    /// It does not fit how things stand.
    pub fn conflict(code: &'static str, message: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::new(StatusCode::CONFLICT, code, message, remedy)
    }

    /// The status.
    pub fn status(&self) -> StatusCode {
        StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        (self.status(), axum::Json(self)).into_response()
    }
}

impl From<ft_store::StoreError> for Problem {
    fn from(error: ft_store::StoreError) -> Self {
        use ft_store::Trouble;
        eprintln!("store: {error}");
        let status = match error.trouble {
            Trouble::Full => StatusCode::INSUFFICIENT_STORAGE,
            Trouble::NotWritable => StatusCode::UNPROCESSABLE_ENTITY,
            Trouble::ReadOnly
            | Trouble::Locked
            | Trouble::NoSuch
            | Trouble::NotARecord
            | Trouble::Newer
            | Trouble::NotDurable
            | Trouble::NotEmpty
            | Trouble::Other => StatusCode::SERVICE_UNAVAILABLE,
        };
        let mut message = error.trouble.message().to_owned();
        if let Some(first) = message.get_mut(0..1) {
            first.make_ascii_uppercase();
        }
        message.push('.');
        Self::new(status, error.trouble.code(), message, error.trouble.remedy())
    }
}
