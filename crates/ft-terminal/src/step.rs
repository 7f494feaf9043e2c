//! The step that is shown: which one it is, and its page.

use std::collections::BTreeMap;

use ft_app::tonight::pick;
use ft_form::walk::State;
use ft_form::{EventId, EventKind};
use ft_run::{Due, Live, Next, PlanRows, Row};
use ft_server::Current;

use crate::commands::Command;
use crate::console::{Line, Style};
use crate::talk::{gap, lines};
use crate::words::{Words, clock, span};

/// As many of the things that a step waits for are shown with it; `why` tells all.
const NEAREST: usize = 3;

/// What is asked for now; owned, so that the night can change while it is answered.
#[derive(Debug, Clone)]
pub struct Asked {
    /// The machine, by name.
    pub machine: String,
    /// The event that is to happen.
    pub event: EventId,
    /// What can be found, where somebody has to look first.
    pub answers: Vec<EventId>,
    /// Whether it may be done now.
    pub may: bool,
    /// When it has its time.
    pub due: Option<Due>,
    /// What it waits for, where it may not be done now; the nearest first.
    waits: Vec<String>,
    row: Row,
    left: usize,
}

/// What the night looks like from the keyboard.
#[derive(Debug, Clone)]
pub struct View {
    /// What is asked for; `None`: everything has happened.
    pub asked: Option<Asked>,
    /// What comes after it: when, what, for whom.
    pub later: Vec<Row>,
    done: (usize, usize),
    out_ms: i64,
}

/// When each event of a machine happened.
pub fn when(current: &Current, machine: &str) -> BTreeMap<EventId, i64> {
    let now = current.night.machines.get(machine);
    now.map(|now| now.done.iter().map(|done| (done.event, done.at_ms)).collect()).unwrap_or_default()
}

