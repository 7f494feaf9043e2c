//! The night: what it is, opening it, signing it, and what if others were here.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use ft_record::{Fact, Journey, PartRef};
use ft_run::PlanRows;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use utoipa::ToSchema;

use super::beside;
use super::sign_in::{Me, role_names};
use crate::body::{Asked, Body};
use crate::current::Current;
use crate::problem::Problem;
use crate::site::{LANGUAGES, Site};
use crate::who::Who;

/// In which language.
#[derive(Debug, Deserialize)]
pub struct InLanguage {
    language: Option<String>,
}

/// A part that is followed.
#[derive(Debug, Serialize, ToSchema)]
pub struct PartLine {
    #[serde(flatten)]
    #[schema(value_type = Object)]
    part: PartRef,
    label: String,
    slot: Option<String>,
    state: &'static str,
    seen_at: Option<i64>,
    seen_by: Option<String>,
    place: Option<String>,
}

/// A move that was set aside.
#[derive(Debug, Serialize, ToSchema)]
pub struct ConflictLine {
    id: String,
    event: String,
    by: Option<String>,
    why: Vec<String>,
}

/// A machine of the night.
#[derive(Debug, Serialize, ToSchema)]
pub struct MachineAnswer {
    machine: String,
    label: String,
    /// Its form is at `/api/form/` and this: it does not change while the night lasts.
    form: String,
    done: Vec<String>,
    #[schema(value_type = Object)]
    values: BTreeMap<String, i32>,
    conflicts: Vec<ConflictLine>,
    parts: Vec<PartLine>,
}

/// A timer that runs.
#[derive(Debug, Serialize, ToSchema)]
pub struct TimerLine {
    timer: String,
    ends_ms: i64,
    machine: Option<String>,
}

/// Somebody of the crew.
#[derive(Debug, Serialize, ToSchema)]
pub struct PersonLine {
    name: String,
    here: bool,
}

/// Everything about the night.
#[derive(Debug, Serialize, ToSchema)]
pub struct RunAnswer {
    epoch: String,
    seq: u64,
    run: Option<String>,
    procedure: String,
    state: &'static str,
    me: Me,
    kitchen: String,
    people: Vec<PersonLine>,
    machines: Vec<MachineAnswer>,
    #[schema(value_type = Object)]
    plan: Box<RawValue>,
    /// Changes whenever the plan does.
    plan_mark: String,
    timers: Vec<TimerLine>,
    #[schema(value_type = Vec<Object>)]
    events: Vec<serde_json::Value>,
    against: Vec<String>,
}

/// The language that is asked for, else the person's, among those that there are.
pub fn language_of(asked: Option<&str>, who: &Who) -> &'static str {
    let code = asked.unwrap_or(&who.language);
    let base = code.split(['-', '_']).next().unwrap_or(code);
    LANGUAGES.into_iter().find(|known| base.eq_ignore_ascii_case(known)).unwrap_or("en")
}

/// The night as it stands.
///
/// # Errors
/// [`Problem`] of the store.
#[utoipa::path(get, path = "/api/run", tag = "run", params(("language" = Option<String>, Query)),
    responses((status = 200, body = RunAnswer), (status = "4XX", body = Problem)))]
pub async fn run(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(asked): Asked<InLanguage>,
) -> Result<Json<RunAnswer>, Problem> {
    let language = language_of(asked.language.as_deref(), &who);
    beside(&site, move |site| Ok(Json(view(site, &who, language)))).await
}

fn view(site: &Site, who: &Who, language: &str) -> RunAnswer {
    // Events that are read on meanwhile come through the stream: the number is taken first.
    let seq = site.known().seq;
    let current = site.current();
    let current = &*current;
    let events = current
        .events
        .iter()
        .map(|stored| serde_json::json!({ "seq": stored.seq, "event": stored.event }))
        .collect();
    let here = |name: &str| match current.id {
        Some(_) => current.is_here(name),
        None => current.crew.iter().any(|known| known == name),
    };
    let mut names: Vec<String> = current.crew.clone();
    for person in &current.run.kitchen.people {
        if !names.contains(&person.named.name) {
            names.push(person.named.name.clone());
        }
    }
    RunAnswer {
        epoch: site.epoch.clone(),
        seq,
        run: current.id.clone(),
        procedure: current.procedure.clone(),
        state: state(current),
        me: Me { name: who.name().to_owned(), roles: role_names(&who.roles), language: language.to_owned() },
        kitchen: kitchen(current, language),
        people: names.into_iter().map(|name| PersonLine { here: here(&name), name }).collect(),
        machines: current.run.machines.iter().map(|live| machine(current, live, language)).collect(),
        plan: current.sheets[language].json.clone(),
        plan_mark: current.sheets[language].mark.clone(),
        timers: current
            .night
            .timers
            .iter()
            .map(|of| TimerLine { timer: of.timer.clone(), ends_ms: of.ends_ms, machine: of.machine.clone() })
            .collect(),
        events,
        against: if current.id.is_some() { against(current, language) } else { Vec::new() },
    }
}

