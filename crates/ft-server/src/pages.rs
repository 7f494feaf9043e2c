//! Pages: the night put into what ft-pages shows.

use std::sync::Arc;

use axum::Extension;
use axum::extract::{Path, State};
use axum::http::header::SET_COOKIE;
use axum::response::{Html, IntoResponse, Response};
use ft_form::walk::State as Walk;
use ft_pages::{
    EventLine, EventState, FileView, Hand, Language, MachineLine, MachineLink, MachineView, MissingLine,
    NightState, Page, Person, PlanRow, RecordLine, RecordView, RunLine, SetUpView, Shell, SignInView,
    SignatureLine, Slot, SlotState, StateGroup, StateLine, TonightView, TrayView, TrustView,
};
use serde::Deserialize;

use crate::api::{beside, run};
use crate::body::Asked;
use crate::clock::{clock, day};
use crate::current::Current;
use crate::gate;
use crate::problem::Problem;
use crate::site::Site;
use crate::who::{LANGUAGE, Who, set_cookie};

/// A year, seconds.
const YEAR_S: u64 = 365 * 24 * 3600;

/// What may stand behind the question mark of a page.
#[derive(Debug, Default, Deserialize)]
pub struct Query {
    pub(crate) language: Option<String>,
    next: Option<String>,
    run: Option<String>,
    pub(crate) place: Option<String>,
    pub(crate) at: Option<String>,
}

