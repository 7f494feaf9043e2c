//! `fulltray print poster`: why this order.

use std::collections::BTreeSet;

use ft_app::order::{NoAnswer, order};
use ft_form::{Event, EventKind, Form, Words};
use ft_paper::Turn;
use ft_paper::poster::{Poster, Reason, document};
use ft_prove::{Limits, Order, OrderEdge, tell};

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
    let reasons = reasons(&prepared.form, &order.edges, tell::Language::of(language));
    let (steps, loose) = steps(&prepared.form, &reasons, tell::Language::of(language));
    let picture = ft_draw::order::svg(&steps, &loose, tell::Language::of(language));
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
        reasons,
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
        // What goes wrong is told before what is needed, and hands last; of equal ones the one that says it shortest.
        let mut told: Vec<String> = told.into_iter().collect::<BTreeSet<_>>().into_iter().collect();
        told.sort_by_key(|sentence| {
            let rank =
                [ONLY, HANDS].iter().position(|of| sentence.starts_with(of[language_number(language)]));
            (rank.map_or(0, |rank| rank + 1), sentence.chars().count())
        });
        if told.is_empty() {
            // What kit and hands are at is the program's bookkeeping; that one step leaves it to the other is not.
            let left = [
                "The step before leaves what this one needs.",
                "El paso anterior deja lo que este necesita.",
            ];
            told.push(left[language_number(language)].to_owned());
        }
        let why = told.into_iter().take(SENTENCES).collect::<Vec<_>>().join("\n");
        Reason { before, after, why }
    };
    pairs.into_iter().map(reason).collect()
}

/// The steps as the table names them, each once, in the card's order, and which comes before which: what follows from
/// others is left out. Where sides cross each other, the card's order holds.
fn steps(form: &Form, reasons: &[Reason], language: tell::Language) -> (Form, Order) {
    let mut names: Vec<String> = Vec::new();
    for event in &form.events {
        let name = name(form, event, language);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let place = |name: &String| names.iter().position(|other| other == name);
    let mut pairs: BTreeSet<(usize, usize)> = BTreeSet::new();
    for reason in reasons {
        pairs.extend(place(&reason.before).zip(place(&reason.after)));
    }
    // The stages of a load follow each other.
    let stages = STAGES.map(|(_, words)| place(&words[language_number(language)].to_owned()));
    pairs.extend(stages.windows(2).filter_map(|pair| pair[0].zip(pair[1])));
    pairs.retain(|(before, after)| before < after);
    // All pairs go forward in the list, so that one pass from its end finds what comes later by way of others.
    let mut later: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); names.len()];
    let mut edges = Vec::new();
    for before in (0..names.len()).rev() {
        let next: Vec<usize> = pairs.range((before, 0)..(before + 1, 0)).map(|(_, after)| *after).collect();
        for &after in &next {
            if !next.iter().any(|by| later[*by].contains(&after)) {
                edges.push(OrderEdge { before, after, reasons: vec![ft_prove::Reason::SameStep] });
            }
        }
        let reached: Vec<usize> = next.iter().flat_map(|by| later[*by].iter().copied()).collect();
        later[before].extend(next);
        later[before].extend(reached);
    }
    let event = |name: &String| {
        let mut event = Event::new(name, name, EventKind::Do);
        event.words = Words::from([(["en", "es"][language_number(language)].to_owned(), name.clone())]);
        // One band for all, without a name.
        event.side = Some(String::new());
        event
    };
    let drawn =
        Form { name: form.name.clone(), events: names.iter().map(event).collect(), ..Form::default() };
    (drawn, Order { edges, is_minimal: true, waits: Vec::new() })
}

/// How a need begins, by language.
const ONLY: [&str; 2] = ["Only when ", "Solo cuando "];

/// How it is told that hands or kit are wanted, by language.
const HANDS: [&str; 2] = ["Otherwise everybody could ", "Si no, todos podrían "];

fn language_number(language: tell::Language) -> usize {
    match language {
        tell::Language::En => 0,
        tell::Language::Es => 1,
    }
}

fn is_load(event: &Event) -> bool {
    event.step.starts_with("Load ")
}