/// A machine's form, by its mark: what may be done, what must hold before, what it changes.
///
/// # Errors
/// [`Problem`]: no machine of the night has this form.
#[utoipa::path(get, path = "/api/form/{mark}", tag = "run", params(("mark" = String, Path)),
    responses((status = 200, body = Object), (status = "4XX", body = Problem)))]
pub async fn form(State(site): State<Arc<Site>>, Path(mark): Path<String>) -> Result<Response, Problem> {
    let current = site.current();
    let form = current.forms.values().find(|form| form.mark == mark);
    let form = form.ok_or_else(|| Problem::no_such("No machine of the night has this form."))?;
    // The mark says what is in it: whoever has it never has to ask again.
    let head = [(CONTENT_TYPE, "application/json"), (CACHE_CONTROL, "private, max-age=31536000, immutable")];
    Ok((head, form.json.get().to_owned()).into_response())
}

/// How far the night is.
pub fn state(current: &Current) -> &'static str {
    match (&current.id, current.is_signed(), current.is_finished()) {
        (None, ..) => "planned",
        (Some(_), true, _) => "signed",
        (Some(_), false, true) => "finished",
        (Some(_), false, false) => "running",
    }
}

/// What the kitchen is called.
pub fn kitchen(current: &Current, language: &str) -> String {
    let kitchen = &current.run.kitchen;
    ft_app::tonight::pick(&kitchen.title, language).unwrap_or(&kitchen.named.name).to_owned()
}

fn machine(current: &Current, live: &ft_run::Live, language: &str) -> MachineAnswer {
    let name = &live.ready.name;
    let now = current.night.machines.get(name);
    let event_name = |event: &usize| live.form.events[*event].name.clone();
    let values = live
        .form
        .vars
        .iter()
        .enumerate()
        .map(|(var, of)| (of.name.clone(), now.map_or(of.init, |now| now.state.vals[var])));
    MachineAnswer {
        machine: name.clone(),
        label: live.label(language).to_owned(),
        form: current.forms.get(name).map(|form| form.mark.clone()).unwrap_or_default(),
        done: now
            .map(|now| now.done.iter().map(|done| event_name(&done.event)).collect())
            .unwrap_or_default(),
        values: values.collect(),
        conflicts: now
            .map(|now| {
                let line = |conflict: &ft_record::fold::Conflict| ConflictLine {
                    id: conflict.id.clone(),
                    event: conflict.event.clone(),
                    by: conflict.by.clone(),
                    why: match live.event(&conflict.event) {
                        Some(event) => ft_run::answer(live, &now.state, event, language).why_not,
                        None => vec![conflict.sentence.clone()],
                    },
                };
                now.conflicts.iter().map(line).collect()
            })
            .unwrap_or_default(),
        parts: live.followed().into_iter().map(|part| part_line(current, live, part, language)).collect(),
    }
}

fn part_line(current: &Current, live: &ft_run::Live, of: ft_run::Followed, language: &str) -> PartLine {
    let name = &live.ready.name;
    let told = current.part(name, &of.part);
    let value = current.night.machines.get(name).map(|machine| machine.state.vals[of.var]);
    let label = ft_app::tonight::pick(&of.labels, language).unwrap_or(&of.part.part).to_owned();
    PartLine {
        label,
        state: match told {
            Some(told) if told.missing => "missing",
            Some(told) if told.replaced && told.journey.is_none() => "replaced",
            Some(told) if told.journey.is_some() => told.journey.map_or("fitted", journey_name),
            _ => value.map_or("fitted", value_name),
        },
        seen_at: told.and_then(|told| told.seen_at_ms),
        seen_by: told.and_then(|told| told.seen_by.clone()),
        place: told.and_then(|told| told.last_seen.clone()),
        slot: of.slot,
        part: of.part,
    }
}

/// A part's state by the form's variable.
fn value_name(value: i32) -> &'static str {
    use ft_compile::lower::part;
    match value {
        part::OFF | part::APART => "off",
        part::WASHED => "washed",
        part::RINSED => "rinsed",
        part::SANITISED => "sanitised",
        part::IN_SLOT => "laid-out",
        part::MISSING => "missing",
        _ => "fitted",
    }
}