/// Makes a page; a language that is asked for is remembered.
pub(crate) async fn page(
    site: Arc<Site>,
    who: Who,
    query: Query,
    make: impl FnOnce(&Site, &Who, &Query, Language) -> Result<String, Problem> + Send + 'static,
) -> Response {
    let language = run::language_of(query.language.as_deref(), &who);
    let chosen = query.language.is_some().then(|| set_cookie(LANGUAGE, language, YEAR_S, who.is_secure));
    let made = beside(&site, move |site| {
        make(site, &who, &query, Language::of(language).unwrap_or(Language::English))
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

pub(crate) fn shell(site: &Site, who: &Who, language: Language, page: Page, machine: Option<&str>) -> Shell {
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

/// Tonight.
pub async fn tonight(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, _, language| {
        let shell = shell(site, who, language, Page::Tonight, None);
        Ok(ft_pages::tonight(&shell, &tonight_view(site, who, language)))
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
        out_by: current.run.problem.deadline_s.map(|by| clock(current.begins_ms + 1000 * i64::from(by))),
        chance: current.run.view.odds.and_then(|odds| odds.by_deadline).map(|share| (share * 100.0) as u8),
        people: hands(&current, &plan, &states),
        machines: current.run.machines.iter().map(|live| machine_line(&current, live, language)).collect(),
        rows: plan.rows.iter().map(|row| plan_row(&current, row, code)).collect(),
        picture,
        why,
        solutions: current.run.view.solutions.iter().map(|mixed| mixed.how.clone()).collect(),
        against: if is_open { run::against(&current, code) } else { Vec::new() },
        next: next_procedure(&current).filter(|next| run::may_open(who, next)),
        may_start: run::may_open(who, &current.procedure),
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

/// My step.
pub async fn step(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, _, language| {
        Ok(ft_pages::step(&shell(site, who, language, Page::Step, None)))
    })
    .await
}

/// The tray of a machine.
pub async fn tray(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(machine): Path<String>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, move |site, who, _, language| {
        let shell = shell(site, who, language, Page::Tray, Some(&machine));
        let current = site.current();
        let live = live(&current, &machine)?;
        Ok(ft_pages::tray(&shell, &tray_view(&current, live, language)))
    })
    .await
}

fn live<'c>(current: &'c Current, machine: &str) -> Result<&'c ft_run::Live, Problem> {
    let live = current.run.machine(machine);
    live.ok_or_else(|| Problem::no_such(format!("There is no machine {machine:?} in this kitchen.")))
}

fn tray_view(current: &Current, live: &ft_run::Live, language: Language) -> TrayView {
    use ft_compile::lower::part;
    let code = language.code();
    let now = current.night.machines.get(&live.ready.name);
    let mut slots = Vec::new();
    for of in live.followed() {
        let told = current.part(&live.ready.name, &of.part);
        let value = now.map_or(part::FITTED, |now| now.state.vals[of.var]);
        let journey = told.and_then(|told| told.journey);
        let state = match (told.is_some_and(|told| told.missing), journey) {
            (true, _) => SlotState::Missing,
            (false, Some(ft_record::Journey::LaidOut)) => SlotState::Full,
            (false, Some(ft_record::Journey::Fitted)) => SlotState::Fitted,
            (false, _) if value == part::IN_SLOT => SlotState::Full,
            (false, _) => SlotState::Empty,
        };
        let label = ft_app::tonight::pick(&of.labels, code).unwrap_or(&of.part.part).to_owned();
        slots.push(Slot {
            slot: of.slot.unwrap_or_else(|| "–".to_owned()),
            part: of.part.part,
            side: of.part.side,
            number: of.part.number,
            label,
            state,
            seen: told.and_then(|told| {
                let by = told.seen_by.as_deref().unwrap_or_default();
                told.seen_at_ms.map(|at| format!("{by} {}", clock(at)))
            }),
        });
    }
    slots.sort_by(|a, b| a.slot.cmp(&b.slot));
    let missing = run::missing(current, live, code);
    TrayView {
        label: live.label(code).to_owned(),
        picture: tray_picture(live, &slots, code),
        slots,
        missing: missing
            .into_iter()
            .map(|one| MissingLine { label: one.label, slot: one.slot.unwrap_or_default(), look: one.look })
            .collect(),
    }
}

/// The tray as it is drawn on paper too, with what is in each slot now.
fn tray_picture(live: &ft_run::Live, slots: &[Slot], language: &str) -> Option<String> {
    let fitted: Vec<_> = live.ready.variant.options.iter().copied().collect();
    let mut tray = ft_draw_tray::tray(live.ready.file.machine.as_ref()?, &fitted, language);
    for drawn in tray.slots_mut() {
        let is_same = |slot: &&Slot| {
            slot.part == drawn.part
                && slot.side == drawn.side
                && slot.number.is_none_or(|number| number == drawn.nth.0)
        };
        drawn.state = match slots.iter().find(is_same).map(|slot| slot.state) {
            Some(SlotState::Full) => ft_draw_tray::State::Filled,
            Some(SlotState::Missing) => ft_draw_tray::State::Missing,
            Some(SlotState::Fitted) => ft_draw_tray::State::Fitted,
            Some(SlotState::Empty) | None => ft_draw_tray::State::Empty,
        };
    }
    Some(ft_draw_tray::svg(&tray))
}

/// A machine's state.
pub async fn machine(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(machine): Path<String>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, move |site, who, _, language| {
        let shell = shell(site, who, language, Page::Machine, Some(&machine));
        let current = site.current();
        let live = live(&current, &machine)?;
        Ok(ft_pages::machine(&shell, &machine_view(&current, live, language)))
    })
    .await
}

fn machine_view(current: &Current, live: &ft_run::Live, language: Language) -> MachineView {
    use ft_compile::lower::Key;
    let code = language.code();
    let form = &live.form;
    let told = ft_prove::tell::Language::of(code);
    let now = current.night.machines.get(&live.ready.name);
    let start = Walk::start(form);
    let state = now.map_or(&start, |now| &now.state);
    let event_line = |event: usize| {
        let title = ft_prove::tell::event(form, event, told).to_owned();
        let done = now.and_then(|now| now.done.iter().find(|done| done.event == event));
        let answer = done.is_none().then(|| ft_run::answer(live, state, event, code));
        let state = match (done, answer) {
            (Some(done), _) => {
                let also = done
                    .also
                    .iter()
                    .filter_map(|also| also.by.as_ref())
                    .fold(String::new(), |said, who| said + ", " + who);
                EventState::Done(format!("{}{also} {}", done.by.as_deref().unwrap_or("–"), clock(done.at_ms)))
            }
            (None, Some(answer)) if !answer.may => EventState::Waits(answer.why_not),
            (None, _) => EventState::May,
        };
        EventLine { title, state }
    };
    let mut groups: Vec<StateGroup> = Vec::new();
    for (var, key) in live.lowered.keys.iter().enumerate() {
        let kind = match (key, language) {
            (Key::Part(..), Language::English) => "Parts",
            (Key::Part(..), Language::Spanish) => "Piezas",
            (Key::Switch(..) | Key::Valve(..) | Key::End(..) | Key::Pressure(..), Language::English) => {
                "Switches, valves, lines"
            }
            (Key::Switch(..) | Key::Valve(..) | Key::End(..) | Key::Pressure(..), Language::Spanish) => {
                "Interruptores, válvulas, líneas"
            }
            (_, Language::English) => "Vessels and the rest",
            (_, Language::Spanish) => "Recipientes y lo demás",
        };
        let line = StateLine {
            what: ft_prove::tell::var(form, var, told).to_owned(),
            is: form.value_text(var, state.vals[var], code),
        };
        match groups.iter_mut().find(|group| group.title == kind) {
            Some(group) => group.lines.push(line),
            None => groups.push(StateGroup { title: kind.to_owned(), lines: vec![line] }),
        }
    }
    let conflicts = now.map(|now| now.conflicts.iter()).into_iter().flatten().map(|conflict| {
        let event = live.event(&conflict.event);
        let why = event.map(|event| ft_run::answer(live, state, event, code).why_not.join(" "));
        let why = why.unwrap_or_default();
        let title = event.map_or(conflict.event.as_str(), |event| ft_prove::tell::event(form, event, told));
        let by = conflict.by.as_deref().unwrap_or("–");
        match language {
            Language::English => format!(
                "{by} ticked “{title}” at {}, before it may happen. It is set aside and counts once it may. {why}",
                clock(conflict.at_ms)
            ),
            Language::Spanish => format!(
                "{by} marcó «{title}» a las {}, antes de tiempo. Queda apartado y contará en cuanto se pueda. {why}",
                clock(conflict.at_ms)
            ),
        }
    });
    MachineView {
        name: live.ready.name.clone(),
        label: live.label(code).to_owned(),
        done: (state.done.iter().filter(|done| **done).count(), form.events.len()),
        conflicts: conflicts.collect(),
        groups,
        events: (0..form.events.len()).map(event_line).collect(),
    }
}

/// Readings.
pub async fn readings(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, _, language| {
        let shell = shell(site, who, language, Page::Readings, None);
        Ok(ft_pages::readings(&shell, &crate::readings::view(site, language)?))
    })
    .await
}

