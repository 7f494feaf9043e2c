//! Tonight: the plan, who is here, how far the machines are.

use axum::response::Response;
use ft_form::walk::State as Walk;
use ft_pages::{Hand, Language, MachineLine, NightState, Page, PlanRow, TonightView};

use super::Visit;
use crate::api::run;
use crate::clock::clock;
use crate::current::Current;
use crate::site::Site;
use crate::who::Who;

/// Tonight.
pub async fn tonight(visit: Visit) -> Response {
    visit
        .page(Page::Tonight, |at| {
            Ok(ft_pages::tonight(&at.shell, &tonight_view(at.site, at.who, at.language)))
        })
        .await
}

fn tonight_view(site: &Site, who: &Who, language: Language) -> TonightView {
    let current = site.current();
    let code = language.code();
    let plan = current.rows(code);
    let states = current.states();
    let is_open = current.id.is_some();
    let explained = ft_plan::explain(&current.run.problem, &current.run.plan);
    let said = |words: &ft_night::Words| ft_app::tonight::pick(words, code).unwrap_or_default().to_owned();
    let mut why: Vec<String> = Vec::new();
    for link in explained.chain.iter().filter(|link| link.because != ft_plan::Because::PhaseBefore) {
        let sentence = said(&link.sentence);
        if !why.contains(&sentence) {
            why.push(sentence);
        }
    }
    let clocked = ft_draw_plan::Clock { begins_at_s: crate::clock::second_of_day(current.begins_ms) };
    let is_as_begun = current.plan == current.run.plan;
    let picture = (current.plan.is_plan() && is_as_begun)
        .then(|| ft_draw_plan::svg(&current.run.problem, &current.plan, clocked, code, 1200));
    TonightView {
        procedure: current.procedure.clone(),
        state: match run::state(&current) {
            "running" => NightState::Running,
            "finished" => NightState::Finished,
            "signed" => NightState::Signed,
            _ => NightState::Planned,
        },
        begins: clock(plan.begins_ms),
        out: clock(plan.out_ms),
        out_by: current.out_by_ms().map(clock),
        // The odds are those of a night that begins when the kitchen's hours say.
        chance: current
            .run
            .view
            .odds
            .filter(|_| current.id.is_none())
            .and_then(|odds| odds.by_deadline)
            .map(|share| (share * 100.0) as u8),
        people: hands(&current, &plan, &states),
        machines: current.run.machines.iter().map(|live| machine_line(&current, live, language)).collect(),
        rows: plan.rows.iter().map(|row| plan_row(&current, row, code)).collect(),
        picture,
        why,
        solutions: current.run.view.solutions.iter().map(|mixed| mixed.how.clone()).collect(),
        against: if is_open { run::against(&current, code) } else { Vec::new() },
        next: next_procedure(&current).filter(|next| who.may_open(next)),
        may_start: who.may_open(&current.procedure),
        may_lead: who.is_lead(),
    }
}

/// What comes after the run that is signed: the opening after a closing, where every machine has one; else a closing.
fn next_procedure(current: &Current) -> Option<String> {
    if !current.is_signed() {
        return None;
    }
    let next = if current.procedure == "closing" { "opening" } else { "closing" };
    let has = |live: &ft_run::Live| live.ready.file.procedures.iter().any(|of| of.named.name == next);
    current.run.machines.iter().all(has).then(|| next.to_owned())
}

fn hands(current: &Current, plan: &ft_run::PlanRows, states: &[Walk]) -> Vec<Hand> {
    let hand = |name: &String, is_here: bool| {
        let hours = current.run.kitchen.people.iter().find(|person| person.named.name == *name);
        let at = |minutes: u32| format!("{:02}:{:02}", minutes / 60 % 24, minutes % 60);
        let from = hours.and_then(|person| person.from_min).map(at).unwrap_or_default();
        let until = hours.and_then(|person| person.until_min).map(at).unwrap_or_default();
        let next = ft_run::next(&current.run, plan, states, name).filter(|_| is_here);
        Hand {
            name: name.clone(),
            is_here,
            hours: format!("{from}–{until}"),
            now: next.map(|next| next.row.title.clone()),
        }
    };
    let mut hands: Vec<Hand> = Vec::new();
    for name in &current.crew {
        hands.push(hand(name, current.id.is_none() || current.is_here(name)));
    }
    for person in &current.run.kitchen.people {
        if !current.crew.contains(&person.named.name) {
            hands.push(hand(&person.named.name, false));
        }
    }
    hands
}

fn machine_line(current: &Current, live: &ft_run::Live, language: Language) -> MachineLine {
    let name = &live.ready.name;
    let now = current.night.machines.get(name);
    let done = now.map_or(0, |now| now.state.done.iter().filter(|done| **done).count());
    let parts = live.followed();
    let in_slot = ft_compile::lower::part::IN_SLOT;
    let laid = now.map_or(0, |now| parts.iter().filter(|part| now.state.vals[part.var] == in_slot).count());
    let (events, orders, states) = (live.form.events.len(), live.order.edges.len(), live.ready.states);
    MachineLine {
        name: name.clone(),
        label: live.label(language.code()).to_owned(),
        proof: match language {
            Language::Spanish => format!(
                "Demostrado: {events} pasos, {orders} órdenes necesarias, {states} estados revisados."
            ),
            Language::English => {
                format!("Proved: {events} steps, {orders} orders that are needed, {states} states looked at.")
            }
        },
        done: (done, events),
        laid_out: (laid, parts.len()),
    }
}

fn plan_row(current: &Current, row: &ft_run::Row, code: &str) -> PlanRow {
    let live = current.run.machine(&row.machine);
    let now = current.night.machines.get(&row.machine);
    let is_done = |name: &String| {
        let event = live.and_then(|live| live.event(name));
        event.zip(now).is_some_and(|(event, now)| now.state.done[event])
    };
    PlanRow {
        start: clock(row.start_ms),
        end: clock(row.end_ms),
        people: row.people.clone(),
        machine: live.map(|live| live.label(code).to_owned()).unwrap_or_default(),
        title: row.title.clone(),
        place: row.place.clone(),
        is_done: row.events.iter().all(is_done),
    }
}
