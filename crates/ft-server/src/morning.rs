//! The morning over HTTP: release, lots, parts, practice, people, and what an inspector reads.
//!
//! What is asked of the record is folded once and kept up ([`desk`]); pages are filled by `ft-morning`. The routes stand
//! in a table of their own, which the gate reads like the other.

pub mod acts;
mod desk;
pub mod inspector;
mod packets;
mod pages;
mod paper;
pub mod wear;

use std::sync::Arc;

use axum::routing::{MethodRouter, get, post};
use ft_record::Role;

use crate::gate::{May, Route};
use crate::site::Site;

pub use desk::{Desk, files};

const fn page(path: &'static str, may: May) -> Route {
    Route { method: "GET", path, may, page: true }
}

const fn read(path: &'static str, may: May) -> Route {
    Route { method: "GET", path, may, page: false }
}

const fn act(path: &'static str, may: May) -> Route {
    Route { method: "POST", path, may, page: false }
}

/// Everybody who works: all but those who only read.
const CREW: May = May::Roles(&[Role::Closer, Role::Opener, Role::Lead, Role::Trainer]);
const LEADS: May = May::Roles(&[Role::Lead]);
const SIGNERS: May = May::Roles(&[Role::Opener, Role::Lead]);

/// The morning's routes.
pub const ROUTES: &[Route] = &[
    page("/release", May::SignedIn),
    page("/lots", May::SignedIn),
    page("/lots/lot/{lot}", May::SignedIn),
    page("/lots/glass", May::SignedIn),
    page("/parts/{machine}", May::SignedIn),
    page("/practice", CREW),
    page("/people", May::SignedIn),
    page("/inspect/{token}", May::Anybody),
    read("/inspect/{token}/record.jsonl", May::Anybody),
    read("/inspect/{token}/packet/{run}", May::Anybody),
    read("/inspect/{token}/lot", May::Anybody),
    read("/lots/label/{lot}", CREW),
    read("/lots/packet/{lot}", May::SignedIn),
    read("/record/packet/{run}", May::SignedIn),
    read("/api/release", May::SignedIn),
    read("/api/lots", May::SignedIn),
    read("/api/lots/{lot}", May::SignedIn),
    read("/api/practice", CREW),
    read("/api/people/{name}/lengths.csv", May::SignedIn),
    act("/api/release", SIGNERS),
    act("/api/people/{name}/lengths/erase", May::SignedIn),
    act("/api/settings/lengths", LEADS),
    act("/api/parts/past", LEADS),
    act("/api/parts/costs", LEADS),
    act("/api/inspect", LEADS),
    act("/api/inspect/close", LEADS),
];

/// The handler of a route of [`ROUTES`]; `None` for another.
pub fn handler(route: &Route) -> Option<MethodRouter<Arc<Site>>> {
    Some(match (route.method, route.path) {
        ("GET", "/release") => get(pages::release),
        ("GET", "/lots") => get(pages::lots),
        ("GET", "/lots/lot/{lot}") => get(pages::trace),
        ("GET", "/lots/glass") => get(pages::glass),
        ("GET", "/parts/{machine}") => get(pages::parts),
        ("GET", "/practice") => get(pages::practice),
        ("GET", "/people") => get(pages::people),
        ("GET", "/inspect/{token}") => get(inspector::page),
        ("GET", "/inspect/{token}/record.jsonl") => get(inspector::record),
        ("GET", "/inspect/{token}/packet/{run}") => get(inspector::packet),
        ("GET", "/inspect/{token}/lot") => get(inspector::lot),
        ("GET", "/lots/label/{lot}") => get(paper::label),
        ("GET", "/lots/packet/{lot}") => get(paper::lot),
        ("GET", "/record/packet/{run}") => get(paper::nights),
        ("GET", "/api/release") => get(acts::release),
        ("GET", "/api/lots") => get(acts::lots),
        ("GET", "/api/lots/{lot}") => get(acts::lot),
        ("GET", "/api/practice") => get(acts::practice),
        ("GET", "/api/people/{name}/lengths.csv") => get(acts::lengths),
        ("POST", "/api/release") => post(acts::sign),
        ("POST", "/api/people/{name}/lengths/erase") => post(acts::erase),
        ("POST", "/api/settings/lengths") => post(acts::use_lengths),
        ("POST", "/api/parts/past") => post(wear::set_past),
        ("POST", "/api/parts/costs") => post(wear::set_costs),
        ("POST", "/api/inspect") => post(inspector::open),
        ("POST", "/api/inspect/close") => post(inspector::close),
        _ => return None,
    })
}
