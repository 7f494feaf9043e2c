//! A machine's state: what has happened, what may happen, and why the rest has to wait.

use axum::extract::Path;
use axum::response::Response;
use ft_form::walk::State as Walk;
use ft_pages::{EventLine, EventState, Language, MachineView, Page, StateGroup, StateLine};

use super::{Visit, live};
use crate::clock::clock;
use crate::current::Current;

/// A machine's state.
pub async fn machine(visit: Visit, Path(machine): Path<String>) -> Response {
    visit
        .page_of(Page::Machine, machine, |at, machine| {
            let current = at.site.current();
            let live = live(&current, machine)?;
            Ok(ft_pages::machine(&at.shell, &machine_view(&current, live, at.language)))
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
