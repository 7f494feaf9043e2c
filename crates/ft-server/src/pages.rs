//! Pages: the night put into what ft-pages shows. Here is the frame that all pages share, and those that need little
//! more; the others have a file each.

mod machine;
mod record;
mod tonight;
mod tray;
mod trust;

use std::sync::Arc;

use axum::extract::{FromRequestParts, Path};
use axum::http::header::SET_COOKIE;
use axum::http::request::Parts;
use axum::response::{Html, IntoResponse, Response};
use ft_pages::{FileView, Language, Leaves, MachineLink, Page, Person, SetUpView, Shell, SignInView};
use serde::Deserialize;

use crate::api::{beside, run};
use crate::body::Asked;
use crate::current::Current;
use crate::gate;
use crate::leaf::{Leaf, Side};
use crate::problem::Problem;
use crate::site::Site;
use crate::who::{LANGUAGE, Who, set_cookie};

pub use machine::machine;
pub use record::record;
pub use tonight::tonight;
pub use tray::tray;
pub use trust::trust;

/// A year, seconds.
const YEAR_S: u64 = 365 * 24 * 3600;

/// What may stand behind the question mark of a page.
#[derive(Debug, Default, Deserialize)]
pub struct Query {
    pub(crate) language: Option<String>,
    next: Option<String>,
    run: Option<String>,
    /// A day, such as 2026-11-25.
    pub(crate) day: Option<String>,
    /// What is older than this place.
    before: Option<u64>,
    /// What is newer than this place.
    after: Option<u64>,
    pub(crate) place: Option<String>,
    pub(crate) at: Option<String>,
}

impl Query {
    /// Which leaf of a long list is asked for.
    pub(crate) fn side(&self) -> Side {
        match (self.before, self.after) {
            (Some(place), _) => Side::Before(place),
            (None, Some(place)) => Side::After(place),
            (None, None) => Side::Newest,
        }
    }

    /// The leaves beside one; `path` is where the list is.
    pub(crate) fn leaves(&self, path: &str, leaf: &Leaf) -> Leaves {
        let kept = [("day", &self.day), ("run", &self.run)];
        let kept = kept.iter().filter_map(|(name, value)| Some((name, value.as_deref()?)));
        let kept: String = kept
            .flat_map(|(name, value)| ["&", name, "=", &ft_pages::path_segment(value)].map(str::to_owned))
            .collect();
        Leaves {
            path: path.to_owned(),
            day: self.day.clone().unwrap_or_default(),
            of: self.run.clone().unwrap_or_default(),
            newer: leaf.newer.map(|place| format!("{path}?after={place}{kept}")),
            older: leaf.older.map(|place| format!("{path}?before={place}{kept}")),
        }
    }
}

fn shell(site: &Site, who: &Who, language: Language, page: Page, machine: Option<&str>) -> Shell {
    let current = site.current();
    let may = |path: &str| {
        let of = gate::all().find(|route| route.page && route.path == path);
        let judged = of.map(|route| gate::judge(route.may, Some(&who.roles), false, false));
        judged == Some(gate::Verdict::Pass)
    };
    let all = [
        (Page::Tonight, "/"),
        (Page::Step, "/step"),
        (Page::Tray, "/tray/{machine}"),
        (Page::Machine, "/machine/{machine}"),
        (Page::Readings, "/readings"),
        (Page::File, "/file/{machine}"),
        (Page::Record, "/record"),
        (Page::Release, "/release"),
        (Page::Lots, "/lots"),
        (Page::Parts, "/parts/{machine}"),
        (Page::Practice, "/practice"),
        (Page::People, "/people"),
    ];
    let link = |live: &ft_run::Live| MachineLink {
        name: live.ready.name.clone(),
        label: live.label(language.code()).to_owned(),
    };
    Shell {
        language,
        page,
        machine: machine.map(str::to_owned),
        person: who.name.as_ref().map(|name| Person { name: name.clone() }),
        pages: all.into_iter().filter(|(_, path)| may(path)).map(|(page, _)| page).collect(),
        machines: current.run.machines.iter().map(link).collect(),
        kitchen: run::kitchen(&current, language.code()),
    }
}

/// Somebody who asks for a page.
pub(crate) struct Visit {
    site: Arc<Site>,
    who: Who,
    query: Query,
}

