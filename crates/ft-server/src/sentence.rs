//! An event of the record as a sentence.

use ft_pages::Language;
use ft_record::{Fact, PartRef};

/// What happened, in a sentence.
pub fn sentence(fact: &Fact, live: Option<&ft_run::Live>, language: Language) -> String {
    let es = language == Language::Spanish;
    let told = ft_prove::tell::Language::of(language.code());
    let step = |name: &str| match live.and_then(|live| Some((live, live.event(name)?))) {
        Some((live, event)) => ft_prove::tell::event(&live.form, event, told).to_owned(),
        None => name.to_owned(),
    };
    let part = |part: &PartRef| match &part.side {
        Some(side) => format!("{} ({side})", part.part),
        None => part.part.clone(),
    };
    let pick = |english: &str, spanish: &str| if es { spanish.to_owned() } else { english.to_owned() };
    match fact {
        Fact::RunOpened { procedure, people, .. } => {
            format!("{}: {procedure} · {}", pick("Begun", "Comenzado"), people.join(", "))
        }
        Fact::Happened { event } => step(event),
        Fact::Differed { event, because, .. } => {
            let what = event.as_deref().map(step).unwrap_or_default();
            format!("{}: {what} ({because})", pick("It happened differently", "Ocurrió de otro modo"))
        }
        Fact::Corrected { because, .. } => format!("{}: {because}", pick("Taken back", "Deshecho")),
        Fact::TimerStarted { timer, seconds } => {
            format!("{}: {} ({seconds} s)", pick("Timer", "Temporizador"), step(timer))
        }
        Fact::TimerStopped { timer } => {
            format!("{}: {}", pick("Timer ended", "Fin del temporizador"), step(timer))
        }
        Fact::PersonJoined { who } => format!("{}: {who}", pick("Came", "Llegó")),
        Fact::PersonLeft { who } => format!("{}: {who}", pick("Left", "Se fue")),
        Fact::Signed { .. } => pick("Signed", "Firmado"),
        Fact::PartSeen { part: of, slot } => format!("{} → {slot}", part(of)),
        Fact::PartMoved { part: of, .. } => part(of),
        Fact::PartMissing { part: of, .. } => format!("{}: {}", pick("Missing", "No aparece"), part(of)),
        Fact::PartFound { part: of, place } => {
            format!("{}: {} ({place})", pick("Found", "Encontrada"), part(of))
        }
        Fact::PartReplaced { part: of, .. } => {
            format!("{}: {}", pick("A spare took its place", "Pieza de repuesto"), part(of))
        }
        Fact::Reading { of, value, unit, within, .. } => {
            let within = within.as_ref().map(|within| format!(" ({within})")).unwrap_or_default();
            format!("{of}: {value} {unit}{within}")
        }
        Fact::Note { text } | Fact::FaultOpened { text } | Fact::FaultClosed { text, .. } => text.clone(),
        // What the other pages tell in their own words stands here by its kind.
        _ => serde_json::to_value(fact)
            .ok()
            .and_then(|value| value.get("what").and_then(|what| what.as_str().map(str::to_owned)))
            .unwrap_or_default(),
    }
}
