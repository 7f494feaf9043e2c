//! What devices say happened: checked, stored, and told to everybody.

use std::collections::BTreeSet;
use std::sync::Arc;

use axum::extract::State;
use axum::{Extension, Json};
use ft_practice::measure::{MEASURE, Tally};
use ft_record::{Event, Fact, Role, SignedAs, Training, VERSION};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::beside;
use crate::body::Body;
use crate::ids;
use crate::known::Known;
use crate::problem::Problem;
use crate::site::Site;
use crate::who::Who;

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
    pub code: String,
    /// Why, in a sentence.
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
/// The first moment that an event can be of: 2020-01-01.
const EARLIEST_MS: i64 = 1_577_836_800_000;
/// As many characters of words.
const WORDS: usize = 2000;

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
    let (mut good, mut refused) = (Vec::new(), Vec::new());
    let mut numbers = BTreeSet::new();
    for value in sent.events {
        let id = value.get("id").and_then(serde_json::Value::as_str).unwrap_or_default().to_owned();
        let judged = serde_json::from_value::<Event>(value)
            .map_err(|error| ("W0430", format!("This event cannot be read: {error}.")))
            .and_then(|event| judge(site, who, &event, sent.strict).map(|()| event))
            .and_then(|event| {
                let is_first = numbers.insert((event.device.clone(), event.order, event.id.clone()));
                let twice = numbers.range((event.device.clone(), event.order, String::new())..);
                let others =
                    twice.take_while(|(device, order, _)| *device == event.device && *order == event.order);
                if is_first && others.count() > 1 { Err(taken_number(&event)) } else { Ok(event) }
            });
        match judged {
            Ok(event) => good.push(event),
            Err((code, sentence)) => refused.push(Refused { id, code: code.to_owned(), sentence }),
        }
    }
    let accepted = site.append(good)?;
    let accepted = accepted.into_iter().map(|one| Taken { id: one.id, seq: one.seq, is_new: one.is_new });
    Ok(Outcome { epoch: site.epoch.clone(), accepted: accepted.collect(), refused })
}

type Why = (&'static str, String);

fn taken_number(event: &Event) -> Why {
    ("W0431", format!("This device has said something else under its number {}.", event.order))
}

/// Whether an event may go into the record as it is.
fn judge(site: &Site, who: &Who, event: &Event, strict: bool) -> Result<(), Why> {
    shape(event)?;
    let known = site.known();
    if known.is_taken(event) {
        return Err(taken_number(event));
    }
    let roles = person(site, &known, who, event)?;
    rights(roles, &event.fact)?;
    drop(known);
    of_run(site, event, strict)
}

fn shape(event: &Event) -> Result<(), Why> {
    if event.v != VERSION {
        return Err(("W0432", format!("This program does not know events of version {}.", event.v)));
    }
    if !ids::is_uuid7(&event.id) {
        return Err(("W0433", "Its id is not a UUID of version 7 in lower case.".into()));
    }
    let plain = |text: &str, most: usize| {
        (1..=most).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_graphic())
    };
    if !plain(&event.device, 80) || !plain(&event.zone, 60) || event.order == 0 || event.order > 1 << 53 {
        return Err(("W0434", "Device, zone or order are not what they should be.".into()));
    }
    if event.at_ms < EARLIEST_MS || ids::now_ms() + AHEAD_MS < event.at_ms {
        return Err(("W0435", "Its time is not of these days: set the device's clock.".into()));
    }
    let text = serde_json::to_string(&event.fact).unwrap_or_default();
    if text.len() > WORDS * 4 {
        return Err(("W0436", format!("Its words are longer than {WORDS} characters.")));
    }
    if !event.is_writable() {
        return Err(("W0437", "It has a number that is none.".into()));
    }
    if let Fact::Practised { session } = &event.fact {
        practised(session)?;
    }
    if let Fact::TimerStarted { seconds, .. } = &event.fact
        && *seconds > 7 * 24 * 3600
    {
        return Err(("W0438", "A timer rings within a week.".into()));
    }
    Ok(())
}