/// The stages of a wash load in their order, and what they are called in each language.
const STAGES: [(&str, [&str; 2]); 4] = [
    ("wash", ["Wash the parts", "Lavar las piezas"]),
    ("rinse", ["Rinse the parts", "Enjuagar las piezas"]),
    ("sanitise", ["Sanitise the parts", "Desinfectar las piezas"]),
    ("lay out", ["Lay the parts out", "Colocar las piezas"]),
];

/// What a step is called, without its side; of a wash load its stage alone.
fn name(form: &Form, event: &Event, language: tell::Language) -> String {
    if is_load(event) {
        let stage = event.step.rsplit(", ").next().unwrap_or_default();
        let (_, words) = STAGES.into_iter().find(|(of, _)| *of == stage).unwrap_or(STAGES[3]);
        return words[language_number(language)].to_owned();
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
    for side in &sides {
        text = text.replace(&format!(" ({side})"), "");
    }
    // In a bracket of its own within another one.
    while let Some((head, _)) = text.split_once("))")
        && let Some(open) = head.rfind(" (")
        && !head[open + 2..].contains(' ')
    {
        let close = head.len();
        text.replace_range(open..=close, "");
    }
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

/// What kit a variable of the program's own bookkeeping counts; empty: hands. `None`: it is a state of the machine.
fn kit(name: &str) -> Option<&str> {
    if name.starts_with('#') {
        return Some("");
    }
    [", free", ", in hand", ", libre", ", en mano"].iter().find_map(|end| name.strip_suffix(end))
}

/// A need by what is refused, where that is shorter than all that is allowed.
fn refused(form: &Form, part: ft_form::Allowed, language: tell::Language) -> Option<String> {
    let var = &form.vars[part.var];
    let (code, is_not, or) = [("en", "is not", "or"), ("es", "no esté en", "ni")][language_number(language)];
    let (allowed, refused): (Vec<i32>, Vec<i32>) =
        (var.lo..=var.hi).partition(|value| ft_form::allows(var, part.mask, *value));
    if var.vals.is_empty() || allowed.len() <= 2 || refused.len() > 2 {
        return None;
    }
    let values: Vec<String> = refused.iter().map(|value| form.value_text(part.var, *value, code)).collect();
    Some(format!("{} {is_not} {}", tell::var(form, part.var, language), values.join(&format!(" {or} "))))
}

/// A reason in one short sentence; `None` for what only the program's own bookkeeping needs.
fn why(form: &Form, edge: &OrderEdge, reason: &ft_prove::Reason, language: tell::Language) -> Option<String> {
    use ft_prove::Reason as Why;
    let need = |part: ft_form::Allowed| {
        let name = &form.vars[part.var].name;
        let is_inner = name.starts_with("way clear") || kit(name).is_some();
        (!is_inner).then(|| {
            let told = refused(form, part, language).unwrap_or_else(|| tell::need(form, part, language));
            without_side(form, &told)
        })
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
        (Why::Protects { hazard: None, part: None }, tell::Language::En) => {
            "The other way round the work could not be finished.".to_owned()
        }
        (Why::Protects { hazard: None, part: None }, tell::Language::Es) => {
            "Al revés no se podría terminar.".to_owned()
        }
        (Why::Kit { var }, tell::Language::En) => match kit(&form.vars[*var].name) {
            Some("") | None => "Otherwise everybody could stand there with full hands and wait.".to_owned(),
            Some(_) => {
                let words = tell::var(form, *var, language);
                format!("Otherwise everybody could wait for a {}.", kit(words).unwrap_or(words))
            }
        },
        (Why::Kit { var }, tell::Language::Es) => match kit(&form.vars[*var].name) {
            Some("") | None => "Si no, todos podrían quedarse esperando con las manos ocupadas.".to_owned(),
            Some(_) => {
                let words = tell::var(form, *var, language);
                format!("Si no, todos podrían quedarse esperando: {}.", kit(words).unwrap_or(words))
            }
        },
        (Why::Asked { .. }, _) => without_side(form, &tell::reason(form, edge, reason, language)),
        (Why::SameStep, _) => return None,
    };
    Some(told)
}
