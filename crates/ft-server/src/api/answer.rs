//! Why this now, why not that yet, and what if it happened differently.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::State;
use axum::{Extension, Json};
use ft_prove::Limits;
use ft_run::{Answer, Rest};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::beside;
use super::run::language_of;
use crate::body::Body;
use crate::problem::Problem;
use crate::site::Site;
use crate::who::Who;

/// States that are looked at to answer somebody who waits.
const STATES: u64 = 300_000;

/// What is asked about.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// The machine.
    pub machine: String,
    /// A step of it, by its name in the core form.
    pub event: Option<String>,
    /// Whether that step is to be taken as done, whatever stands against it.
    #[serde(default)]
    pub anyway: bool,
    /// Variables as they would be found.
    #[serde(default)]
    pub found: BTreeMap<String, i32>,
}

/// The answer.
#[derive(Debug, Serialize, ToSchema)]
pub struct Answered {
    /// About the step, as things stand.
    #[schema(value_type = Option<Object>)]
    pub step: Option<Answer>,
    /// About all that is left, if it happened differently as was asked.
    #[schema(value_type = Option<Object>)]
    pub rest: Option<Rest>,
}

/// Answers from the middle of the work.
///
/// # Errors
/// [`Problem`]: there is no such machine, step or variable.
#[utoipa::path(post, path = "/api/answer", request_body = Question, tag = "run",
    responses((status = 200, body = Answered), (status = "4XX", body = Problem)))]
pub async fn answer(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Body(asked): Body<Question>,
) -> Result<Json<Answered>, Problem> {
    let language = language_of(None, &who);
    beside(&site, move |site| {
        let current = site.current();
        let live = current.run.machine(&asked.machine);
        let live =
            live.ok_or_else(|| Problem::no_such(format!("There is no machine {:?}.", asked.machine)))?;
        let event = match &asked.event {
            Some(name) => Some(
                live.event(name)
                    .ok_or_else(|| Problem::no_such(format!("There is no step {name:?} on this machine.")))?,
            ),
            None => None,
        };
        let now = current.night.machines.get(&asked.machine).map(|machine| machine.state.clone());
        let mut state = now.unwrap_or_else(|| ft_form::walk::State::start(&live.form));
        let step = event.map(|event| ft_run::answer(live, &state, event, language));
        for (name, value) in &asked.found {
            let var = live.form.vars.iter().position(|var| var.name == *name);
            let var = var.ok_or_else(|| Problem::no_such(format!("There is nothing called {name:?}.")))?;
            state.vals[var] = (*value).clamp(live.form.vars[var].lo, live.form.vars[var].hi);
        }
        if let Some(event) = event.filter(|_| asked.anyway) {
            state = state.after(&live.form, event);
        }
        let differs = asked.anyway || !asked.found.is_empty();
        let limits = Limits { states: STATES, ..Limits::default() };
        let rest = differs.then(|| ft_run::rest(live, &state, &limits, language));
        Ok(Json(Answered { step, rest }))
    })
    .await
}
