//! The probes as a page shows them, and as a program reads them.

use ft_chart::trend::{Trend, trend};
use ft_pages::{AlarmLine, Language, ProbeCard, ProbeState, ProbesView};
use ft_probe::alarm::Why;
use ft_probe::{CAUTION, Source, Watch};
use serde_json::json;

use super::places::place;
use super::words::{alarm, length, limit, value, word};
use super::{InRecord, Link};
use crate::clock::clock;
use crate::current::Current;
use crate::site::Site;

/// What a program reads, and what everybody who listens is told each second while something comes.
///
/// `now_ms` is the server's clock, so that a device whose own is wrong can tell how old a reading is.
pub fn json(site: &Site, now_ms: i64) -> String {
    let watches = site.probes.watches();
    let records = site.probes.alarms();
    let probes = watches.iter().enumerate().map(|(index, watch)| {
        let alarms = watch.alarms.open().map(|(why, open)| {
            json!({
                "alarm": word(why), "since_ms": open.since_ms, "by_ms": open.by_ms,
                "id": records.get(&(index, why)).map(|known| &known.id),
                "is_seen": records.get(&(index, why)).is_some_and(|known| known.seen.is_some()),
            })
        });
        json!({
            "probe": watch.probe.name, "of": watch.probe.of(), "unit": watch.probe.unit.symbol(),
            "value": watch.last.map(|last| last.value), "at_ms": watch.last.map(|last| last.at_ms),
            "good": watch.last.and_then(|last| watch.probe.is_good(last.value)),
            "state": state_word(state(watch, now_ms)),
            "alarms": alarms.collect::<Vec<_>>(),
        })
    });
    let probes: Vec<_> = probes.collect();
    drop((watches, records));
    let link = match site.probes.around().link {
        Link::Unknown => "unknown",
        Link::Here { .. } => "here",
        Link::Away { .. } => "away",
    };
    json!({ "now_ms": now_ms, "version": site.probes.version(), "broker": link, "probes": probes })
        .to_string()
}

fn state_word(state: ProbeState) -> &'static str {
    match state {
        ProbeState::Good => "good",
        ProbeState::Plain => "plain",
        ProbeState::Warned => "warned",
        ProbeState::Bad => "bad",
        ProbeState::Gap => "gap",
    }
}

/// How a probe is now. Whatever is not known is a gap, before everything but a limit that is not kept.
fn state(watch: &Watch, now_ms: i64) -> ProbeState {
    let is_silent = watch.last.is_none() || watch.silence_s(now_ms) > watch.probe.silent_s;
    if is_silent || watch.alarms.is_open(Why::Silent) {
        return ProbeState::Gap;
    }
    let is_good = watch.last.and_then(|last| watch.probe.is_good(last.value));
    if is_good == Some(false) {
        return ProbeState::Bad;
    }
    // It was outside, and nobody has seen it yet: within again is not the same as well.
    if watch.alarms.open().next().is_some() {
        return ProbeState::Warned;
    }
    if is_good == Some(true) { ProbeState::Good } else { ProbeState::Plain }
}

/// The probes for a page; `None` where there are none.
pub fn cards(site: &Site, current: &Current, language: Language, now_ms: i64) -> Option<ProbesView> {
    let watches = site.probes.watches();
    if watches.is_empty() {
        return None;
    }
    let records = site.probes.alarms();
    let around = site.probes.around();
    let mut cards = Vec::new();
    for (index, watch) in watches.iter().enumerate() {
        let own = |why: Why| records.get(&(index, why));
        let files = around.files.get(&index).copied();
        cards.push(ProbeCard {
            place: place(current, &watch.probe, language),
            ..card(watch, &own, files, language, now_ms)
        });
    }
    let away = match &around.link {
        Link::Away { since_ms, why } => Some((clock(*since_ms), why.clone())),
        Link::Unknown | Link::Here { .. } => None,
    };
    let caution = CAUTION.iter().find(|(code, _)| *code == language.code()).map_or("", |(_, text)| text);
    Some(ProbesView {
        now_ms,
        version: site.probes.version(),
        away,
        folder: around.folder.clone(),
        cards,
        caution: caution.to_owned(),
    })
}

