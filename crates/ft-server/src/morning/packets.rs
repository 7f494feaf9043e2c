//! Packets out of the record: it is gone through once more from its beginning, so that each answer is the one that could
//! be given then.

use std::collections::BTreeMap;

use ft_lots::{InventoryView, TraceView};
use ft_morning::packet::{Frame, Night};
use ft_pages::Language;
use ft_paper::packet::Packet;
use ft_record::{Fact, Stored, hex};
use ft_release::{Decision, Expected};

use super::desk::{Desk, Files, Said, files, limits, place, said};
use crate::api::run;
use crate::current::Current;
use crate::ids::now_ms;
use crate::known::RunLine;
use crate::problem::Problem;
use crate::site::Site;

/// The procedure with which a night begins.
const CLOSING: &str = "closing";
const DAY_MS: i64 = 86_400_000;
/// Events that are read from the record at once.
const PAGE: usize = 500;

/// The packet of the night that a run belongs to, and of as many days before it as make `days`.
///
/// Cost: the record up to the end of that night is read once.
///
/// # Errors
/// [`Problem`]: there is no such run, or a machine file cannot be had.
pub fn nights(site: &Site, run: &str, days: u32, language: Language) -> Result<Packet, Problem> {
    let groups = groups(&site.known().runs);
    let last = groups.iter().position(|group| group.iter().any(|line| line.id == run));
    let last = last.ok_or_else(|| Problem::no_such(format!("There is no night {run:?} in the record.")))?;
    let since_ms = groups[last][0].at_ms - DAY_MS * i64::from(days - 1);
    let first = groups.iter().position(|group| since_ms <= group[0].at_ms).unwrap_or(last).min(last);
    let now = now_ms();
    let files = files(&site.current());
    let mut walk = Walk { site, files: &files, desk: Desk::new(), asked: BTreeMap::new() };
    walk.desk.skilled(&site.current());
    let mut nights: Vec<Asked> = Vec::new();
    let mut events: Vec<Stored> = Vec::new();
    // The group that is gone through, and the event that begins the next one.
    let mut at: Option<usize> = None;
    let mut seq = 0;
    'record: loop {
        let page = site.store.since(seq, PAGE)?;
        let Some(end) = page.last() else { break };
        seq = end.seq;
        for stored in page {
            let next = at.map_or(0, |at| at + 1);
            if groups.get(next).is_some_and(|group| group[0].id == stored.event.id) {
                if at.is_some_and(|at| first <= at) {
                    nights.push(walk.end(std::mem::take(&mut events), None)?);
                }
                if at == Some(last) {
                    break 'record;
                }
                at = Some(next);
            }
            walk.take(&stored, at.is_some_and(|at| first <= at))?;
            if at.is_some_and(|at| first <= at) {
                events.push(stored);
            }
        }
    }
    let is_open = nights.len() <= last - first;
    if is_open {
        nights.push(walk.end(events, Some(now))?);
    }
    let current = site.current();
    let kitchen = place(&current, language);
    let nights: Vec<Night> = nights.into_iter().map(|night| night.shown(&kitchen)).collect();
    let asked_ms = nights.last().and_then(|night| night.answers.first()).map_or(now, |one| one.0.at_ms);
    let inventory =
        InventoryView::new(walk.desk.morning.books(), asked_ms, &limits(asked_ms), &BTreeMap::new());
    let (title, head, key) = frame(site, &current, language)?;
    let frame = Frame { kitchen: &title, made_ms: now, record: (head.0, &head.1, &key) };
    let people = walk.desk.morning.people();
    Ok(ft_morning::packet::nights(&kitchen, &frame, &nights, &inventory, people))
}

