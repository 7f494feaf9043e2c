//! The night itself: a step, a command, the next step.

use std::collections::BTreeSet;

use ft_app::tonight::pick;
use ft_form::EventId;
use ft_pages::Language;
use ft_record::Fact;

use crate::Ended;
use crate::commands::Command;
use crate::console::{Answer, Ask, Kind, Line, Style};
use crate::step::{self, Asked, View, answer_title, row_line, time_left};
use crate::talk::{Stop, Talk, lines};
use crate::words::{Words, span};
use crate::{differ, measure, sign, timers, tray};

/// Steps that are told as coming next.
const SOON: usize = 6;

/// Shows step after step until the night is signed or somebody quits.
///
/// # Errors
/// [`Stop`].
pub fn night(talk: &mut Talk<'_>) -> Result<Ended, Stop> {
    let mut rung = BTreeSet::new();
    loop {
        timers::rings(talk, &mut rung)?;
        let view = shown(talk)?;
        let running = talk.seat.current().night.timers.clone();
        let next_ring = running
            .iter()
            .filter(|timer| !rung.contains(&timers::key(timer)))
            .map(|timer| timer.ends_ms)
            .min();
        let words = talk.words;
        let due = view.asked.as_ref().and_then(|asked| asked.due);
        let status = move |now_ms: i64| time_left(due, words, now_ms);
        let ask = Ask { prompt: ">", kind: Kind::Command, rings_ms: next_ring, status: &status };
        match talk.console.ask(&ask)? {
            Answer::Line(typed) => {
                if let Some(ended) = obey(talk, &view, typed.trim())? {
                    return Ok(ended);
                }
            }
            Answer::Rang => {}
            Answer::End => return Err(Stop::End),
        }
    }
}

/// Shows the step as things stand.
fn shown(talk: &mut Talk<'_>) -> Result<View, Stop> {
    let now_ms = talk.console.now_ms();
    let (view, page) = {
        let current = talk.seat.current();
        let view = step::view(&current, talk.words, talk.seat.name(), now_ms);
        let mut page = set_aside(&current, talk.words);
        page.extend(view.page(&current, talk.words, talk.seat.name(), now_ms));
        (view, page)
    };
    talk.page(page)?;
    Ok(view)
}

/// Moves that were set aside, in words: another device told something that cannot have been.
fn set_aside(current: &ft_server::Current, words: Words) -> Vec<Line> {
    let mut page = Vec::new();
    for live in &current.run.machines {
        for conflict in current.night.machines.get(&live.ready.name).iter().flat_map(|now| &now.conflicts) {
            let title = |name: &str| match live.event(name) {
                Some(event) => live.title(event, words.code()),
                None => name.to_owned(),
            };
            let waits: Vec<String> = conflict.waits.iter().map(|name| title(name)).collect();
            let wait =
                if waits.is_empty() { words.say("step.waits-for").to_owned() } else { words.list(&waits) };
            let who = conflict.by.as_deref().unwrap_or("–");
            let what = title(&conflict.event);
            let text = words.fill("step.conflict", &[("what", &what), ("who", who), ("wait", &wait)]);
            page.extend(lines(Style::Note, "", &text));
        }
    }
    page
}

/// Does what was typed; how the night ended, if it did.
fn obey(talk: &mut Talk<'_>, view: &View, typed: &str) -> Result<Option<Ended>, Stop> {
    if typed.is_empty() {
        return Ok(None);
    }
    if let Ok(number) = typed.parse::<usize>() {
        found(talk, view, number);
        return Ok(None);
    }
    let Some(command) = Command::read(typed, talk.words.0) else {
        let typed: String = typed.chars().take(40).collect();
        let text = talk.words.fill("command.bad", &[("typed", &typed)]);
        talk.note(&text);
        return Ok(None);
    };
    match command {
        Command::Done => done(talk, view),
        Command::Undo => undo(talk),
        Command::Differently => differ::differently(talk, view.asked.as_ref())?,
        Command::Why => why(talk, view),
        Command::Next => next(talk, view),
        Command::Else => other(talk)?,
        Command::Timers => timers::timers(talk),
        Command::Wait => timers::wait(talk, view),
        Command::Tray => tray::tray(talk, view.asked.as_ref())?,
        Command::Measure => measure::measure(talk)?,
        Command::Language => {
            talk.words = Words(match talk.words.0 {
                Language::English => Language::Spanish,
                Language::Spanish => Language::English,
            });
        }
        Command::Sign => {
            if sign::sign(talk)? {
                return Ok(Some(Ended::Signed));
            }
        }
        Command::Help => help(talk),
        Command::Quit => return Ok(Some(Ended::Later)),
    }
    Ok(None)
}