/// A machine's file.
pub async fn file(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Path(machine): Path<String>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, move |site, who, _, language| {
        let shell = shell(site, who, language, Page::File, Some(&machine));
        let current = site.current();
        let live = live(&current, &machine)?;
        let source = &live.ready.source;
        let view = FileView {
            label: live.label(language.code()).to_owned(),
            name: source.name.clone(),
            text: source.text.clone(),
        };
        Ok(ft_pages::file(&shell, &view))
    })
    .await
}

/// The record of a night.
pub async fn record(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, query, language| {
        let shell = shell(site, who, language, Page::Record, None);
        Ok(ft_pages::record(&shell, &record_view(site, query.run.as_deref(), language)?))
    })
    .await
}

fn record_view(site: &Site, run: Option<&str>, language: Language) -> Result<RecordView, Problem> {
    let runs = site.known().runs.clone();
    let shown = runs.iter().rev().find(|line| run.is_none_or(|run| line.id == run)).cloned();
    let title = |line: &crate::known::RunLine| format!("{} {}", day(line.at_ms), line.procedure);
    let lines: Vec<RunLine> = runs
        .iter()
        .rev()
        .map(|line| RunLine {
            run: line.id.clone(),
            title: title(line),
            is_signed: line.is_signed,
            is_shown: shown.as_ref().is_some_and(|shown| shown.id == line.id),
        })
        .collect();
    let events = match &shown {
        Some(shown) => site.store.run(&shown.id)?,
        None => Vec::new(),
    };
    let current = site.current();
    let mut signatures = Vec::new();
    let mut shown_lines = Vec::new();
    for stored in &events {
        let event = &stored.event;
        let label = event.machine.as_ref().and_then(|name| current.run.machine(name));
        if let ft_record::Fact::Signed { .. } = event.fact {
            let text = format!("{} · {}", event.person.as_deref().unwrap_or("–"), clock(event.at_ms));
            signatures.push(SignatureLine { text });
        }
        shown_lines.push(RecordLine {
            seq: stored.seq,
            id: event.id.clone(),
            at: clock(event.at_ms),
            who: event.person.clone(),
            machine: label
                .map(|live| live.label(language.code()).to_owned())
                .or_else(|| event.machine.clone()),
            what: crate::sentence::sentence(&event.fact, label, language),
            is_corrected: current.night.corrections.iter().any(|one| one.of == event.id),
            conflict: None,
        });
    }
    let head = site.store.head()?;
    let chain = match language {
        Language::English => {
            format!("{} events in the record; each holds the hash of the one before.", head.seq)
        }
        Language::Spanish => {
            format!("{} hechos en el registro; cada uno lleva la huella del anterior.", head.seq)
        }
    };
    Ok(RecordView {
        runs: lines,
        title: shown.as_ref().map(title).unwrap_or_default(),
        lines: shown_lines,
        signatures,
        chain,
        head: ft_record::hex(&head.hash),
    })
}

