//! Stories, reasons and repairs as plain sentences, from the form's own words, in English and Spanish.

use ft_form::walk::State;
use ft_form::{Allowed, Cond, Event, EventId, Form, MAX_VALUES, VarId, Words};

use crate::live::Cause;
use crate::order::{OrderEdge, Reason};
use crate::repair::Added;
use crate::verdict::{Flaw, FlawKind};

/// A language of the sentences.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Language {
    /// English.
    En,
    /// Spanish.
    Es,
}

impl Language {
    /// The language of a code such as `en` or `es-MX`; English if it is another.
    pub fn of(code: &str) -> Self {
        if code.split(['-', '_']).next() == Some("es") { Self::Es } else { Self::En }
    }

    fn code(self) -> &'static str {
        match self {
            Self::En => "en",
            Self::Es => "es",
        }
    }

    fn pick<'w>(self, words: &'w Words, name: &'w str) -> &'w str {
        words.get(self.code()).or_else(|| words.get("en")).map_or(name, String::as_str)
    }
}

/// What the crew calls an event.
pub fn event(form: &Form, event: EventId, language: Language) -> &str {
    language.pick(&form.events[event].words, &form.events[event].name)
}

/// What the crew calls a variable.
pub fn var(form: &Form, var: VarId, language: Language) -> &str {
    language.pick(&form.vars[var].words, &form.vars[var].name)
}

/// The hazard's sentence.
pub fn hazard(form: &Form, index: usize, language: Language) -> &str {
    language.pick(&form.hazards[index].words, &form.hazards[index].id)
}

/// A flaw as sentences: the numbered story, the state that makes it wrong, and what is wrong.
pub fn flaw(form: &Form, flaw: &Flaw, language: Language) -> Vec<String> {
    let mut told: Vec<String> = flaw
        .story
        .iter()
        .enumerate()
        .map(|(index, &id)| format!("{}. {}", index + 1, sentence(form, id, language)))
        .collect();
    let mut state = State::start(form);
    // A hazard on an event is looked at before the event's effects.
    let looked_at = match flaw.kind {
        FlawKind::Hazard(index) if form.hazards[index].on.is_some() => flaw.story.len().saturating_sub(1),
        FlawKind::Hazard(_) | FlawKind::Deadlock | FlawKind::Goal => flaw.story.len(),
    };
    for &event in &flaw.story[..looked_at] {
        state = state.after(form, event);
    }
    match flaw.kind {
        FlawKind::Hazard(index) => {
            told.extend(now(form, &state, &form.hazards[index].when, language));
            told.push(hazard(form, index, language).to_string());
        }
        FlawKind::Deadlock => {
            told.extend(blocked(form, &state, language));
            told.push(match language {
                Language::En => "Nobody can go on.".into(),
                Language::Es => "Nadie puede seguir.".into(),
            });
        }
        FlawKind::Goal => {
            let missed: Cond =
                form.goal.iter().copied().filter(|part| !state.holds(form, &[*part])).collect();
            told.extend(now(form, &state, &missed, language));
            for part in missed {
                let (name, wanted) = (var(form, part.var, language), values(form, part, language));
                told.push(match language {
                    Language::En => format!("Everything is done, but {name} should be {wanted}."),
                    Language::Es => format!("Todo está hecho, pero {name} debería ser {wanted}."),
                });
            }
        }
    }
    told
}

fn sentence(form: &Form, id: EventId, language: Language) -> String {
    let words = event(form, id, language);
    let stop = if words.ends_with(['.', '!', '?']) { "" } else { "." };
    match &form.events[id].side {
        Some(side) if !says_side(&form.events[id], side) => format!("{side}: {words}{stop}"),
        Some(_) | None => format!("{words}{stop}"),
    }
}

/// Whether the words of an event name its side by themselves: a step that is called `Door off (left)` does so in each
/// language, an answer of the world never does. Without words, the name speaks.
fn says_side(event: &Event, side: &str) -> bool {
    let named = event.step.strip_suffix(')').and_then(|step| step.strip_suffix(side));
    event.words.is_empty() || !event.nature && named.is_some_and(|step| step.ends_with('('))
}

/// The variables of a condition, with their values; nothing where the event alone is what is wrong.
fn now(form: &Form, state: &State, cond: &[Allowed], language: Language) -> Option<String> {
    if cond.is_empty() {
        return None;
    }
    let parts: Vec<String> = cond
        .iter()
        .map(|part| {
            let value = form.value_text(part.var, state.vals[part.var], language.code());
            format!("{} = {value}", var(form, part.var, language))
        })
        .collect();
    let parts = parts.join(", ");
    Some(match language {
        Language::En => format!("Now: {parts}."),
        Language::Es => format!("Ahora: {parts}."),
    })
}

/// What the earliest remaining events wait for.
fn blocked(form: &Form, state: &State, language: Language) -> Vec<String> {
    let mut told = Vec::new();
    for id in 0..form.events.len() {
        if let Err(ft_form::walk::NotYet::Blocked(parts)) = state.may(form, id) {
            let words = event(form, id, language);
            for part in parts {
                let (needs, is) = (need(form, part, language), state.vals[part.var]);
                let is = form.value_text(part.var, is, language.code());
                told.push(match language {
                    Language::En => format!("“{words}” waits until {needs}; it is {is}."),
                    Language::Es => format!("«{words}» espera hasta que {needs}; ahora está en «{is}»."),
                });
            }
        }
    }
    told
}

/// A part of a condition, such as `door is on`.
pub fn need(form: &Form, part: Allowed, language: Language) -> String {
    let name = var(form, part.var, language);
    match language {
        Language::En => format!("{name} is {}", values(form, part, language)),
        Language::Es => format!("{name} esté en {}", values(form, part, language)),
    }
}