/// What somebody found, by number. The world answered once: what the other answers would say is told after it.
fn found(talk: &mut Talk<'_>, view: &View, number: usize) {
    let answers = view.asked.as_ref().map(|asked| asked.answers.as_slice()).unwrap_or_default();
    let Some(asked) = view.asked.as_ref().filter(|_| !answers.is_empty()) else {
        return talk.note(talk.words.say("command.number"));
    };
    let Some(&chosen) = number.checked_sub(1).and_then(|number| answers.get(number)) else {
        let most = answers.len().to_string();
        let text = talk.words.fill("answer.bad", &[("typed", &number.to_string()), ("most", &most)]);
        return talk.note(&text);
    };
    let (names, title) = {
        let current = talk.seat.current();
        let Some(live) = current.run.machine(&asked.machine) else { return };
        let rest = answers.iter().filter(|answer| **answer != chosen);
        let all = std::iter::once(&chosen).chain(rest);
        let names: Vec<String> = all.map(|event| live.form.events[*event].name.clone()).collect();
        (names, answer_title(live, chosen, talk.words))
    };
    let told = names.into_iter().all(|event| talk.tell(Some(&asked.machine), Fact::Happened { event }));
    if told {
        let text = talk.words.fill("done-so", &[("what", &title)]);
        talk.note(&text);
    }
}

fn done(talk: &mut Talk<'_>, view: &View) {
    let Some(asked) = &view.asked else { return talk.note(talk.words.say("step.all-done")) };
    if !asked.answers.is_empty() {
        return talk.note(talk.words.say("step.look"));
    }
    happens(talk, &asked.machine, asked.event);
}

/// An event that somebody says has happened: refused and explained where it may not have, or told with its timers.
fn happens(talk: &mut Talk<'_>, machine: &str, event: EventId) {
    let words = talk.words;
    let now_ms = talk.console.now_ms();
    let (name, title, why_not, due, stops, starts) = {
        let current = talk.seat.current();
        let Some(live) = current.run.machine(machine) else { return };
        let state = &current.states()
            [current.run.machines.iter().position(|one| one.ready.name == machine).unwrap_or(0)];
        let answer = ft_run::answer(live, state, event, words.code());
        let plan = current.rows(words.code());
        let due = ft_run::due(live, &plan, &step::when(&current, machine), event);
        let of = |event: EventId| timers::name(machine, &live.form.events[event].name);
        let own = of(event);
        let stops = current.night.timers.iter().any(|timer| timer.timer == own).then_some(own);
        let starts: Vec<(String, u32)> = ft_run::starts(live, &plan, event)
            .into_iter()
            .map(|(after, seconds)| (of(after), seconds))
            .collect();
        let why_not = (!answer.may).then(|| [answer.why_not, answer.harms].concat());
        (live.form.events[event].name.clone(), live.title(event, words.code()), why_not, due, stops, starts)
    };
    if let Some(why_not) = why_not {
        talk.note(&format!("{} — {title}", words.say("step.stopped")));
        return talk.note_list(&why_not);
    }
    if let Some(due) = due.filter(|due| now_ms < due.least_ms) {
        let text = words.fill("early", &[("time", &span(due.least_ms - now_ms))]);
        return talk.note(&text);
    }
    if !talk.tell(Some(machine), Fact::Happened { event: name }) {
        return;
    }
    let text = words.fill("done-so", &[("what", &title)]);
    talk.note(&text);
    if let Some(timer) = stops {
        talk.tell(Some(machine), Fact::TimerStopped { timer });
    }
    for (timer, seconds) in starts {
        talk.tell(Some(machine), Fact::TimerStarted { timer, seconds });
    }
}

fn undo(talk: &mut Talk<'_>) {
    let found = {
        let current = talk.seat.current();
        ft_run::undoable(&current.run, &current.night, talk.seat.name()).map(|undo| {
            let live = &current.run.machines[undo.machine];
            let title = live.title(undo.event, talk.words.code());
            (live.ready.name.clone(), title, undo.ids)
        })
    };
    let Some((machine, title, ids)) = found else { return talk.note(talk.words.say("undo.none")) };
    let because = talk.words.say("undo.because");
    let told = ids
        .into_iter()
        .all(|of| talk.tell(Some(&machine), Fact::Corrected { of, because: because.to_owned() }));
    if told {
        let text = talk.words.fill("step.undo", &[("what", &title)]);
        talk.note(&text);
    }
}

/// Why this now; or, where it has to wait, why not yet.
fn why(talk: &mut Talk<'_>, view: &View) {
    let Some(Asked { machine, event, answers, .. }) = &view.asked else { return };
    let event = answers.first().unwrap_or(event);
    explain(talk, machine, *event);
}