fn journey_name(journey: Journey) -> &'static str {
    match journey {
        Journey::Off => "off",
        Journey::Washed => "washed",
        Journey::Rinsed => "rinsed",
        Journey::Sanitised => "sanitised",
        Journey::LaidOut => "laid-out",
        Journey::Fitted => "fitted",
    }
}

/// What stands against signing, a sentence each: steps that have not happened, parts that are missing, moves that were
/// set aside, readings outside their limits.
pub fn against(current: &Current, language: &str) -> Vec<String> {
    let es = language == "es";
    let mut told = Vec::new();
    for live in &current.run.machines {
        let (name, label) = (&live.ready.name, live.label(language));
        let Some(now) = current.night.machines.get(name) else { continue };
        let left = now.state.done.iter().filter(|done| !**done).count();
        if left > 0 {
            told.push(if es {
                format!("{label}: faltan {left} pasos.")
            } else {
                format!("{label}: {left} steps have not been done.")
            });
        }
        for conflict in &now.conflicts {
            let event = live.event(&conflict.event).map(|event| &live.form.events[event]);
            let title = event.and_then(|event| ft_app::tonight::pick(&event.words, language));
            let title = title.unwrap_or(&conflict.event);
            told.push(if es {
                format!("{label}: «{title}» se apartó y nadie lo ha aclarado.")
            } else {
                format!("{label}: “{title}” was set aside, and nobody has settled it.")
            });
        }
        for part in live.followed() {
            if current.part(name, &part.part).is_some_and(|now| now.missing) {
                let part = ft_app::tonight::pick(&part.labels, language).unwrap_or(&part.part.part);
                told.push(if es {
                    format!("{label}: no aparece: {part}.")
                } else {
                    format!("{label}: {part} is missing.")
                });
            }
        }
    }
    told
}

/// Which night is opened.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Open {
    /// The procedure, by its name in the machine files.
    #[schema(example = "closing")]
    pub procedure: String,
    /// Who is here; left out: whom the kitchen file says.
    pub people: Option<Vec<String>>,
}

/// A night that was opened.
#[derive(Debug, Serialize, ToSchema)]
pub struct Opened {
    /// Its name.
    pub run: String,
}

/// Opens a night.
///
/// # Errors
/// [`Problem`]: one is open, or there is no plan.
#[utoipa::path(post, path = "/api/run/open", request_body = Open, tag = "run",
    responses((status = 201, body = Opened), (status = "4XX", body = Problem)))]
pub async fn open(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Body(asked): Body<Open>,
) -> Result<(StatusCode, Json<Opened>), Problem> {
    beside(&site, move |site| {
        if !who.may_open(&asked.procedure) {
            return Err(Problem::not_yours("a lead; an opener too, for the opening"));
        }
        let run = site.open_run(who.name(), &asked.procedure, asked.people.as_deref())?;
        Ok((StatusCode::CREATED, Json(Opened { run })))
    })
    .await
}

/// Signs the night as whoever is signed in, if nothing stands against it.
///
/// # Errors
/// [`Problem`]: no night is open, or something stands against it, which is told.
#[utoipa::path(post, path = "/api/run/close", tag = "run",
    responses((status = 204), (status = "4XX", body = Problem)))]