impl FromRequestParts<Arc<Site>> for Visit {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, site: &Arc<Site>) -> Result<Self, Problem> {
        let Asked(query) = Asked::from_request_parts(parts, site).await?;
        // Whoever guards the routes has put it there.
        let who = parts.extensions.get::<Who>().cloned().ok_or_else(Problem::signed_out)?;
        Ok(Self { site: Arc::clone(site), who, query })
    }
}

/// What a page is made from.
pub(crate) struct At<'s> {
    /// The site.
    pub site: &'s Site,
    /// Who asks.
    pub who: &'s Who,
    /// What they ask for.
    pub query: &'s Query,
    /// The language of the page.
    pub language: Language,
    /// What is around every page.
    pub shell: Shell,
}

impl Visit {
    /// Answers with a page.
    pub(crate) async fn page(
        self,
        page: Page,
        make: impl FnOnce(&At<'_>) -> Result<String, Problem> + Send + 'static,
    ) -> Response {
        self.answer(page, None, make).await
    }

    /// Answers with a page about a machine.
    pub(crate) async fn page_of(
        self,
        page: Page,
        machine: String,
        make: impl FnOnce(&At<'_>, &str) -> Result<String, Problem> + Send + 'static,
    ) -> Response {
        self.answer(page, Some(machine.clone()), move |at| make(at, &machine)).await
    }

    async fn answer(
        self,
        of: Page,
        machine: Option<String>,
        make: impl FnOnce(&At<'_>) -> Result<String, Problem> + Send + 'static,
    ) -> Response {
        let Self { site, who, query } = self;
        let code = run::language_of(query.language.as_deref(), &who);
        // A language that is asked for is remembered.
        let chosen = query.language.is_some().then(|| set_cookie(LANGUAGE, code, YEAR_S, who.is_secure));
        let made = beside(&site, move |site| {
            let language = Language::of(code).unwrap_or(Language::English);
            let shell = shell(site, &who, language, of, machine.as_deref());
            make(&At { site, who: &who, query: &query, language, shell })
        })
        .await;
        let mut answer = match made {
            Ok(html) => Html(html).into_response(),
            Err(problem) => problem.into_response(),
        };
        if let Some(value) = chosen.and_then(|cookie| cookie.parse().ok()) {
            answer.headers_mut().append(SET_COOKIE, value);
        }
        answer
    }
}

/// A machine of the night.
fn live<'c>(current: &'c Current, machine: &str) -> Result<&'c ft_run::Live, Problem> {
    let live = current.run.machine(machine);
    live.ok_or_else(|| Problem::no_such(format!("There is no machine {machine:?} in this kitchen.")))
}

/// My step.
pub async fn step(visit: Visit) -> Response {
    visit.page(Page::Step, |at| Ok(ft_pages::step(&at.shell))).await
}

/// Readings.
pub async fn readings(visit: Visit) -> Response {
    visit
        .page(Page::Readings, |at| {
            let view = crate::readings::view(at.site, at.language)?;
            Ok(ft_pages::readings(&at.shell, &view))
        })
        .await
}

/// A machine's file.
pub async fn file(visit: Visit, Path(machine): Path<String>) -> Response {
    visit
        .page_of(Page::File, machine, |at, machine| {
            let current = at.site.current();
            let live = live(&current, machine)?;
            let source = &live.ready.source;
            let view = FileView {
                label: live.label(at.language.code()).to_owned(),
                name: source.name.clone(),
                text: source.text.clone(),
            };
            Ok(ft_pages::file(&at.shell, &view))
        })
        .await
}

/// Sign-in.
pub async fn sign_in(visit: Visit) -> Response {
    visit
        .page(Page::SignIn, |at| {
            let known = at.site.known();
            let people = known.people.iter().filter(|(_, person)| !person.roles.is_empty());
            let next = at.query.next.clone().filter(|next| is_path(next)).unwrap_or_else(|| "/".to_owned());
            let view = SignInView { people: people.map(|(name, _)| name.clone()).collect(), next };
            Ok(ft_pages::sign_in(&at.shell, &view))
        })
        .await
}

/// Only a path of this site, never another address.
fn is_path(next: &str) -> bool {
    next.starts_with('/')
        && !next.starts_with("//")
        && !next.contains('\\')
        && !next.contains(char::is_control)
}

/// The first start.
pub async fn set_up(visit: Visit) -> Response {
    visit
        .page(Page::SetUp, |at| {
            let current = at.site.current();
            let people = current.run.kitchen.people.iter().map(|person| person.named.name.clone()).collect();
            Ok(ft_pages::set_up(&at.shell, &SetUpView { people }))
        })
        .await
}
