//! A machine file, proved while somebody types.

use std::sync::Arc;

use axum::extract::State;
use axum::{Extension, Json};
use ft_app::{Choice, Source, Trouble};
use ft_diag::{Lines, Severity};
use ft_prove::{Limits, Verdict};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::beside;
use super::run::language_of;
use crate::body::Body;
use crate::problem::Problem;
use crate::site::Site;
use crate::who::Who;

/// States that are looked at while somebody types.
const STATES: u64 = 300_000;
/// Variants that are proved while somebody types.
const VARIANTS: usize = 8;

/// A text.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CheckText {
    /// The machine file.
    pub text: String,
    /// What it is called.
    pub name: Option<String>,
}

/// A problem with its place.
#[derive(Debug, Serialize, ToSchema)]
pub struct PlacedProblem {
    code: String,
    severity: &'static str,
    message: String,
    remedy: Option<String>,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
}

/// What a text means.
#[derive(Debug, Serialize, ToSchema)]
pub struct Checked {
    /// What is wrong with it, with places counted from 1.
    pub problems: Vec<PlacedProblem>,
    /// The proof of each variant.
    #[schema(value_type = Vec<Object>)]
    pub forms: Vec<ft_app::check::CheckView>,
    /// The order of the first variant, as SVG.
    pub order_svg: Option<String>,
}

/// Reads, proves and draws a text; nothing is kept.
///
/// # Errors
/// [`Problem`]: it is too long.
#[utoipa::path(post, path = "/api/check", request_body = CheckText, tag = "files",
    responses((status = 200, body = Checked), (status = "4XX", body = Problem)))]
pub async fn check(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Body(asked): Body<CheckText>,
) -> Result<Json<Checked>, Problem> {
    let language = language_of(None, &who);
    beside(&site, move |_| Ok(Json(checked(asked, language)))).await
}

fn checked(asked: CheckText, language: &str) -> Checked {
    let source = Source { name: asked.name.unwrap_or_else(|| "text".into()), text: asked.text };
    let limits = Limits { states: STATES, ..Limits::default() };
    match ft_app::prepare(&source, &Choice::default()) {
        Err(Trouble::Problems(problems)) => {
            Checked { problems: placed(&source, &problems), forms: Vec::new(), order_svg: None }
        }
        Err(Trouble::Form(sentences)) => {
            let problems = sentences.into_iter().map(|message| whole("F0070", message, None)).collect();
            Checked { problems, forms: Vec::new(), order_svg: None }
        }
        Err(Trouble::Choice(message, remedy)) => Checked {
            problems: vec![whole("F0071", message, Some(remedy))],
            forms: Vec::new(),
            order_svg: None,
        },
        Ok(forms) => {
            let checked = forms.prepared.iter().take(VARIANTS);
            let views = checked.map(|prepared| ft_app::check::check(prepared, &limits, language)).collect();
            let order_svg = forms.prepared.first().and_then(|first| {
                let is_safe = matches!(ft_prove::check(&first.form, &limits), Verdict::Proved(_));
                let order = is_safe.then(|| ft_prove::order(&first.form, &limits).ok()).flatten()?;
                let language = ft_prove::tell::Language::of(language);
                Some(ft_draw::order::svg(&first.form, &order, language))
            });
            Checked { problems: placed(&source, &forms.warnings), forms: views, order_svg }
        }
    }
}

fn placed(source: &Source, problems: &[ft_diag::Problem]) -> Vec<PlacedProblem> {
    let lines = Lines::new(&source.text);
    let one = |problem: &ft_diag::Problem| {
        let (from, to) = (lines.place(problem.span.start), lines.place(problem.span.end));
        PlacedProblem {
            code: problem.code.to_owned(),
            severity: if problem.severity == Severity::Error { "error" } else { "warning" },
            message: problem.message.clone(),
            remedy: problem.remedy.clone(),
            line: from.line,
            column: from.column,
            end_line: to.line,
            end_column: to.column,
        }
    };
    problems.iter().map(one).collect()
}

/// A problem of the whole text.
fn whole(code: &str, message: String, remedy: Option<String>) -> PlacedProblem {
    let (line, column, end_line, end_column) = (1, 1, 1, 1);
    PlacedProblem {
        code: code.to_owned(),
        severity: "error",
        message,
        remedy,
        line,
        column,
        end_line,
        end_column,
    }
}
