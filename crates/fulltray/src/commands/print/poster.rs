//! `fulltray print poster`: why this order.

use std::collections::BTreeSet;

use ft_app::order::{NoAnswer, order};
use ft_form::{Event, Form};
use ft_paper::Turn;
use ft_paper::poster::{Poster, Reason, document};
use ft_prove::{Limits, OrderEdge, tell};

use crate::args::PosterArgs;
use crate::commands::{chosen, out};
use crate::exit::{Answer, Failure};

pub(super) fn run(args: &PosterArgs) -> Result<Answer, Failure> {
    let (source, mut choice) = chosen(&args.chosen)?;
    choice.fitted.get_or_insert_with(Vec::new);
    choice.due = Some(false);
    let forms =
        ft_app::prepare(&source, &choice).map_err(|trouble| Failure::Text(source.clone(), trouble))?;
    let prepared = forms.prepared.first().expect("a choice of options leaves one variant");
    let language = args.chosen.language.as_str();
    let (view, order) = match order(&prepared.title, &prepared.form, &Limits::default(), language) {
        Ok(found) => found,
        Err(NoAnswer::TooLarge) => {
            out("The order could not be derived within the limits; nothing is claimed.\n")?;
            return Ok(Answer::Unfinished);
        }
        Err(NoAnswer::Unsafe(_)) => {
            out("No order of these steps is safe, so there is no poster; `fulltray order` tells why.\n")?;
            return Ok(Answer::No);
        }
    };
    let picture = ft_draw::order::svg(&prepared.form, &order, ft_prove::tell::Language::of(language));
    let machine = forms.file.as_ref().and_then(|file| file.machine.as_ref());
    let title = machine.map(|machine| {
        let named = &machine.named;
        named.label.get(language).unwrap_or(&named.name).clone()
    });
    let column = ft_draw::order::COLUMN as f32;
    // Cuts lie between two columns of boxes.
    let first = ft_draw::order::MARGIN as f32 - (column - ft_draw::order::BOX_WIDTH as f32) / 2.0;
    let poster = Poster {
        title: title.unwrap_or_else(|| prepared.form.name.clone()),
        language: language.to_owned(),
        picture,
        columns: (first, column),
        free_percent: view.free_percent,
        reasons: reasons(&prepared.form, &order.edges, tell::Language::of(language)),
    };
    super::write(document(&poster), Turn::Landscape, &args.to)
}

/// Sentences that a poster gives for a pair of steps. `fulltray order` has them all, event by event.
const SENTENCES: usize = 2;

/// Which step before which, in the words of the card: events of a step taken together, and sides and wash loads too.
/// The stages of wash loads among each other are left out: the poster says once that they follow each other.
fn reasons(form: &Form, edges: &[OrderEdge], language: tell::Language) -> Vec<Reason> {
    let mut pairs: Vec<(String, String, Vec<String>)> = Vec::new();
    for edge in edges {
        let (before, after) = (&form.events[edge.before], &form.events[edge.after]);
        if before.step == after.step || (is_load(before) && is_load(after)) {
            continue;
        }
        let (before, after) = (name(form, before, language), name(form, after, language));
        if before == after {
            continue;
        }
        let told = edge.reasons.iter().filter_map(|reason| why(form, edge, reason, language));
        match pairs.iter_mut().find(|pair| (&pair.0, &pair.1) == (&before, &after)) {
            Some(pair) => pair.2.extend(told),
            None => pairs.push((before, after, told.collect())),
        }
    }
    let reason = |(before, after, told): (String, String, Vec<String>)| {
        // What goes wrong is told before what is needed; of equal ones the one that says it shortest.
        let mut told: Vec<String> = told.into_iter().collect::<BTreeSet<_>>().into_iter().collect();
        told.sort_by_key(|sentence| {
            (sentence.starts_with(ONLY[language_number(language)]), sentence.chars().count())
        });
        let why = told.into_iter().take(SENTENCES).collect::<Vec<_>>().join("\n");
        Reason { before, after, why }
    };
    pairs.into_iter().filter(|pair| !pair.2.is_empty()).map(reason).collect()
}

