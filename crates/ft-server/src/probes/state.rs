//! What is known of the probes now.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

use ft_probe::alarm::Why;
use ft_probe::{Mapping, ProbeUnit, Watch};
use ft_record::{Alarm, Event, Fact, ReadingSource};

/// Whether the broker is there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Link {
    /// Nobody has asked yet, or there is none.
    Unknown,
    /// It is there.
    Here {
        /// Since when, milliseconds since 1970.
        since_ms: i64,
    },
    /// It is not.
    Away {
        /// Since when.
        since_ms: i64,
        /// Why, in words.
        why: String,
    },
}

/// An alarm as the record has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InRecord {
    /// The event that raised it.
    pub id: String,
    /// Who has seen it, when, and what they said.
    pub seen: Option<(Option<String>, i64, String)>,
}

/// The probes of a site; none where it has none.
#[derive(Debug, Default)]
pub struct Probes {
    watches: Mutex<Vec<Watch>>,
    alarms: Mutex<BTreeMap<(usize, Why), InRecord>>,
    around: Mutex<Around>,
    /// Counts what the page shows beside the last value: whoever has another number reads it anew.
    version: AtomicU64,
    overflow: AtomicU64,
    lost: AtomicU64,
}

/// What is known beside the probes themselves.
#[derive(Debug, Clone, PartialEq)]
pub struct Around {
    /// The broker.
    pub link: Link,
    /// How often it came.
    pub links: u64,
    /// Why the folder cannot be looked into.
    pub folder: Option<String>,
    /// By probe: how many files it has.
    pub files: BTreeMap<usize, usize>,
}

impl Default for Around {
    fn default() -> Self {
        Self { link: Link::Unknown, links: 0, folder: None, files: BTreeMap::new() }
    }
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Probes {
    /// The probes of a mapping, followed from a moment on.
    pub fn of(mapping: &Mapping, now_ms: i64) -> Self {
        let watches = mapping.probes.iter().map(|probe| Watch::new(probe.clone(), now_ms)).collect();
        Self { watches: Mutex::new(watches), ..Self::default() }
    }

    /// Each probe, in the order of the mapping.
    pub fn watches(&self) -> MutexGuard<'_, Vec<Watch>> {
        locked(&self.watches)
    }

