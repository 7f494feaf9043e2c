//! Probes: the last value, when it was read, the trend, gaps, and alarms with what to do.

use maud::{Markup, PreEscaped, html};

use crate::words::{Language, text};

/// How a probe is now; each has a word and a mark, so that colour is never the only sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProbeState {
    /// Within its limit.
    Good,
    /// It has no limit.
    Plain,
    /// An alarm asks somebody to look, and the limit is kept.
    Warned,
    /// Outside its limit.
    Bad,
    /// Nothing has come for longer than was promised, or nothing yet: nobody knows.
    Gap,
}

impl ProbeState {
    /// Its word in a page's attributes and in the stream.
    pub fn word(self) -> &'static str {
        match self {
            ProbeState::Good => "good",
            ProbeState::Plain => "plain",
            ProbeState::Warned => "warned",
            ProbeState::Bad => "bad",
            ProbeState::Gap => "gap",
        }
    }
}

/// An alarm that lasts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AlarmLine {
    /// The id of the event that raised it; `None` while that is not in the record yet.
    pub id: Option<String>,
    /// Whether a limit is not kept, or nobody knows.
    pub is_grave: bool,
    /// What is the matter.
    pub sentence: String,
    /// What to do.
    pub act: String,
    /// Who has seen it, in words.
    pub seen: Option<String>,
}

/// A probe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProbeCard {
    /// Its name in the kitchen.
    pub name: String,
    /// What it is called.
    pub label: String,
    /// Where it is, in words.
    pub place: String,
    /// The last value with its unit; `None` before the first.
    pub value: Option<String>,
    /// The unit.
    pub unit: String,
    /// When it was read, milliseconds since 1970.
    pub at_ms: Option<i64>,
    /// The same as a time of day.
    pub seen: Option<String>,
    /// A silence after which nobody knows, milliseconds.
    pub silent_after_ms: i64,
    /// The same in words.
    pub silent_after: String,
    /// How it is.
    pub state: ProbeState,
    /// The limit with whose it is.
    pub limit: Option<String>,
    /// Alarms, the worst first.
    pub alarms: Vec<AlarmLine>,
    /// The trend, SVG of our own making.
    pub trend: Option<String>,
    /// Its topic or file.
    pub source: String,
    /// What is lacking, such as its file.
    pub lacking: Option<String>,
    /// How many readings came and were kept, in words.
    pub counts: String,
    /// What was no reading and why, in words.
    pub refusals: Option<String>,
}

/// All probes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProbesView {
    /// The server's clock, milliseconds since 1970: a device's own may be wrong.
    pub now_ms: i64,
    /// Changes whenever more than a value does.
    pub version: u64,
    /// Since when the broker is away, and why.
    pub away: Option<(String, String)>,
    /// Why the folder cannot be looked into.
    pub folder: Option<String>,
    /// The probes.
    pub cards: Vec<ProbeCard>,
    /// What to keep in mind.
    pub caution: String,
}

/// The probes' part of the page of readings.
pub fn probes(language: Language, view: &ProbesView) -> String {
    section(language, view).into_string()
}

pub(crate) fn section(language: Language, view: &ProbesView) -> Markup {
    let say = |key: &str| text(language, key);
    html! {
        section #probes data-now=(view.now_ms) data-version=(view.version) {
            h2 { (say("probes.title")) }
            p .caution { (view.caution) }
            @if let Some((since, why)) = &view.away {
                p #broker-away .problem role="status" {
                    strong { "⚠ " (say("probes.away")) " " (since) }
                    " (" (why) "). " (say("probes.away-do"))
                }
            }
            @if let Some(why) = &view.folder {
                p .problem role="status" { strong { "⚠ " (say("probes.folder")) } " (" (why) ")" }
            }
            ul .probes { @for card in &view.cards { (card_of(&say, card)) } }
        }
    }
}

fn card_of(say: &dyn Fn(&str) -> &'static str, card: &ProbeCard) -> Markup {
    html! {
        li .probe data-probe=(card.name) data-state=(card.state.word()) data-at=[card.at_ms]
            data-silent=(card.silent_after_ms) {
            h3 { (card.label) }
            @if !card.place.is_empty() { p .small { (card.place) } }
            p .reading-now {
                strong .value { (card.value.as_deref().unwrap_or("–")) }
                " " (badge(say, card.state))
            }
            p .small {
                @match &card.seen {
                    Some(seen) => { (say("probes.last")) " " span .seen { (seen) } " " span .age {} },
                    None => (say("probes.never")),
                }
            }
            @if let Some(limit) = &card.limit { p .small { (say("readings.limit")) " " (limit) } }
            @for alarm in &card.alarms {
                div .alarm .grave[alarm.is_grave] role="group" aria-label=(say("probes.alarm")) {
                    p { strong { "⚠ " (alarm.sentence) } }
                    p { (alarm.act) }
                    @match (&alarm.seen, &alarm.id) {
                        (Some(seen), _) => p .small { "✓ " (say("probes.seen")) " " (seen) },
                        (None, Some(id)) => button type="button" .quiet .acknowledge data-alarm=(id) data-label=(alarm.sentence) {
                            (say("probes.acknowledge"))
                        },
                        (None, None) => {},
                    }
                }
            }
            @if let Some(trend) = &card.trend { div .trend { (PreEscaped(trend)) } }
            details {
                summary { (say("probes.more")) }
                p .small { (card.source) " · " (say("probes.silent-after")) " " (card.silent_after) }
                p .small { (card.counts) }
                @if let Some(refusals) = &card.refusals { p .small { (refusals) } }
            }
            @if let Some(lacking) = &card.lacking { p .small { "⚠ " (lacking) } }
        }
    }
}

fn badge(say: &dyn Fn(&str) -> &'static str, state: ProbeState) -> Markup {
    let (class, mark, key) = match state {
        ProbeState::Good => ("good", "✓", "readings.good"),
        ProbeState::Plain => ("", "·", "probes.plain"),
        ProbeState::Warned => ("bad", "⚠", "probes.warned"),
        ProbeState::Bad => ("bad", "✗", "readings.bad"),
        ProbeState::Gap => ("bad", "?", "probes.gap"),
    };
    html! { span class={ "badge " (class) } { (mark) " " (say(key)) } }
}
