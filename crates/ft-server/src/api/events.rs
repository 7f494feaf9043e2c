//! What devices say happened: checked, stored, and told to everybody.

use std::collections::BTreeMap;
use std::fmt::Display;
use std::sync::Arc;

use axum::extract::State;
use axum::{Extension, Json};
use ft_practice::measure::{MEASURE, Tally};
use ft_record::incoming::{self, Refusal};
use ft_record::{Event, Fact, Role, SignedAs, Training, read_event};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::beside;
use super::run::language_of;
use crate::body::Body;
use crate::ids;
use crate::known::Known;
use crate::problem::Problem;
use crate::site::Site;
use crate::who::Who;
use crate::words;

/// Events of one device, in its order.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Sent {
    /// At most 500. Each is read by itself: one that cannot be read is refused, and the others are not.
    #[schema(value_type = Vec<crate::openapi::EventShape>)]
    pub events: Vec<serde_json::Value>,
    /// Whether a move that may not happen now is refused, instead of being kept as a conflict. For a device that
    /// knows all that has happened; one that was offline leaves it out.
    #[serde(default)]
    pub strict: bool,
}

/// An event that is in the record.
#[derive(Debug, Serialize, ToSchema)]
pub struct Taken {
    /// Its id.
    pub id: String,
    /// Its place in the record.
    pub seq: u64,
    /// Whether it was not there before.
    pub is_new: bool,
}

/// An event that will never be taken as it is.
#[derive(Debug, Serialize, ToSchema)]
pub struct Refused {
    /// Its id.
    pub id: String,
    /// A stable code.
    pub code: &'static str,
    /// Why, in a sentence of the reader's language.
    pub sentence: String,
}

/// What became of events. What is in neither list stays with the device.
#[derive(Debug, Serialize, ToSchema)]
pub struct Outcome {
    /// The record's random name.
    pub epoch: String,
    /// What is in the record, durably.
    pub accepted: Vec<Taken>,
    /// What will never be.
    pub refused: Vec<Refused>,
}

/// As many events at once.
const MOST: usize = 500;
/// A device's clock may be so far ahead.
const AHEAD_MS: i64 = 24 * 3600 * 1000;

/// Takes events.
///
/// # Errors
/// [`Problem`] of the store: nothing was taken.
#[utoipa::path(post, path = "/api/events", request_body = Sent, tag = "run",
    responses((status = 200, body = Outcome), (status = "4XX", body = Problem), (status = 503, body = Problem), (status = 507, body = Problem)))]
pub async fn events(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Body(sent): Body<Sent>,
) -> Result<Json<Outcome>, Problem> {
    beside(&site, move |site| take(site, &who, sent).map(Json)).await
}

/// Judges events, and stores those that are taken.
///
/// # Errors
/// [`Problem`] of the store: nothing was taken.
pub fn take(site: &Site, who: &Who, sent: Sent) -> Result<Outcome, Problem> {
    if sent.events.len() > MOST {
        return Err(Problem::bad(
            "W0425",
            format!("These are {} events; {MOST} can be sent at once.", sent.events.len()),
            "Send them in smaller pieces, oldest first.",
        ));
    }
    let judge = Judge::new(site, who, sent.strict);
    let (mut good, mut not) = (Vec::new(), Vec::new());
    let mut numbers: BTreeMap<(String, u64), String> = BTreeMap::new();
    for value in sent.events {
        let id = value.get("id").and_then(serde_json::Value::as_str).unwrap_or_default().to_owned();
        let judged = read_event(&value.to_string())
            .or_else(|why| refused("W0430", &[&why]))
            .and_then(|event| judge.judge(&event).map(|()| event))
            .and_then(|event| {
                // One number, one event: among those that came together too.
                let number = (event.device.clone(), event.order);
                if *numbers.entry(number).or_insert_with(|| event.id.clone()) == event.id {
                    Ok(event)
                } else {
                    refused("W0431", &[&event.order])
                }
            });
        match judged {
            Ok(event) => good.push(event),
            Err(why) => {
                let sentence = words::refusal(&why, judge.language);
                not.push(Refused { id, code: why.code, sentence });
            }
        }
    }
    let accepted = site.append(good)?;
    let accepted = accepted.into_iter().map(|one| Taken { id: one.id, seq: one.seq, is_new: one.is_new });
    Ok(Outcome { epoch: site.epoch.clone(), accepted: accepted.collect(), refused: not })
}

fn refused<T>(code: &'static str, found: &[&dyn Display]) -> Result<T, Refusal> {
    Err(Refusal::new(code, found))
}

/// Whether events may go into the record as they are: the record's own reasons first, then who may say what of which
/// night.
struct Judge<'a> {
    site: &'a Site,
    who: &'a Who,
    strict: bool,
    language: &'static str,
    incoming: incoming::Known,
}

impl<'a> Judge<'a> {
    fn new(site: &'a Site, who: &'a Who, strict: bool) -> Self {
        // A device that was away may still tell of a machine that is no longer here.
        let mut machines = site.known().machines.clone();
        machines
            .extend(site.current().run.kitchen.machines.iter().map(|installed| installed.named.name.clone()));
        Self { site, who, strict, language: language_of(None, who), incoming: incoming::Known { machines } }
    }

    fn judge(&self, event: &Event) -> Result<(), Refusal> {
        incoming::check(event, &self.incoming)?;
        if ids::now_ms() + AHEAD_MS < event.at_ms {
            return refused("W0435", &[]);
        }
        if self.site.is_own_device(&event.device) {
            return refused("W0434", &[]);
        }
        let known = self.site.known();
        if known.is_taken(event) {
            return refused("W0431", &[&event.order]);
        }
        rights(self.person(&known, event)?, &event.fact)?;
        drop(known);
        if let Fact::Practised { session } = &event.fact {
            practised(session)?;
        }
        self.of_run(event)
    }