/// Sign-in.
pub async fn sign_in(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, query, language| {
        let shell = shell(site, who, language, Page::SignIn, None);
        let known = site.known();
        let people = known.people.iter().filter(|(_, person)| !person.roles.is_empty());
        let next = query.next.clone().filter(|next| is_path(next)).unwrap_or_else(|| "/".to_owned());
        Ok(ft_pages::sign_in(
            &shell,
            &SignInView { people: people.map(|(name, _)| name.clone()).collect(), next },
        ))
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
pub async fn set_up(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, _, language| {
        let shell = shell(site, who, language, Page::SetUp, None);
        let people =
            site.current().run.kitchen.people.iter().map(|person| person.named.name.clone()).collect();
        Ok(ft_pages::set_up(&shell, &SetUpView { people }))
    })
    .await
}

/// The certificate.
pub async fn trust(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(query): Asked<Query>,
) -> Response {
    page(site, who, query, |site, who, _, language| {
        let shell = shell(site, who, language, Page::Trust, None);
        let port = site.config.listen.port();
        let address = site.trust.as_ref().map(|trust| format!("https://{}:{port}/", trust.name));
        let view = TrustView {
            is_secure: who.is_secure,
            code: address.as_deref().and_then(qr),
            address,
            fingerprint: site.trust.as_ref().map(|trust| trust.fingerprint.clone()),
            certificate: site.trust.as_ref().map(|_| "/trust/ca.crt".to_owned()),
        };
        Ok(ft_pages::trust(&shell, &view))
    })
    .await
}

/// An address as a QR code: one path, dark on light, with the quiet zone that the standard asks for (ISO/IEC 18004:
/// four modules).
fn qr(address: &str) -> Option<String> {
    let code = fast_qr::QRBuilder::new(address).build().ok()?;
    let (size, quiet) = (code.size, 4);
    let mut path = String::new();
    for row in 0..size {
        for column in 0..size {
            if code[row][column].value() {
                path.push_str(&format!("M{} {}h1v1h-1z", column + quiet, row + quiet));
            }
        }
    }
    let whole = size + 2 * quiet;
    Some(format!(
        "<svg viewBox=\"0 0 {whole} {whole}\" width=\"240\" height=\"240\"><path fill=\"#fff\" d=\"M0 0h{whole}v{whole}H0z\"/>\
         <path fill=\"#000\" d=\"{path}\"/></svg>"
    ))
}
