//! Timers: they ring once, they are told, and somebody may wait for one.

use std::collections::BTreeSet;

use ft_form::EventId;
use ft_record::fold::Timer;

use crate::step::View;
use crate::talk::{Stop, Talk};
use crate::words::{clock, span};

/// Rings for every timer whose time is over, once.
///
/// # Errors
/// [`Stop`].
pub fn rings(talk: &mut Talk<'_>, rung: &mut BTreeSet<String>) -> Result<(), Stop> {
    let now_ms = talk.console.now_ms();
    let timers = talk.seat.current().night.timers.clone();
    for timer in timers.iter().filter(|timer| timer.ends_ms <= now_ms) {
        if rung.insert(key(timer)) {
            talk.console.ring()?;
            let what = title(talk, timer);
            let text = talk.words.fill("step.timer-over", &[("what", &what)]);
            talk.note(&text);
        }
    }
    Ok(())
}

/// A timer that is started anew rings anew.
pub fn key(timer: &Timer) -> String {
    format!("{:?} {} {}", timer.machine, timer.timer, timer.ends_ms)
}

/// What an event's timer is called; tablets call it the same.
pub fn name(machine: &str, event: &str) -> String {
    format!("{machine}: {event}")
}

fn title(talk: &Talk<'_>, timer: &Timer) -> String {
    let current = talk.seat.current();
    let live = timer.machine.as_ref().and_then(|machine| current.run.machine(machine));
    let event = live.and_then(|live| {
        let of = |event: &EventId| name(&live.ready.name, &live.form.events[*event].name) == timer.timer;
        (0..live.form.events.len()).find(of).map(|event| live.title(event, talk.words.code()))
    });
    event.unwrap_or_else(|| timer.timer.clone())
}

/// Tells the timers that run.
pub fn timers(talk: &mut Talk<'_>) {
    let now_ms = talk.console.now_ms();
    let timers = talk.seat.current().night.timers.clone();
    if timers.is_empty() {
        return talk.note(talk.words.say("timers.none"));
    }
    talk.note(talk.words.say("step.timer"));
    let told: Vec<String> = timers
        .iter()
        .map(|timer| {
            let what = title(talk, timer);
            let left = if now_ms < timer.ends_ms {
                talk.words.fill("step.timer-left", &[("time", &span(timer.ends_ms - now_ms))])
            } else {
                clock(timer.ends_ms)
            };
            format!("{what}: {left}")
        })
        .collect();
    talk.note_list(&told);
}

/// Lets time pass until the step's own time, or else the next timer.
pub fn wait(talk: &mut Talk<'_>, view: &View) {
    let now_ms = talk.console.now_ms();
    let own = view.asked.as_ref().and_then(|asked| asked.due).map(|due| due.planned_ms);
    let next =
        || talk.seat.current().night.timers.iter().map(|timer| timer.ends_ms).filter(|at| now_ms < *at).min();
    match own.filter(|at| now_ms < *at).or_else(next) {
        Some(at_ms) => talk.console.wait_until(at_ms),
        None => talk.note(talk.words.say("timers.none")),
    }
}