/// The packet of a lot.
///
/// # Errors
/// [`Problem`]: there is no such lot.
pub fn lot(site: &Site, lot: &str, language: Language) -> Result<Packet, Problem> {
    let now = now_ms();
    let desk = site.desk()?;
    let books = desk.morning.books();
    let known = books.lots().get(lot);
    if known.is_none() {
        return Err(Problem::no_such(format!("There is no lot {lot:?} in the record.")));
    }
    let limits = limits(now);
    let view = TraceView::new(books, lot, &limits);
    let inventory = InventoryView::new(books, now, &limits, &desk.predicted(now));
    let current = site.current();
    let (title, head, key) = frame(site, &current, language)?;
    let frame = Frame { kitchen: &title, made_ms: now, record: (head.0, &head.1, &key) };
    let kitchen = place(&current, language);
    Ok(ft_morning::packet::lot(&kitchen, &frame, &view, known, inventory.find(lot)))
}

/// What the kitchen is called; how many events there are and the last hash; the site's key.
fn frame(
    site: &Site,
    current: &Current,
    language: Language,
) -> Result<(String, (u64, String), String), Problem> {
    let head = site.store.head()?;
    let key = site.store.public_key()?;
    Ok((run::kitchen(current, language.code()), (head.seq, hex(&head.hash)), key))
}

/// Runs by night: each closing begins one, and what comes before the first closing is one too.
fn groups(runs: &[RunLine]) -> Vec<Vec<RunLine>> {
    let mut groups: Vec<Vec<RunLine>> = Vec::new();
    for line in runs {
        match groups.last_mut() {
            Some(group) if line.procedure != CLOSING => group.push(line.clone()),
            _ => groups.push(vec![line.clone()]),
        }
    }
    groups
}

/// A night as it was gone through: its events, and each machine's answer with what it rests on.
struct Asked {
    events: Vec<Stored>,
    answers: Vec<(Decision, Expected, Option<Said>)>,
}

impl Asked {
    fn shown(self, kitchen: &ft_morning::Site<'_>) -> Night {
        let begun = self.events.first().map(|stored| kitchen.clock(stored.event.at_ms)).unwrap_or_default();
        let title = match kitchen.language {
            Language::English => format!("Night of {begun}"),
            Language::Spanish => format!("Noche del {begun}"),
        };
        let shown = |(decision, expected, one): (Decision, Expected, Option<Said>)| {
            (decision, expected, one.map(|one| said(kitchen, &one)))
        };
        Night { title, events: self.events, answers: self.answers.into_iter().map(shown).collect() }
    }
}

/// The record gone through once more.
struct Walk<'a> {
    site: &'a Site,
    files: &'a Files,
    desk: Desk,
    /// By machine: the last answer that was asked for in this night.
    asked: BTreeMap<String, (Decision, Expected)>,
}

impl Walk<'_> {
    /// Takes the next event; where somebody asked then whether a machine may serve, it is answered as it was.
    fn take(&mut self, stored: &Stored, is_wanted: bool) -> Result<(), Problem> {
        self.desk.take(stored);
        let event = &stored.event;
        if let (true, Some(machine), Fact::Released { .. } | Fact::Refused { .. }) =
            (is_wanted, &event.machine, &event.fact)
            && self.files.iter().any(|(name, _)| name == machine)
        {
            let answered = self.answer(machine, event.at_ms)?;
            self.asked.insert(machine.clone(), answered);
        }
        Ok(())
    }

    /// The night that has ended: with the answers that were asked for, and else those at its last event or at `now`.
    fn end(&mut self, events: Vec<Stored>, now: Option<i64>) -> Result<Asked, Problem> {
        let last_ms = events.iter().map(|stored| stored.event.at_ms).max().unwrap_or_default();
        let mut asked = std::mem::take(&mut self.asked);
        let mut answers = Vec::new();
        for (name, _) in self.files {
            // What was said is said of this night only where it was asked in it.
            let said = asked.contains_key(name).then(|| self.desk.said.get(name).cloned()).flatten();
            let (decision, expected) = match asked.remove(name) {
                Some(answered) => answered,
                None => self.answer(name, now.unwrap_or(last_ms))?,
            };
            answers.push((decision, expected, said));
        }
        Ok(Asked { events, answers })
    }

    fn answer(&mut self, machine: &str, at_ms: i64) -> Result<(Decision, Expected), Problem> {
        let (decision, expected) = self.desk.decide(&self.site.store, self.files, machine, at_ms)?;
        Ok((decision, expected.clone()))
    }
}
