//! The morning's pages.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Extension;
use axum::extract::{Path, State};
use axum::response::Response;
use ft_lots::{GlassView, InventoryView, TraceView};
use ft_pages::Page;
use ft_people::{PeopleView, Settings};
use ft_record::Role;

use super::desk::{limits, place};
use super::inspector::links;
use crate::body::Asked;
use crate::ids::now_ms;
use crate::pages::{Query, page, shell};
use crate::problem::Problem;
use crate::site::Site;
use crate::who::Who;

/// Whether somebody has one of some roles.
pub(super) fn is_any(who: &Who, roles: &[Role]) -> bool {
    who.roles.iter().any(|role| roles.contains(role))
}

fn is_crew(who: &Who) -> bool {
    is_any(who, &[Role::Closer, Role::Opener, Role::Lead, Role::Trainer])
}

/// May it serve?
pub async fn release(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, _, language| {
        let shell = shell(site, who, language, Page::Release, None);
        let mut desk = site.desk()?;
        let current = site.current();
        let kitchen = place(&current, language);
        let decisions = desk.decisions(&site.store, &current, now_ms())?;
        let with_said: Vec<_> = decisions
            .into_iter()
            .map(|decision| {
                let said = desk.said(&kitchen, &decision.machine);
                (decision, said)
            })
            .collect();
        let may = (who.is_lead(), is_any(who, &[Role::Opener, Role::Lead]));
        Ok(ft_pages::release(&shell, &ft_morning::release(&kitchen, &with_said, may)))
    })
    .await
}

/// Lots.
pub async fn lots(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, _, language| {
        let shell = shell(site, who, language, Page::Lots, None);
        let desk = site.desk()?;
        let current = site.current();
        let now = now_ms();
        let inventory = InventoryView::new(desk.morning.books(), now, &limits(now), &BTreeMap::new());
        let mut places: Vec<String> =
            current.run.kitchen.places.iter().map(|place| place.name.clone()).collect();
        places
            .extend(desk.places.iter().filter(|place| !places.contains(place)).cloned().collect::<Vec<_>>());
        let may = (is_crew(who), who.is_lead());
        let view = ft_morning::lots(&place(&current, language), &inventory, &BTreeMap::new(), places, may);
        Ok(ft_pages::lots(&shell, &view))
    })
    .await
}

/// Where a lot went.
pub async fn trace(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(lot): Path<String>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, move |site, who, _, language| {
        let shell = shell(site, who, language, Page::Lots, None);
        let desk = site.desk()?;
        let current = site.current();
        let books = desk.morning.books();
        let now = now_ms();
        let limits = limits(now);
        let view = TraceView::new(books, &lot, &limits);
        let inside = GlassView::new(books, &lot, now, &limits).contents.shares;
        if view.places.is_empty() && inside.is_empty() && !books.lots().contains_key(&lot) {
            return Err(Problem::no_such(format!("There is no lot {lot:?} in the record.")));
        }
        let made_of = if inside.iter().all(|share| share.lot == lot) { Vec::new() } else { inside };
        let may_recall = who.is_lead() && books.lots().contains_key(&lot);
        let view = ft_morning::trace(&place(&current, language), &view, &made_of, may_recall);
        Ok(ft_pages::trace(&shell, &view))
    })
    .await
}

/// What was in a glass.
pub async fn glass(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, query, language| {
        let shell = shell(site, who, language, Page::Lots, None);
        let (vessel, at) =
            (query.place.as_deref().unwrap_or_default(), query.at.as_deref().unwrap_or_default());
        let at_ms = moment(at).ok_or_else(|| {
            Problem::bad("W0481", format!("{at:?} is no time."), "Write it as 2026-06-01T20:30.")
        })?;
        let desk = site.desk()?;
        let current = site.current();
        let view = GlassView::new(desk.morning.books(), vessel, at_ms, &limits(at_ms));
        Ok(ft_pages::glass(&shell, &ft_morning::glass(&place(&current, language), &view)))
    })
    .await
}

/// A time as a page writes it, where the server is.
fn moment(text: &str) -> Option<i64> {
    let at: jiff::civil::DateTime = text.parse().ok()?;
    let at = jiff::tz::TimeZone::system().to_ambiguous_timestamp(at).compatible().ok()?;
    Some(at.as_millisecond())
}

/// Parts and spares.
pub async fn parts(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(machine): Path<String>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, move |site, who, _, language| {
        let shell = shell(site, who, language, Page::Parts, Some(&machine));
        let desk = site.desk()?;
        let current = site.current();
        let kitchen = place(&current, language);
        let of = kitchen.machines.iter().find(|place| place.name == machine);
        let of = of.ok_or_else(|| Problem::no_such(format!("There is no machine {machine:?}.")))?;
        let live = current.run.machine(&machine);
        let fitted: Vec<String> = live
            .map(|live| {
                let options = live.ready.variant.options.iter();
                options.map(|option| of.machine.options[*option].name.clone()).collect()
            })
            .unwrap_or_default();
        let nothing = ft_morning::Inspections::default();
        let seen = desk.seen.get(&machine).unwrap_or(&nothing);
        let view = ft_morning::parts(&kitchen, of.machine, &fitted, seen, None, is_crew(who));
        Ok(ft_pages::parts(&shell, &view))
    })
    .await
}

/// Practice.
pub async fn practice(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, _, language| {
        let shell = shell(site, who, language, Page::Practice, None);
        let desk = site.desk()?;
        let current = site.current();
        let procedures: Vec<(String, Vec<String>)> = current
            .run
            .machines
            .iter()
            .map(|live| {
                let names = live.ready.file.procedures.iter().map(|of| of.named.name.clone());
                (live.ready.name.clone(), names.collect())
            })
            .collect();
        let none = ft_morning::Sessions::default();
        let own = desk.sessions.get(who.name()).unwrap_or(&none);
        let view = ft_morning::practice(&place(&current, language), &procedures, own, now_ms());
        Ok(ft_pages::practice(&shell, &view))
    })
    .await
}

/// People.
pub async fn people(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, _, language| {
        let shell = shell(site, who, language, Page::People, None);
        let desk = site.desk()?;
        let current = site.current();
        let skills = &current.run.kitchen.skills;
        let names = skills.iter().map(|skill| skill.name.clone()).collect();
        let view = PeopleView::new(desk.morning.people(), &names, now_ms(), Settings::default());
        let is_used = super::acts::are_lengths_used(site)?;
        let none = BTreeMap::new();
        let kitchen = place(&current, language);
        let links = links(site, &kitchen)?;
        let lengths = is_used.then_some(&none);
        let shown =
            ft_morning::people(&kitchen, &view, skills, (who.name(), who.roles.as_slice()), lengths, links);
        Ok(ft_pages::people(&shell, &shown))
    })
    .await
}
