//! What is measured, in the text format that Prometheus reads.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// Upper bounds of the buckets, seconds.
const BOUNDS: [f64; 10] = [0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.5, 1.0, 5.0];

/// Counters of one program.
#[derive(Debug, Default)]
pub struct Metrics {
    /// Who listens now.
    pub listeners: AtomicI64,
    /// Times that the rest of a night was planned anew.
    pub replans: AtomicU64,
    /// PINs that were wrong.
    pub misses: AtomicU64,
    stored: AtomicU64,
    append: Mutex<Spread>,
    answers: Mutex<BTreeMap<(String, u16), (u64, f64)>>,
}

#[derive(Debug, Default)]
struct Spread {
    counts: [u64; BOUNDS.len()],
    count: u64,
    sum_s: f64,
}

impl Metrics {
    /// Events were stored.
    pub fn stored(&self, events: usize, took: Duration) {
        self.stored.fetch_add(events as u64, Ordering::Relaxed);
        let mut append = self.append.lock().unwrap_or_else(PoisonError::into_inner);
        let seconds = took.as_secs_f64();
        append.count += 1;
        append.sum_s += seconds;
        for (count, bound) in append.counts.iter_mut().zip(BOUNDS) {
            *count += u64::from(seconds <= bound);
        }
    }

    /// A request was answered.
    pub fn answered(&self, route: &str, status: u16, took: Duration) {
        let mut answers = self.answers.lock().unwrap_or_else(PoisonError::into_inner);
        let of = answers.entry((route.to_owned(), status)).or_default();
        of.0 += 1;
        of.1 += took.as_secs_f64();
    }

    /// Everything, with what others count: the record's end, open sessions.
    pub fn text(&self, seq: u64, sessions: usize) -> String {
        let mut out = String::new();
        let mut one = |name: &str, kind: &str, help: &str, value: String| {
            out.push_str(&format!("# HELP {name} {help}\n# TYPE {name} {kind}\n{name} {value}\n"));
        };
        let count = |of: &AtomicU64| of.load(Ordering::Relaxed).to_string();
        one("fulltray_record_seq", "gauge", "Last place of the record.", seq.to_string());
        one("fulltray_sessions", "gauge", "People signed in.", sessions.to_string());
        let listeners = self.listeners.load(Ordering::Relaxed).to_string();
        one("fulltray_listeners", "gauge", "Open event streams.", listeners);
        one("fulltray_events_stored_total", "counter", "Events stored since the start.", count(&self.stored));
        one(
            "fulltray_replans_total",
            "counter",
            "Nights planned anew since the start.",
            count(&self.replans),
        );
        one("fulltray_pin_misses_total", "counter", "Wrong PINs since the start.", count(&self.misses));
        let append = self.append.lock().unwrap_or_else(PoisonError::into_inner);
        let name = "fulltray_append_seconds";
        out.push_str(&format!("# HELP {name} Until events were durable.\n# TYPE {name} histogram\n"));
        for (count, bound) in append.counts.iter().zip(BOUNDS) {
            out.push_str(&format!("{name}_bucket{{le=\"{bound}\"}} {count}\n"));
        }
        out.push_str(&format!("{name}_bucket{{le=\"+Inf\"}} {}\n", append.count));
        out.push_str(&format!("{name}_sum {}\n{name}_count {}\n", append.sum_s, append.count));
        let name = "fulltray_http_seconds";
        out.push_str(&format!("# HELP {name} Answers by route and status.\n# TYPE {name} summary\n"));
        let answers = self.answers.lock().unwrap_or_else(PoisonError::into_inner);
        for ((route, status), (count, sum)) in answers.iter() {
            let labels = format!("{{route=\"{route}\",status=\"{status}\"}}");
            out.push_str(&format!("{name}_sum{labels} {sum}\n{name}_count{labels} {count}\n"));
        }
        out
    }
}