/// How a need begins, by language.
const ONLY: [&str; 2] = ["Only when ", "Solo cuando "];

fn language_number(language: tell::Language) -> usize {
    match language {
        tell::Language::En => 0,
        tell::Language::Es => 1,
    }
}

fn is_load(event: &Event) -> bool {
    event.step.starts_with("Load ")
}

/// What a step is called, without its side; of a wash load its stage alone.
fn name(form: &Form, event: &Event, language: tell::Language) -> String {
    if is_load(event) {
        let stage = event.step.rsplit(", ").next().unwrap_or_default();
        let words = match (stage, language) {
            ("wash", tell::Language::En) => "Wash the parts",
            ("wash", tell::Language::Es) => "Lavar las piezas",
            ("rinse", tell::Language::En) => "Rinse the parts",
            ("rinse", tell::Language::Es) => "Enjuagar las piezas",
            ("sanitise", tell::Language::En) => "Sanitise the parts",
            ("sanitise", tell::Language::Es) => "Desinfectar las piezas",
            (_, tell::Language::En) => "Lay the parts out",
            (_, tell::Language::Es) => "Colocar las piezas",
        };
        return words.to_owned();
    }
    let first = form.events.iter().position(|other| other.step == event.step);
    let told = first.map_or(event.step.as_str(), |first| tell::event(form, first, language));
    let title = told.split(": ").next().unwrap_or(told).trim_end_matches('.');
    without_side(form, title)
}

/// A text without the sides in brackets, which the poster shows as bands.
fn without_side(form: &Form, text: &str) -> String {
    let sides: BTreeSet<&str> = form.events.iter().filter_map(|event| event.side.as_deref()).collect();
    let mut text = text.to_owned();
    while let Some(open) = text.find(" (") {
        let Some(close) = text[open..].find(')') else { break };
        let inner = &text[open + 2..open + close];
        // A label of a side may differ from its name; a bracket of one word after a part is a side.
        if !sides.contains(inner) && inner.contains(' ') {
            break;
        }
        text.replace_range(open..=open + close, "");
    }
    text
}

/// A reason in one short sentence; `None` for what only the program's own bookkeeping needs.
fn why(form: &Form, edge: &OrderEdge, reason: &ft_prove::Reason, language: tell::Language) -> Option<String> {
    use ft_prove::Reason as Why;
    let need = |part: ft_form::Allowed| {
        let is_inner = form.vars[part.var].name.starts_with("way clear");
        (!is_inner).then(|| without_side(form, &tell::need(form, part, language)))
    };
    let told = match (reason, language) {
        (Why::Enables { part }, _) => format!("{}{}.", ONLY[language_number(language)], need(*part)?),
        (Why::Protects { hazard: Some(index), .. }, _) => {
            let told = tell::hazard(form, *index, language);
            // The rule's number is for those who look it up.
            let words = told.split_once(": ").map_or(told, |(_, words)| words);
            let otherwise = if language == tell::Language::Es { "Si no:" } else { "Otherwise:" };
            format!("{otherwise} {}.", without_side(form, words).trim_end_matches('.'))
        }
        (Why::Protects { hazard: None, part: Some(part) }, tell::Language::En) => {
            format!("The other way round it would no longer be so that {}.", need(*part)?)
        }
        (Why::Protects { hazard: None, part: Some(part) }, tell::Language::Es) => {
            format!("Al revés dejaría de cumplirse que {}.", need(*part)?)
        }
        (Why::Protects { hazard: None, part: None } | Why::Asked { .. } | Why::Kit { .. }, _) => {
            without_side(form, &tell::reason(form, edge, reason, language))
        }
        (Why::SameStep, _) => return None,
    };
    Some(told)
}