fn card<'r>(
    watch: &Watch,
    in_record: &dyn Fn(Why) -> Option<&'r InRecord>,
    files: Option<usize>,
    language: Language,
    now_ms: i64,
) -> ProbeCard {
    let probe = &watch.probe;
    let unit = probe.unit.symbol();
    let is_outside = watch.alarms.is_open(Why::Outside);
    // What was said before the limit was met is no news once it was.
    let is_news = |why: Why| !is_outside || matches!(why, Why::Outside | Why::Silent);
    let alarms = watch.alarms.open().filter(|(why, _)| is_news(*why)).map(|(why, open)| {
        let (sentence, act) = alarm(watch, why, open.by_ms, now_ms, language);
        let known = in_record(why);
        let seen = known
            .and_then(|known| known.seen.as_ref())
            .map(|(who, at_ms, text)| format!("{} {}: {text}", who.as_deref().unwrap_or("–"), clock(*at_ms)));
        let is_grave = matches!(why, Why::Outside | Why::Silent);
        AlarmLine { id: known.map(|known| known.id.clone()), is_grave, sentence, act, seen }
    });
    let refused: u64 = watch.refused.values().sum();
    let (source, lacking) = match (&probe.source, language) {
        (Source::Topic { topic, .. }, _) => (topic.clone(), None),
        (Source::File(columns), Language::English) => (
            columns.file.clone(),
            (files == Some(0)).then(|| format!("There is no file `{}` in the folder.", columns.file)),
        ),
        (Source::File(columns), Language::Spanish) => (
            columns.file.clone(),
            (files == Some(0)).then(|| format!("No hay ningún archivo «{}» en la carpeta.", columns.file)),
        ),
    };
    let counts = match language {
        Language::English => format!(
            "Since the start {} readings came; {} stand in the record one by one, all are counted.",
            watch.came, watch.kept
        ),
        Language::Spanish => format!(
            "Desde el inicio llegaron {} lecturas; {} constan una a una en el registro, y todas se cuentan.",
            watch.came, watch.kept
        ),
    };
    let refusals = (refused > 0).then(|| {
        let last = watch.refusal.as_ref().map(|(_, refusal)| format!(" {refusal}")).unwrap_or_default();
        match language {
            Language::English => format!("{refused} were no reading.{last}"),
            Language::Spanish => format!("{refused} no eran lecturas.{last}"),
        }
    });
    ProbeCard {
        name: probe.name.clone(),
        label: probe.label(language.code()).to_owned(),
        place: String::new(),
        value: watch.last.map(|last| value(last.value, unit, language)),
        unit: unit.to_owned(),
        at_ms: watch.last.map(|last| last.at_ms),
        seen: watch.last.map(|last| clock(last.at_ms)),
        silent_after_ms: (1000.0 * probe.silent_s) as i64,
        silent_after: length(probe.silent_s),
        state: state(watch, now_ms),
        limit: limit(probe),
        alarms: alarms.collect(),
        trend: picture(watch, language, now_ms),
        source,
        lacking,
        counts,
        refusals,
    }
}

/// The last day as a small picture; `None` before the first reading.
fn picture(watch: &Watch, language: Language, now_ms: i64) -> Option<String> {
    let probe = &watch.probe;
    let last = watch.last?;
    let hours = |at_ms: i64| (at_ms - now_ms) as f64 / 3_600_000.0;
    let mut points: Vec<(f64, Option<f64>)> =
        watch.shown.iter().map(|(at, value)| (hours(*at), *value)).filter(|(at, _)| *at >= -24.0).collect();
    if watch.shown.back().is_none_or(|(at, _)| *at < last.at_ms) {
        points.push((hours(last.at_ms), Some(last.value)));
    }
    let bounds = probe.limit.iter().flat_map(|limit| limit.bounds(probe.unit));
    let label = probe.label(language.code());
    let (title, gap, now) = match language {
        Language::English => (format!("{label}: the last 24 hours"), "gap", "now"),
        Language::Spanish => (format!("{label}: las últimas 24 horas"), "sin datos", "ahora"),
    };
    Some(trend(&Trend {
        title,
        unit: probe.unit.symbol().to_owned(),
        points,
        from: -24.0,
        to: 0.0,
        ends: ("-24 h".to_owned(), now.to_owned()),
        limits: bounds.map(|(bound, _)| bound).collect(),
        gap: gap.to_owned(),
    }))
}