/// How the night looks for somebody. One person speaks for all: where nothing is theirs, what is another's comes.
pub fn view(current: &Current, words: Words, who: &str, now_ms: i64) -> View {
    let plan = current.rows(words.code());
    let states = current.states();
    let open = ft_run::open(&current.run, &plan, &states);
    let all = |count: &dyn Fn(&State) -> usize| states.iter().map(count).sum::<usize>();
    let done =
        (all(&|state| state.done.iter().filter(|done| **done).count()), all(&|state| state.done.len()));
    let is_own = |next: &&Next<'_>| next.row.people.iter().any(|name| name == who);
    let due = |next: &Next<'_>| due_of(current, &plan, next);
    let is_time = |next: &Next<'_>| due(next).is_none_or(|due| due.planned_ms <= now_ms);
    // What was begun goes on first; then what may be done and has its time; then what only has to wait.
    let chosen = |own: &[&Next<'_>]| -> Option<usize> {
        let at = |does: &dyn Fn(&Next<'_>) -> bool| own.iter().position(|next| does(next));
        at(&|next| next.is_begun() && next.may)
            .or_else(|| at(&|next| next.may && is_time(next)))
            .or_else(|| at(&|next| next.may))
    };
    let own: Vec<&Next<'_>> = open.iter().filter(is_own).collect();
    let every: Vec<&Next<'_>> = open.iter().collect();
    let now = match (chosen(&own), chosen(&every)) {
        (Some(at), _) => Some(own[at]),
        (None, Some(at)) => Some(every[at]),
        (None, None) => own.first().or(every.first()).copied(),
    };
    let later =
        open.iter().filter(|next| Some(next.row) != now.map(|now| now.row)).map(|next| next.row.clone());
    View {
        asked: now.map(|next| Asked {
            machine: next.row.machine.clone(),
            event: next.event,
            answers: next.answers.clone(),
            may: next.may,
            due: due(next),
            waits: waits(current, &states, next, words),
            row: next.row.clone(),
            left: next.left,
        }),
        later: later.collect(),
        done,
        out_ms: plan.out_ms,
    }
}

/// What a step waits for that may not be done now.
fn waits(current: &Current, states: &[State], next: &Next<'_>, words: Words) -> Vec<String> {
    if next.may {
        return Vec::new();
    }
    let live = &current.run.machines[next.machine];
    let answer = ft_run::answer(live, &states[next.machine], next.event, words.code());
    [answer.why_not, answer.harms].concat().into_iter().take(NEAREST).collect()
}

fn due_of(current: &Current, plan: &PlanRows, next: &Next<'_>) -> Option<Due> {
    let live = &current.run.machines[next.machine];
    ft_run::due(live, plan, &when(current, &live.ready.name), next.event)
}

/// What an answer is called: “in the reservoir” out of “It is found: in the reservoir.”
pub fn answer_title(live: &Live, answer: EventId, words: Words) -> String {
    let title = live.title(answer, words.code());
    let title = title.split_once(": ").map_or(title.as_str(), |(_, answer)| answer);
    title.trim_end_matches('.').to_owned()
}

/// How long something still takes, in words; empty where it has its time.
pub fn time_left(due: Option<Due>, words: Words, now_ms: i64) -> String {
    match due {
        Some(due) if now_ms < due.least_ms => {
            words.fill("step.at-least", &[("time", &span(due.least_ms - now_ms))])
        }
        Some(due) if now_ms < due.planned_ms => {
            words.fill("step.about", &[("time", &span(due.planned_ms - now_ms))])
        }
        Some(_) | None => String::new(),
    }
}

impl View {
    /// The page.
    pub fn page(&self, current: &Current, words: Words, who: &str, now_ms: i64) -> Vec<Line> {
        let (done, all) = (self.done.0.to_string(), self.done.1.to_string());
        let head = [
            clock(now_ms),
            who.to_owned(),
            words.fill("step.of", &[("done", &done), ("all", &all)]),
            words.fill("step.out", &[("time", &clock(self.out_ms))]),
        ];
        let mut page = lines(Style::Head, "", &format!("── {} ──", head.join(" · ")));
        match &self.asked {
            None => {
                page.push(gap());
                page.extend(lines(Style::Title, "  ", words.say("step.all-done")));
                page.extend(lines(Style::Plain, "  ", words.say("sign.how")));
            }
            Some(asked) => {
                if let Some(live) = current.run.machine(&asked.machine) {
                    page.extend(asked.page(live, words, who, now_ms));
                    page.extend(to_measure(current, live, asked.event, words));
                }
            }
        }
        page.push(gap());
        page.extend(lines(Style::Plain, "", &self.keys(words)));
        page
    }

    /// The nearest keys; `?` shows the others.
    fn keys(&self, words: Words) -> String {
        let near: &[Command] = match &self.asked {
            None => &[Command::Sign, Command::Tray, Command::Undo, Command::Help],
            Some(asked) if asked.answers.is_empty() => &[
                Command::Done,
                Command::Undo,
                Command::Differently,
                Command::Why,
                Command::Next,
                Command::Help,
            ],
            Some(_) => &[Command::Undo, Command::Differently, Command::Why, Command::Next, Command::Help],
        };
        let name = |command: &Command| {
            let (key, word) = command.names(words.0);
            format!("{key} {word}")
        };
        near.iter().map(name).collect::<Vec<_>>().join(" · ")
    }
}

impl Asked {
    /// The step in plain words: what it is, what to beware of, and only then what to do.
    fn page(&self, live: &Live, words: Words, who: &str, now_ms: i64) -> Vec<Line> {
        let code = words.code();
        let mut page = vec![gap()];
        page.extend(lines(Style::Plain, "  ", &live.label(code).to_uppercase()));
        page.extend(lines(Style::Title, "  ▶ ", &live.title(self.event, code)));
        let others: Vec<String> = self.row.people.iter().filter(|name| *name != who).cloned().collect();
        if others.len() < self.row.people.len() && !others.is_empty() {
            page.extend(lines(
                Style::Plain,
                "    ",
                &words.fill("together", &[("people", &words.list(&others))]),
            ));
        } else if !others.is_empty() {
            page.extend(lines(
                Style::Plain,
                "    ",
                &words.fill("others", &[("people", &words.list(&others))]),
            ));
        }
        for beware in &self.row.cautions {
            page.push(gap());
            let text = format!("⚠ {}: {}", words.say("step.caution"), beware.text);
            page.extend(lines(Style::Caution, "  ", &text));
        }
        page.push(gap());
        page.extend(lines(Style::Plain, "  ", &live.sentence(self.event, code)));
        page.push(gap());
        if let Some(place) = &self.row.place {
            page.extend(lines(Style::Plain, "  ", &format!("{}: {place}", words.say("at"))));
        }
        if !self.row.parts.is_empty() {
            let parts = format!("{}: {}", words.say("step.parts"), self.row.parts.join(", "));
            page.extend(lines(Style::Plain, "  ", &parts));
        }
        let left = time_left(self.due, words, now_ms);
        page.extend(lines(Style::Note, "  ", &left));
        if !self.answers.is_empty() {
            page.push(gap());
            page.extend(lines(Style::Title, "  ", words.say("step.look")));
            for (index, answer) in self.answers.iter().enumerate() {
                let text = format!("{}  {}", index + 1, answer_title(live, *answer, words));
                page.extend(lines(Style::Plain, "    ", &text));
            }
        } else if self.may {
            page.extend(lines(Style::Plain, "  ", &self.act(live, words)));
        } else {
            page.extend(lines(Style::Note, "  ", words.say("step.waits-for")));
            for cause in &self.waits {
                page.extend(lines(Style::Note, "    ", cause));
            }
        }
        page
    }

    /// What `done` says now: that it begins, goes on, ends.
    fn act(&self, live: &Live, words: Words) -> String {
        let all = self.row.events.len();
        let word = match (self.left, live.form.events[self.event].kind) {
            (left, _) if left > 1 && left == all => "step.begin",
            (left, _) if left > 1 => "step.go-on",
            (_, EventKind::End) => "step.finish",
            (_, EventKind::Start | EventKind::Do) => "step.done",
        };
        let (key, _) = Command::Done.names(words.0);
        let how = format!("{key} = {}", words.say(word));
        if all == 1 {
            return how;
        }
        let (now, all) = ((all - self.left + 1).to_string(), all.to_string());
        format!("{how} ({})", words.fill("of-step", &[("now", &now), ("all", &all)]))
    }
}

/// What the step wants to be measured and nobody has measured tonight.
fn to_measure(current: &Current, live: &Live, event: EventId, words: Words) -> Vec<Line> {
    let mut page = Vec::new();
    let taken = |what: &ft_form::Words| {
        let readings = current.night.readings.iter();
        let mut own = readings.filter(|one| one.machine.as_ref() == Some(&live.ready.name));
        own.any(|one| what.values().any(|text| *text == one.of))
    };
    for (what, within) in live.measures(event).filter(|(what, _)| !taken(what)) {
        let (key, _) = Command::Measure.names(words.0);
        let label = pick(what, words.code()).unwrap_or_default();
        let limit = words.say("readings.limit");
        let text = format!("{key} = {}: {label} ({limit} {within})", words.say("readings.wanted"));
        page.extend(lines(Style::Note, "  ", &text));
    }
    page
}

/// A row of the plan on one line, as it comes.
pub fn row_line(current: &Current, row: &Row, words: Words) -> String {
    let label = current.run.machine(&row.machine).and_then(|live| pick(&live.ready.label, words.code()));
    format!(
        "{}  {}  · {} · {}",
        clock(row.start_ms),
        row.title,
        label.unwrap_or(&row.machine),
        row.people.join(", ")
    )
}