/// Whether a session that is told as passed can have been: what a tablet says of danger is believed, its figures are
/// weighed again.
fn practised(session: &ft_record::Practice) -> Result<(), Why> {
    let slips = session.slips.values().fold(0, |sum: u32, count| sum.saturating_add(*count));
    let tally = Tally { moves: session.moves, slips, dangers: 0, finished: true };
    if session.passed && !MEASURE.is_passed(&tally) {
        let most = session.moves / MEASURE.moves_per_slip;
        return Err((
            "W0449",
            format!("{slips} slips in {} moves are not passed: there may be {most}.", session.moves),
        ));
    }
    Ok(())
}

/// The roles of the person of an event: whoever is signed in, or somebody who signed in on the same browser before.
fn person<'k>(site: &Site, known: &'k Known, who: &Who, event: &Event) -> Result<&'k [Role], Why> {
    let Some(person) = event.person.as_ref() else {
        return Err(("W0439", "It does not say who did it.".into()));
    };
    let is_own = who.name.as_ref() == Some(person);
    let was_here = || who.browser.as_ref().is_some_and(|browser| site.sessions().has_been(browser, person));
    if !is_own && !was_here() {
        return Err(("W0440", format!("{person} has never signed in on this device.")));
    }
    Ok(known.roles(person))
}

/// What each kind of fact asks of whoever says it.
fn rights(roles: &[Role], fact: &Fact) -> Result<(), Why> {
    let crew: &[Role] = &[Role::Closer, Role::Opener, Role::Lead, Role::Trainer];
    let wanted: &[Role] = match fact {
        Fact::RunOpened { .. }
        | Fact::PersonAdded { .. }
        | Fact::RolesChanged { .. }
        | Fact::ProbeWatched { .. }
        | Fact::AlarmRaised { .. }
        | Fact::AlarmEnded { .. }
        | Fact::LengthsErased { .. } => {
            return Err(("W0441", "The server says this itself, when it is asked to.".into()));
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
    if roles.iter().any(|role| wanted.contains(role)) {
        Ok(())
    } else {
        Err(("W0442", "Whoever said this may not say it.".into()))
    }
}

/// Whether an event fits the open night: its machine, its step, its part.
fn of_run(site: &Site, event: &Event, strict: bool) -> Result<(), Why> {
    let current = site.current();
    let Some(run) = event.run.as_ref() else { return Ok(()) };
    if current.id.as_ref() != Some(run) {
        let known = site.known();
        let is_old = known.runs.iter().any(|line| line.id == *run);
        return if is_old { Ok(()) } else { Err(("W0443", "There is no such night.".into())) };
    }
    if let Fact::Signed { .. } = event.fact {
        let against = super::run::against(&current, "en");
        if let Some(first) = against.first() {
            return Err(("W0444", format!("It cannot be signed yet: {first}")));
        }
    }
    let Some(machine) = event.machine.as_ref() else {
        return match event.fact {
            Fact::Happened { .. } | Fact::Differed { .. } => {
                Err(("W0445", "It does not say on which machine.".into()))
            }
            _ => Ok(()),
        };
    };
    let Some(live) = current.run.machine(machine) else {
        return Err(("W0446", format!("There is no machine {machine:?} in this night.")));
    };
    if let Fact::Happened { event: name } | Fact::Differed { event: Some(name), .. } = &event.fact {
        let Some(number) = live.event(name) else {
            return Err(("W0447", format!("There is no step {name:?} on this machine.")));
        };
        let state = current.night.machines.get(machine).map(|machine| &machine.state);
        if let (true, Fact::Happened { .. }, Some(state)) = (strict, &event.fact, state)
            && !state.done[number]
        {
            let answer = ft_run::answer(live, state, number, "en");
            if !answer.may {
                let why = answer.why_not.iter().chain(&answer.harms).cloned().collect::<Vec<_>>().join(" ");
                return Err(("W0448", format!("Not yet: {why}")));
            }
        }
    }
    Ok(())
}