pub async fn close(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
) -> Result<StatusCode, Problem> {
    beside(&site, move |site| {
        let (run, against, is_signed, procedure) = {
            let current = site.current();
            let against = against(&current, language_of(None, &who));
            (current.id.clone(), against, current.is_signed(), current.procedure.clone())
        };
        let Some(run) = run.filter(|_| !is_signed) else {
            return Err(Problem::conflict("W0410", "No night is open.", "Start one on the page of tonight."));
        };
        if !against.is_empty() {
            return Err(Problem::conflict(
                "W0444",
                format!("It cannot be signed yet: {}", against.join(" ")),
                "Do what is left, find or replace what is missing, or say that it happened differently.",
            ));
        }
        let r#as = who.signs(&procedure)?;
        site.say(Fact::Signed { r#as }, who.name.clone(), Some(run))?;
        site.store.seal(crate::ids::now_ms())?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// Who would be here.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WhatIf {
    /// Names of the kitchen file.
    pub people: Vec<String>,
}

/// One of two plans beside each other.
#[derive(Debug, Serialize, ToSchema)]
pub struct Side {
    /// Who is here.
    pub people: Vec<String>,
    /// When everybody is out, seconds from the begin; none where there is no plan.
    pub out_s: Option<u32>,
    /// The same as a time, milliseconds since 1970.
    pub out_ms: i64,
    /// The plan.
    #[schema(value_type = Object)]
    pub plan: PlanRows,
}

/// Two plans beside each other.
#[derive(Debug, Serialize, ToSchema)]
pub struct Sides {
    /// As it is.
    pub now: Side,
    /// As it would be.
    pub then: Side,
    /// How much later everybody would be out, seconds; negative: earlier.
    pub later_s: Option<i64>,
}

/// Plans the night with other people, and changes nothing.
///
/// # Errors
/// [`Problem`]: there is no such plan.
#[utoipa::path(post, path = "/api/plan/what-if", request_body = WhatIf, tag = "run",
    responses((status = 200, body = Sides), (status = "4XX", body = Problem)))]
pub async fn what_if(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Body(asked): Body<WhatIf>,
) -> Result<Json<Sides>, Problem> {
    let language = language_of(None, &who);
    beside(&site, move |site| {
        let mut other = site.other_people(&asked.people)?;
        let current = site.current();
        other.begins_ms = current.begins_ms;
        let (now, then) = (side(&current, language), side(&other, language));
        let later_s = now.out_s.zip(then.out_s).map(|(now, then)| i64::from(then) - i64::from(now));
        Ok(Json(Sides { now, then, later_s }))
    })
    .await
}

fn side(current: &Current, language: &str) -> Side {
    let plan = current.rows(language);
    Side {
        out_ms: plan.out_ms,
        people: current.crew.clone(),
        out_s: current.plan.is_plan().then_some(current.plan.score.ends_at_s),
        plan,
    }
}

/// Where a missing part may be.
#[derive(Debug, Serialize, ToSchema)]
pub struct Search {
    /// The part.
    pub label: String,
    /// Its slot.
    pub slot: Option<String>,
    /// Where to look, most likely first, a sentence each.
    pub look: Vec<String>,
}

/// Where to look for the parts of a machine that are missing.
///
/// # Errors
/// [`Problem`]: there is no such machine.
#[utoipa::path(get, path = "/api/search/{machine}", tag = "run", params(("machine" = String, Path)),
    responses((status = 200, body = Vec<Search>), (status = "4XX", body = Problem)))]
pub async fn search(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(machine): Path<String>,
) -> Result<Json<Vec<Search>>, Problem> {
    let language = language_of(None, &who);
    beside(&site, move |site| {
        let current = site.current();
        let live = current.run.machine(&machine);
        let live = live.ok_or_else(|| Problem::no_such(format!("There is no machine {machine:?}.")))?;
        Ok(Json(missing(&current, live, language)))
    })
    .await
}

/// What is missing on a machine, and where to look for it: where it was said to be last, who had it, what was washed
/// with it.
pub fn missing(current: &Current, live: &ft_run::Live, language: &str) -> Vec<Search> {
    let es = language == "es";
    let mut list = Vec::new();
    for part in live.followed() {
        let told = current.part(&live.ready.name, &part.part);
        let Some(now) = told.filter(|now| now.missing) else { continue };
        let mut look = Vec::new();
        if let Some(place) = &now.last_seen {
            look.push(if es {
                format!("Vista por última vez: {place}.")
            } else {
                format!("Last seen: {place}.")
            });
        }
        if let Some(had) = &now.seen_by {
            look.push(if es { format!("La tuvo {had}: pregunte.") } else { format!("{had} had it: ask.") });
        }
        let load = live
            .loads
            .iter()
            .position(|(_, parts)| parts.iter().any(|(id, side)| live.part_ref(*id, *side) == part.part));
        if let Some(load) = load {
            let others: Vec<String> = live.loads[load]
                .1
                .iter()
                .filter(|(id, side)| live.part_ref(*id, *side) != part.part)
                .map(|(id, side)| live.part_label(*id, *side, language))
                .collect();
            let with = others.join(", ");
            look.push(match (es, others.is_empty()) {
                (false, true) => "In the sinks: it is washed alone.".to_owned(),
                (false, false) => format!("In the sinks, and between what is washed with it: {with}."),
                (true, true) => "En los fregaderos: se lava sola.".to_owned(),
                (true, false) => format!("En los fregaderos, y entre lo que se lava con ella: {with}."),
            });
        }
        look.push(if es {
            "En los huecos vecinos de la bandeja, y debajo de ella.".to_owned()
        } else {
            "In the neighbouring slots of the tray, and under it.".to_owned()
        });
        let label = ft_app::tonight::pick(&part.labels, language).unwrap_or(&part.part.part).to_owned();
        list.push(Search { label, slot: part.slot, look });
    }
    list
}
