//! What is asked over HTTP, one file for each matter.

pub mod answer;
pub mod check;
pub mod events;
pub mod people;
pub mod probes;
pub mod product;
pub mod run;
pub mod sign_in;
pub mod stream;

use std::sync::Arc;

use crate::problem::Problem;
use crate::site::Site;

/// Does slow or blocking work where it holds nobody up.
///
/// # Errors
/// What the work says.
pub async fn beside<T: Send + 'static>(
    site: &Arc<Site>,
    work: impl FnOnce(&Site) -> Result<T, Problem> + Send + 'static,
) -> Result<T, Problem> {
    let site = Arc::clone(site);
    match tokio::task::spawn_blocking(move || work(&site)).await {
        Ok(answer) => answer,
        Err(error) => {
            eprintln!("a request failed: {error}");
            Err(Problem::new(
                axum::http::StatusCode::INTERNAL_SERVER_ERROR,
                "W0500",
                "The program failed at this request.",
                "Try again; report it if it happens again.",
            ))
        }
    }
}