    /// The roles of the person of an event: whoever is signed in, or somebody who signed in on the same browser before.
    fn person<'k>(&self, known: &'k Known, event: &Event) -> Result<&'k [Role], Refusal> {
        let Some(person) = event.person.as_ref() else { return refused("W0439", &[]) };
        let is_own = self.who.name.as_ref() == Some(person);
        let was_here = || {
            self.who.browser.as_ref().is_some_and(|browser| self.site.sessions().has_been(browser, person))
        };
        if is_own || was_here() { Ok(known.roles(person)) } else { refused("W0440", &[person]) }
    }

    /// Whether an event fits the open night: its machine, its step.
    fn of_run(&self, event: &Event) -> Result<(), Refusal> {
        let current = self.site.current();
        let Some(run) = event.run.as_ref() else { return Ok(()) };
        if current.id.as_ref() != Some(run) {
            let known = self.site.known();
            let is_old = known.runs.iter().any(|line| line.id == *run);
            return if is_old { Ok(()) } else { refused("W0443", &[]) };
        }
        if let Fact::Signed { .. } = event.fact {
            let against = super::run::against(&current, self.language);
            if let Some(first) = against.first() {
                return refused("W0444", &[first]);
            }
        }
        let Some(machine) = event.machine.as_ref() else { return Ok(()) };
        let Some(live) = current.run.machine(machine) else { return refused("W0446", &[machine]) };
        let (Fact::Happened { event: name } | Fact::Differed { event: Some(name), .. }) = &event.fact else {
            return Ok(());
        };
        let Some(number) = live.event(name) else { return refused("W0447", &[name]) };
        let is_strict = self.strict && matches!(event.fact, Fact::Happened { .. });
        let state = current.night.machines.get(machine).map(|machine| &machine.state);
        if let Some(state) = state.filter(|state| is_strict && !state.done[number]) {
            let answer = ft_run::answer(live, state, number, self.language);
            if !answer.may {
                let why: Vec<String> = answer.why_not.into_iter().chain(answer.harms).collect();
                return refused("W0448", &[&why.join(" ")]);
            }
        }
        Ok(())
    }
}

/// Whether a session that is told as passed can have been: what a tablet says of danger is believed, its figures are
/// weighed again.
fn practised(session: &ft_record::Practice) -> Result<(), Refusal> {
    let slips = session.slips.values().fold(0, |sum: u32, count| sum.saturating_add(*count));
    let tally = Tally { moves: session.moves, slips, dangers: 0, finished: true };
    if session.passed && !MEASURE.is_passed(&tally) {
        let most = session.moves / MEASURE.moves_per_slip;
        return refused("W0449", &[&slips, &session.moves, &most]);
    }
    Ok(())
}

/// What each kind of fact asks of whoever says it.
fn rights(roles: &[Role], fact: &Fact) -> Result<(), Refusal> {
    let crew: &[Role] = &[Role::Closer, Role::Opener, Role::Lead, Role::Trainer];
    let wanted: &[Role] = match fact {
        Fact::RunOpened { .. }
        | Fact::PersonAdded { .. }
        | Fact::RolesChanged { .. }
        | Fact::ProbeWatched { .. }
        | Fact::AlarmRaised { .. }
        | Fact::AlarmEnded { .. }
        | Fact::LengthsErased { .. } => {
            return refused("W0441", &[]);
        }
        Fact::Signed { r#as: SignedAs::Lead }
        | Fact::Released { .. }
        | Fact::Refused { .. }
        | Fact::Overridden { .. }
        | Fact::Recalled { .. } => &[Role::Lead],
        Fact::Signed { r#as: SignedAs::Closer } => &[Role::Closer, Role::Lead],
        Fact::Signed { r#as: SignedAs::Opener } => &[Role::Opener, Role::Lead],
        Fact::Trained { how: Training::Confirmed | Training::Withdrawn, .. } => &[Role::Trainer, Role::Lead],
        // Whoever may do something alone may watch it; whether they could is judged where it counts.
        Fact::Signed { r#as: SignedAs::Watcher }
        | Fact::Trained { how: Training::UnderWatch, .. }
        | Fact::Happened { .. }
        | Fact::Differed { .. }
        | Fact::Corrected { .. }
        | Fact::TimerStarted { .. }
        | Fact::TimerStopped { .. }
        | Fact::PersonJoined { .. }
        | Fact::PersonLeft { .. }
        | Fact::PartSeen { .. }
        | Fact::PartMoved { .. }
        | Fact::PartMissing { .. }
        | Fact::PartFound { .. }
        | Fact::PartInspected { .. }
        | Fact::PartReplaced { .. }
        | Fact::Reading { .. }
        | Fact::AlarmAcknowledged { .. }
        | Fact::Note { .. }
        | Fact::Photo { .. }
        | Fact::FaultOpened { .. }
        | Fact::FaultClosed { .. }
        | Fact::LotReceived { .. }
        | Fact::LotOpened { .. }
        | Fact::Blended { .. }
        | Fact::Served { .. }
        | Fact::Stored { .. }
        | Fact::Discarded { .. }
        | Fact::Practised { .. } => crew,
    };
    if roles.iter().any(|role| wanted.contains(role)) { Ok(()) } else { refused("W0442", &[]) }
}