    /// Alarms as the record has them.
    pub fn alarms(&self) -> MutexGuard<'_, BTreeMap<(usize, Why), InRecord>> {
        locked(&self.alarms)
    }

    /// What is known beside the probes themselves.
    pub fn around(&self) -> MutexGuard<'_, Around> {
        locked(&self.around)
    }

    /// Something else than the last value has changed.
    pub fn changed(&self) {
        self.version.fetch_add(1, Ordering::Relaxed);
    }

    /// How often something else than the last value has changed.
    pub fn version(&self) -> u64 {
        self.version.load(Ordering::Relaxed)
    }

    /// A message was left out because too many waited.
    pub fn overflowed(&self) {
        self.overflow.fetch_add(1, Ordering::Relaxed);
    }

    /// Facts that could not be written were given up.
    pub fn gave_up(&self, facts: u64) {
        self.lost.fetch_add(facts, Ordering::Relaxed);
    }

    /// Takes an event that the record had when the program began.
    pub fn resume(&self, event: &Event) {
        let mut watches = self.watches();
        match &event.fact {
            Fact::Reading { of, value, unit, source: ReadingSource::Probe | ReadingSource::File, .. } => {
                let watch = watches.iter_mut().find(|watch| watch.probe.of() == *of);
                // A mapping whose unit was changed since: what was read then is shown in today's.
                let value = |to| ProbeUnit::of(unit).and_then(|unit| unit.to(*value, to));
                if let Some((watch, value)) = watch.and_then(|w| value(w.probe.unit).map(|value| (w, value)))
                {
                    watch.resume_reading(event.at_ms, value);
                }
            }
            Fact::ProbeWatched { of, unit, to_ms, mean, .. } => {
                if let Some(watch) = watches.iter_mut().find(|watch| watch.probe.of() == *of) {
                    let in_unit = |mean| ProbeUnit::of(unit)?.to(mean, watch.probe.unit);
                    watch.resume_stretch(*to_ms, mean.and_then(in_unit));
                }
            }
            Fact::AlarmRaised { of, alarm, value, by_ms, .. } => {
                if let Some(watch) = watches.iter_mut().find(|watch| watch.probe.of() == *of) {
                    watch.alarms.resume(why(*alarm), event.at_ms, *value, *by_ms);
                }
            }
            Fact::AlarmEnded { of } => {
                let key = self.alarms().iter().find(|(_, known)| known.id == *of).map(|(key, _)| *key);
                if let Some((index, why)) = key {
                    watches[index].alarms.forget(why);
                }
            }
            _ => return,
        }
        drop(watches);
        self.apply(event);
    }

    /// Takes an event that was stored: which alarm it raised, ended, or who has seen it.
    pub fn apply(&self, event: &Event) {
        match &event.fact {
            Fact::AlarmRaised { of, alarm, .. } => {
                let index = self.watches().iter().position(|watch| watch.probe.of() == *of);
                if let Some(index) = index {
                    let known = InRecord { id: event.id.clone(), seen: None };
                    self.alarms().insert((index, why(*alarm)), known);
                }
            }
            Fact::AlarmEnded { of } => self.alarms().retain(|_, known| known.id != *of),
            Fact::AlarmAcknowledged { of, text } => {
                if let Some(known) = self.alarms().values_mut().find(|known| known.id == *of) {
                    known.seen = Some((event.person.clone(), event.at_ms, text.clone()));
                }
            }
            _ => return,
        }
        self.changed();
    }

    /// What is measured, in the text format that Prometheus reads; nothing where there are no probes.
    pub fn metrics(&self, now_ms: i64) -> String {
        let watches = self.watches();
        if watches.is_empty() {
            return String::new();
        }
        let mut out = String::new();
        let mut family = |name: &str, kind: &str, help: &str, lines: Vec<(String, f64)>| {
            out.push_str(&format!("# HELP {name} {help}\n# TYPE {name} {kind}\n"));
            for (labels, value) in lines {
                out.push_str(&format!("{name}{labels} {value}\n"));
            }
        };
        let of =
            |watch: &Watch| watch.probe.name.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', " ");
        let each = |figure: fn(&Watch) -> f64| -> Vec<(String, f64)> {
            watches.iter().map(|watch| (format!("{{probe=\"{}\"}}", of(watch)), figure(watch))).collect()
        };
        family(
            "fulltray_probe_readings_total",
            "counter",
            "Readings that came.",
            each(|watch| watch.came as f64),
        );
        family(
            "fulltray_probe_kept_total",
            "counter",
            "Readings kept one by one.",
            each(|watch| watch.kept as f64),
        );
        let refused = watches.iter().flat_map(|watch| {
            let labels = |code: &str| format!("{{probe=\"{}\",code=\"{code}\"}}", of(watch));
            watch.refused.iter().map(move |(code, count)| (labels(code), *count as f64))
        });
        family("fulltray_probe_refused_total", "counter", "What came and was no reading.", refused.collect());
        let ages =
            watches.iter().map(|watch| (format!("{{probe=\"{}\"}}", of(watch)), watch.silence_s(now_ms)));
        family("fulltray_probe_silence_seconds", "gauge", "Since the last reading.", ages.collect());
        let alarms = watches.iter().flat_map(|watch| {
            watch.alarms.open().map(move |(why, _)| {
                (format!("{{probe=\"{}\",alarm=\"{}\"}}", of(watch), super::words::word(why)), 1.0)
            })
        });
        family("fulltray_probe_alarm", "gauge", "Alarms that last.", alarms.collect());
        let around = self.around();
        let plain = |value: f64| vec![(String::new(), value)];
        let is_here = f64::from(u8::from(matches!(around.link, Link::Here { .. })));
        family("fulltray_broker_connected", "gauge", "Whether the broker is there.", plain(is_here));
        family("fulltray_broker_connects_total", "counter", "How often it came.", plain(around.links as f64));
        let count = |of: &AtomicU64| plain(of.load(Ordering::Relaxed) as f64);
        family(
            "fulltray_probe_overflow_total",
            "counter",
            "Messages left out: too many waited.",
            count(&self.overflow),
        );
        family("fulltray_probe_lost_total", "counter", "Facts that could not be written.", count(&self.lost));
        out
    }
}

/// The record's word for a reason.
pub fn alarm(why: Why) -> Alarm {
    match why {
        Why::Outside => Alarm::Outside,
        Why::Silent => Alarm::Silent,
        Why::Nearing => Alarm::Nearing,
        Why::Close => Alarm::Close,
        Why::Drifting => Alarm::Drifting,
    }
}

/// The reason of the record's word.
fn why(alarm: Alarm) -> Why {
    match alarm {
        Alarm::Outside => Why::Outside,
        Alarm::Silent => Why::Silent,
        Alarm::Nearing => Why::Nearing,
        Alarm::Close => Why::Close,
        Alarm::Drifting => Why::Drifting,
    }
}