fn explain(talk: &mut Talk<'_>, machine: &str, event: EventId) {
    let words = talk.words;
    let (title, answer, opens) = {
        let current = talk.seat.current();
        let Some(at) = current.run.machines.iter().position(|live| live.ready.name == machine) else {
            return;
        };
        let live = &current.run.machines[at];
        let answer = ft_run::answer(live, &current.states()[at], event, words.code());
        (live.title(event, words.code()), answer.clone(), answer.opens)
    };
    if answer.may {
        talk.note(&format!("{} {title}", words.say("step.why-now")));
        if answer.because.is_empty() {
            talk.note_list(&[words.say("step.mine").to_owned()]);
        }
        talk.note_list(&answer.because);
        if !opens.is_empty() {
            let what = opens.into_iter().take(SOON).collect::<Vec<_>>().join("; ");
            talk.note_list(&[words.fill("step.opens", &[("what", &what)])]);
        }
    } else {
        talk.note(&format!("{} {title}", words.say("step.why-not")));
        talk.note_list(&answer.why_not);
        let harms: Vec<String> =
            answer.harms.iter().map(|what| words.fill("step.hazard", &[("what", what)])).collect();
        talk.note_list(&harms);
    }
}

fn next(talk: &mut Talk<'_>, view: &View) {
    talk.note(talk.words.say("step.next"));
    let soon: Vec<String> = {
        let current = talk.seat.current();
        view.later.iter().take(SOON).map(|row| row_line(&current, row, talk.words)).collect()
    };
    talk.note_list(&soon);
}

/// Everything that is left, by number: what may be done is done, what may not is explained.
fn other(talk: &mut Talk<'_>) -> Result<(), Stop> {
    let words = talk.words;
    let mut rows: Vec<(bool, String, String, EventId)> = Vec::new();
    {
        let current = talk.seat.current();
        let states = current.states();
        for (live, state) in current.run.machines.iter().zip(&states) {
            let mut steps = BTreeSet::new();
            for (event, of) in live.form.events.iter().enumerate() {
                // Of each step what comes next in it.
                if state.done[event] || of.nature || !steps.insert(&of.step) {
                    continue;
                }
                let may = ft_run::answer(live, state, event, words.code()).may;
                let (mark, label) =
                    (if may { "" } else { words.say("else.waits") }, live.label(words.code()));
                let mark = if mark.is_empty() { String::new() } else { format!("  ({mark})") };
                let title = live.title(event, words.code());
                rows.push((may, format!("{title} · {label}{mark}"), live.ready.name.clone(), event));
            }
        }
    }
    rows.sort_by_key(|row| !row.0);
    let titles: Vec<String> = rows.iter().map(|row| row.1.clone()).collect();
    let Some(chosen) = talk.choose(words.say("step.other-how"), &titles)? else { return Ok(()) };
    let (may, _, machine, event) = &rows[chosen];
    if *may {
        happens(talk, machine, *event);
    } else {
        talk.note(words.say("step.stopped"));
        explain(talk, machine, *event);
    }
    Ok(())
}

fn help(talk: &mut Talk<'_>) {
    let all: Vec<String> = Command::all()
        .map(|command| {
            let (key, word) = command.names(talk.words.0);
            let what = talk.words.say(match command {
                Command::Done => "help.done",
                Command::Undo => "help.undo",
                Command::Differently => "step.differently",
                Command::Why => "help.why",
                Command::Next => "help.next",
                Command::Else => "step.other-how",
                Command::Timers => "help.timers",
                Command::Wait => "help.wait",
                Command::Tray => "help.tray",
                Command::Measure => "help.measure",
                Command::Language => "help.language",
                Command::Sign => "help.sign",
                Command::Help => "help.help",
                Command::Quit => "help.quit",
            });
            format!("{key}  {word} – {what}")
        })
        .collect();
    talk.note_list(&all);
}

/// The machine that is meant: the only one, the one of the step, or one of a list.
///
/// # Errors
/// [`Stop`].
pub fn machine(talk: &mut Talk<'_>) -> Result<Option<String>, Stop> {
    let machines: Vec<(String, String)> = {
        let current = talk.seat.current();
        let name = |live: &ft_run::Live| {
            let label = pick(&live.ready.label, talk.words.code()).unwrap_or(&live.ready.name);
            (live.ready.name.clone(), label.to_owned())
        };
        current.run.machines.iter().map(name).collect()
    };
    if let [(name, _)] = machines.as_slice() {
        return Ok(Some(name.clone()));
    }
    let labels: Vec<String> = machines.iter().map(|(_, label)| label.clone()).collect();
    let chosen = talk.choose(talk.words.say("which"), &labels)?;
    Ok(chosen.map(|chosen| machines[chosen].0.clone()))
}