/// The values that a part allows: `a or b`, or `at least 1` where that says the same.
fn values(form: &Form, part: Allowed, language: Language) -> String {
    let of = &form.vars[part.var];
    let allowed: Vec<i32> = (0..MAX_VALUES.min(of.hi - of.lo + 1))
        .filter(|bit| part.mask >> bit & 1 == 1)
        .map(|bit| of.lo + bit)
        .collect();
    let is_range = allowed.windows(2).all(|pair| pair[1] == pair[0] + 1);
    let (or, at_least, at_most, nothing) = match language {
        Language::En => ("or", "at least", "at most", "never right"),
        Language::Es => ("o", "al menos", "como mucho", "nunca correcto"),
    };
    let name = |value: i32| {
        let text = form.value_text(part.var, value, language.code());
        match language {
            Language::Es if !of.vals.is_empty() => format!("«{text}»"),
            _ => text,
        }
    };
    match allowed[..] {
        [] => nothing.into(),
        [one] => name(one),
        [low, .., high] if of.vals.is_empty() && is_range && high == of.hi => format!("{at_least} {low}"),
        [low, .., high] if of.vals.is_empty() && is_range && low == of.lo => format!("{at_most} {high}"),
        [..] => {
            let names: Vec<String> = allowed.iter().map(|&value| name(value)).collect();
            let (last, first) = names.split_last().expect("there are at least two");
            format!("{} {or} {last}", first.join(", "))
        }
    }
}

/// Why one event must come before another.
pub fn reason(form: &Form, edge: &OrderEdge, reason: &Reason, language: Language) -> String {
    let (first, then) = (event(form, edge.before, language), event(form, edge.after, language));
    match (language, reason) {
        (Language::En, Reason::Enables { part }) => {
            format!("“{then}” needs that {}; “{first}” sees to that.", need(form, *part, language))
        }
        (Language::Es, Reason::Enables { part }) => {
            format!("«{then}» necesita que {}; de eso se ocupa «{first}».", need(form, *part, language))
        }
        (Language::En, Reason::Protects { hazard: Some(index), .. }) => {
            format!("If “{then}” came before “{first}”: {}", hazard(form, *index, language))
        }
        (Language::Es, Reason::Protects { hazard: Some(index), .. }) => {
            format!("Si «{then}» viniera antes que «{first}»: {}", hazard(form, *index, language))
        }
        (Language::En, Reason::Protects { hazard: None, part: Some(part) }) => {
            format!("If “{then}” came before “{first}”, it would spoil that {}.", need(form, *part, language))
        }
        (Language::Es, Reason::Protects { hazard: None, part: Some(part) }) => {
            format!(
                "Si «{then}» viniera antes que «{first}», estropearía que {}.",
                need(form, *part, language)
            )
        }
        (Language::En, Reason::Protects { hazard: None, part: None }) => {
            format!("If “{then}” came before “{first}”, the work could not be finished.")
        }
        (Language::Es, Reason::Protects { hazard: None, part: None }) => {
            format!("Si «{then}» viniera antes que «{first}», no se podría terminar.")
        }
        (_, Reason::Asked { because }) => language.pick(because, first).to_string(),
        (Language::En, Reason::Kit { var: id }) => {
            format!("Otherwise somebody would stand waiting with {}.", var(form, *id, language))
        }
        (Language::Es, Reason::Kit { var: id }) => {
            format!("Si no, alguien se quedaría esperando con {}.", var(form, *id, language))
        }
        (Language::En, Reason::SameStep) => format!("“{then}” ends what “{first}” begins."),
        (Language::Es, Reason::SameStep) => format!("«{then}» termina lo que «{first}» empieza."),
    }
}

/// One order of a repair, with what it prevents.
pub fn added(form: &Form, added: &Added, language: Language) -> String {
    let (first, then) = (event(form, added.before, language), event(form, added.after, language));
    let prevents = match (language, added.prevents) {
        (_, FlawKind::Hazard(index)) => hazard(form, index, language).to_string(),
        (Language::En, FlawKind::Deadlock) => "nobody could go on.".into(),
        (Language::Es, FlawKind::Deadlock) => "nadie podría seguir.".into(),
        (Language::En, FlawKind::Goal) => "the goal would be missed.".into(),
        (Language::Es, FlawKind::Goal) => "no se alcanzaría la meta.".into(),
    };
    match language {
        Language::En => format!("Do “{then}” after “{first}”; otherwise: {prevents}"),
        Language::Es => format!("Haga «{then}» después de «{first}»; si no: {prevents}"),
    }
}

/// One thing that an event waits for.
pub fn cause(form: &Form, cause: &Cause, language: Language) -> String {
    match (language, cause) {
        (Language::En, Cause::Waits(first)) => format!("“{}” comes first.", event(form, *first, language)),
        (Language::Es, Cause::Waits(first)) => format!("Antes va «{}».", event(form, *first, language)),
        (_, Cause::Hazard(index)) => hazard(form, *index, language).to_string(),
        (_, Cause::Blocked { part, makers }) => {
            let needs = need(form, *part, language);
            let makers: Vec<&str> = makers.iter().map(|&maker| event(form, maker, language)).collect();
            match (language, makers.is_empty()) {
                (Language::En, true) => {
                    format!("It needs that {needs}, and nothing that is left sees to that.")
                }
                (Language::Es, true) => {
                    format!("Necesita que {needs}, y nada de lo que queda se ocupa de eso.")
                }
                (Language::En, false) => format!("It needs that {needs}: {}.", makers.join("; ")),
                (Language::Es, false) => format!("Necesita que {needs}: {}.", makers.join("; ")),
            }
        }
    }
}
