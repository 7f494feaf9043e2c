//! The thread that follows the probes: what came in, facts out, a look at the clock every second.

use std::collections::VecDeque;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

use ft_probe::{Probe, Said, Source, message};
use ft_record::{Fact, ReadingSource};

use super::state::alarm;
use super::words::said_in_log;
use super::{Input, Link};
use crate::api::stream;
use crate::ids::now_ms;
use crate::site::{News, Site};

/// How often the clock is looked at, and everybody told.
const TICK: Duration = Duration::from_secs(1);
/// So many facts wait for a record that cannot be written to; beyond, the oldest are given up, and counted.
const MOST_WAITING: usize = 20_000;

/// Follows until it is told to end.
pub fn follow(site: &Site, inputs: &Receiver<Input>) {
    let mut waiting: VecDeque<(usize, Said)> = VecDeque::new();
    let (mut next, mut is_new, mut told) = (Instant::now() + TICK, true, 0);
    loop {
        let input = inputs.recv_timeout(next.saturating_duration_since(Instant::now()));
        let is_end = matches!(input, Ok(Input::End) | Err(RecvTimeoutError::Disconnected));
        if let Ok(input) = input {
            is_new = true;
            take(site, input, &mut waiting);
        }
        if is_end {
            let mut watches = site.probes.watches();
            for (index, watch) in watches.iter_mut().enumerate() {
                waiting.extend(watch.end(now_ms()).into_iter().map(|said| (index, said)));
            }
        } else if Instant::now() >= next {
            next = Instant::now() + TICK;
            let mut watches = site.probes.watches();
            for (index, watch) in watches.iter_mut().enumerate() {
                waiting.extend(watch.tick(now_ms()).into_iter().map(|said| (index, said)));
            }
            drop(watches);
            if (is_new || told != site.probes.version()) && site.news.receiver_count() > 0 {
                told = site.probes.version();
                // Nobody listening is no error.
                let _ = site.news.send(News::Probes(stream::probes(&super::json(site, now_ms()))));
            }
            is_new = false;
        }
        write(site, &mut waiting);
        if is_end {
            return;
        }
    }
}

fn take(site: &Site, input: Input, waiting: &mut VecDeque<(usize, Said)>) {
    let now = now_ms();
    match input {
        Input::Message { probe, payload, is_retained } => {
            let mut watches = site.probes.watches();
            let watch = &mut watches[probe];
            let arrival = message::reading(&watch.probe, &payload, is_retained, now);
            let before = watch.refusal.as_ref().map(|(_, refusal)| refusal.code);
            waiting.extend(watch.take(arrival, now).into_iter().map(|said| (probe, said)));
            let after = watch.refusal.as_ref().map(|(_, refusal)| refusal.code);
            if before != after {
                if let Some((_, refusal)) = &watch.refusal {
                    println!("probes: {}: {refusal}", watch.probe.name);
                }
                drop(watches);
                site.probes.changed();
            }
        }
        Input::Rows(probe, rows) => {
            let mut watches = site.probes.watches();
            let watch = &mut watches[probe];
            let before = watch.refused.clone();
            for row in rows {
                waiting.extend(watch.take(row, now).into_iter().map(|said| (probe, said)));
            }
            if let (true, Some((_, refusal))) = (watch.refused != before, &watch.refusal) {
                println!("probes: {}: {refusal}", watch.probe.name);
            }
            drop(watches);
            site.probes.changed();
        }
        Input::Files(probe, count) => {
            if site.probes.around().files.insert(probe, count) != Some(count) {
                site.probes.changed();
            }
        }
        Input::Link(link) => {
            let mut around = site.probes.around();
            around.links += u64::from(matches!(link, Link::Here { .. }));
            // Away since it went, not since the last try.
            if let (Link::Away { why: was, .. }, Link::Away { why, .. }) = (&mut around.link, &link) {
                was.clone_from(why);
            } else {
                around.link = link;
            }
            drop(around);
            site.probes.changed();
        }
        Input::Folder(error) => {
            let mut around = site.probes.around();
            if around.folder != error {
                around.folder = error;
                site.probes.changed();
            }
        }
        Input::End => {}
    }
}

/// Writes what waits, in its order. Where the record cannot be written to it goes on waiting.
fn write(site: &Site, waiting: &mut VecDeque<(usize, Said)>) {
    while !waiting.is_empty() {
        let probes: Vec<Probe> = site.probes.watches().iter().map(|watch| watch.probe.clone()).collect();
        let mut facts = Vec::new();
        let mut count = 0;
        for (index, said) in waiting.iter() {
            // What raised it has to be in the record before its end can name it.
            if count > 0 && matches!(said, Said::Ended { .. }) {
                break;
            }
            count += 1;
            facts.extend(fact(site, *index, &probes[*index], said));
        }
        let is_empty = facts.is_empty();
        if let Err(error) = if is_empty { Ok(()) } else { site.tell(facts) } {
            eprintln!("probes: the record cannot be written to: {error}; {} facts wait", waiting.len());
            let most = waiting.len().saturating_sub(MOST_WAITING);
            waiting.drain(..most);
            site.probes.gave_up(most as u64);
            return;
        }
        for (index, said) in waiting.drain(..count) {
            if let Some(line) = said_in_log(&probes[index], &said) {
                println!("{line}");
            }
        }
        if !is_empty {
            site.probes.changed();
        }
    }
}

/// What was said as a fact of the record: its moment, its machine, and the fact.
fn fact(site: &Site, index: usize, probe: &Probe, said: &Said) -> Option<(i64, Option<String>, Fact)> {
    let unit = probe.unit.symbol().to_owned();
    let within = probe.limit.as_ref().map(|limit| limit.text.clone());
    let (at_ms, fact) = match said {
        Said::Kept { at_ms, value } => {
            let good = probe.is_good(*value);
            let source = match probe.source {
                Source::Topic { .. } => ReadingSource::Probe,
                Source::File(_) => ReadingSource::File,
            };
            (*at_ms, Fact::Reading { of: probe.of(), value: *value, unit, within, good, source })
        }
        Said::Watched { tally, to_ms, refused } => {
            let has = |figure: f64| (tally.came > 0).then_some(figure);
            let fact = Fact::ProbeWatched {
                of: probe.of(),
                unit,
                from_ms: tally.from_ms,
                to_ms: *to_ms,
                came: tally.came,
                kept: tally.kept,
                lowest: has(tally.lowest),
                highest: has(tally.highest),
                mean: tally.mean(),
                refused: refused.iter().map(|(code, count)| ((*code).to_owned(), *count)).collect(),
            };
            (*to_ms, fact)
        }
        Said::Raised { why, at_ms, value, by_ms } => {
            let fact = Fact::AlarmRaised {
                of: probe.of(),
                alarm: alarm(*why),
                value: *value,
                unit,
                within,
                by_ms: *by_ms,
            };
            (*at_ms, fact)
        }
        Said::Ended { why, at_ms } => {
            let of = site.probes.alarms().get(&(index, *why))?.id.clone();
            (*at_ms, Fact::AlarmEnded { of })
        }
    };
    Some((at_ms, probe.machine.clone(), fact))
}
