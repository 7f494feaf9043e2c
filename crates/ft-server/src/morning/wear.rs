//! Lives of parts: what the record tells of replacements, what a table tells of the past, and what a lead says that a
//! change costs.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::State;
use axum::http::StatusCode;
use ft_machine::Part;
use ft_units::TimeUnit;
use ft_wear::record;
use ft_wear::replacement::Costs;
use ft_wear::view::{Request, Settings, WearView};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::desk::{Desk, limits};
use crate::api::beside;
use crate::body::Body;
use crate::current::Current;
use crate::ids::now_ms;
use crate::problem::Problem;
use crate::site::Site;

/// Where on the shelf the table of the past lies, and beside it what each kind of part costs.
const SHELF: &str = "wear";
const PAST: &str = "past";
const COSTS: &str = "cost/";

/// Days from order to delivery, the probability with which all wishes are met meanwhile, and the days ahead for which
/// the chance of a failure is told, as long as nobody says otherwise. Source: none, our choice.
const LEAD_DAYS: f64 = 14.0;
const SERVICE: f64 = 0.95;
const AHEAD_DAYS: f64 = 30.0;

/// What a lead says of a kind of part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CostsOf {
    /// The kind.
    part: String,
    /// What a planned change costs, in any currency.
    planned: f64,
    /// What a failure costs, in the same.
    failure: f64,
    /// Days from order to delivery.
    lead_days: f64,
    /// Spares on the shelf and on order.
    have: u64,
}

/// Lives, due list and order list of all parts at a moment.
///
/// # Errors
/// [`Problem`] of the store.
pub fn view(site: &Site, desk: &Desk, current: &Current, at_ms: i64) -> Result<WearView, Problem> {
    let limits = limits(at_ms);
    let today = limits.day(at_ms);
    let mut all = past(site, today)?;
    let own = desk.replaced.record(&limits.zone);
    all.rows += own.rows;
    all.replacements.extend(own.replacements.into_iter().filter(|one| one.fitted <= today));
    let mut default = Settings {
        costs: None,
        maker_longest_days: None,
        assumed_shape: None,
        lead_days: LEAD_DAYS,
        service: SERVICE,
        have: 0,
        ahead_days: AHEAD_DAYS,
    };
    let mut parts: BTreeMap<String, Settings> = BTreeMap::new();
    let machines = current.run.machines.iter().filter_map(|live| live.ready.file.machine.as_ref());
    for part in machines.flat_map(|machine| &machine.parts) {
        let longest = longest_days(part);
        let known = parts.entry(part.named.name.clone()).or_insert(default);
        // Of one name on several machines, the shortest interval holds for all.
        known.maker_longest_days = match (known.maker_longest_days, longest) {
            (Some(one), Some(other)) => Some(one.min(other)),
            (one, other) => one.or(other),
        };
    }
    for (key, value) in site.store.list(SHELF)? {
        let Some(of) = key.strip_prefix(COSTS).and_then(|_| serde_json::from_str::<CostsOf>(&value).ok())
        else {
            continue;
        };
        let known = parts.entry(of.part).or_insert(default);
        known.costs = Some(Costs { planned: of.planned, failure: of.failure });
        (known.lead_days, known.have) = (of.lead_days, of.have);
    }
    default.maker_longest_days = None;
    Ok(ft_wear::view::wear(&all, &Request { today, default, parts }))
}

/// The longest interval that the machine file gives.
fn longest_days(part: &Part) -> Option<f64> {
    part.lasts.map(|time| time.in_unit(TimeUnit::Day))
}

/// The table of the past.
fn past(site: &Site, today: Date) -> Result<record::Record, Problem> {
    Ok(match site.store.get(SHELF, PAST)? {
        Some(text) => record::read(&text, today),
        None => record::Record { replacements: Vec::new(), problems: Vec::new(), rows: 0 },
    })
}

/// A table of replacements before this record began.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Past {
    /// The table: `part,place,fitted,removed,end`.
    table: String,
}

/// Takes a table of the past, over the one that was there; an empty one takes it away.
///
/// # Errors
/// [`Problem`]: none of its rows can be used.
#[utoipa::path(post, path = "/api/parts/past", request_body = Past, tag = "morning",
    responses((status = 204), (status = "4XX", body = Problem)))]
pub async fn set_past(
    State(site): State<Arc<Site>>,
    Body(Past { table }): Body<Past>,
) -> Result<StatusCode, Problem> {
    beside(&site, move |site| {
        if table.trim().is_empty() {
            site.store.remove(SHELF, PAST)?;
            return Ok(StatusCode::NO_CONTENT);
        }
        let now = now_ms();
        let read = record::read(&table, limits(now).day(now));
        if let Some(problem) = read.problems.first() {
            let remedy = problem.remedy.clone().unwrap_or_else(|| {
                "Write it as part,place,fitted,removed,end with dates such as 2026-05-31.".to_owned()
            });
            return Err(Problem::bad("W0491", format!("The table: {}.", problem.message), remedy));
        }
        site.store.put(SHELF, PAST, &table)?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// Sets what a change and a failure of a kind of part cost, how long a spare takes to come, and how many there are.
///
/// # Errors
/// [`Problem`]: a figure is out of range.
#[utoipa::path(post, path = "/api/parts/costs", request_body = CostsOf, tag = "morning",
    responses((status = 204), (status = "4XX", body = Problem)))]
pub async fn set_costs(
    State(site): State<Arc<Site>>,
    Body(of): Body<CostsOf>,
) -> Result<StatusCode, Problem> {
    beside(&site, move |site| {
        let is_cost = |cost: f64| cost.is_finite() && 0.0 < cost;
        let sound = is_cost(of.planned) && is_cost(of.failure) && (0.0..=3650.0).contains(&of.lead_days);
        if !sound || of.part.is_empty() {
            return Err(Problem::bad(
                "W0492",
                "A cost or a time is out of range.",
                "Costs above 0; days to delivery from 0 to 3650.",
            ));
        }
        let text = serde_json::to_string(&of).expect("costs are plain data");
        site.store.put(SHELF, &format!("{COSTS}{}", of.part), &text)?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}
