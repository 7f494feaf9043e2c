//! `fulltray print poster`: why this order.

use std::collections::BTreeSet;

use ft_app::order::{EdgeView, NoAnswer, order};
use ft_form::{Event, Form};
use ft_paper::Turn;
use ft_paper::poster::{Poster, Reason, document};
use ft_prove::{Limits, OrderEdge};

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
        reasons: reasons(&prepared.form, &order.edges, &view.orders),
    };
    super::write(document(&poster), Turn::Landscape, &args.to)
}

/// Sentences that a poster gives for a pair of steps: the shortest ones. `fulltray order` has them all.
const SENTENCES: usize = 2;

/// Which step before which: events of a step taken together, and sides too where both are of one side. The stages of
/// wash loads among each other are left out: the poster says once that they follow each other.
fn reasons(form: &Form, edges: &[OrderEdge], views: &[EdgeView]) -> Vec<Reason> {
    let mut pairs: Vec<(String, String, BTreeSet<&str>)> = Vec::new();
    for (edge, view) in edges.iter().zip(views) {
        let (before, after) = (&form.events[edge.before], &form.events[edge.after]);
        let is_load = |event: &Event| event.step.starts_with("Load ");
        if before.step == after.step || (is_load(before) && is_load(after)) {
            continue;
        }
        let side = before.side.as_ref().filter(|_| before.side == after.side);
        let name = |event: &Event| match side {
            Some(side) => event.step.replace(&format!(" ({side})"), ""),
            None => event.step.clone(),
        };
        let (before, after) = (name(before), name(after));
        let told = view.reasons.iter().filter(|reason| reason.kind != "same-step");
        let told = told.map(|reason| reason.told.as_str());
        match pairs.iter_mut().find(|pair| (&pair.0, &pair.1) == (&before, &after)) {
            Some(pair) => pair.2.extend(told),
            None => pairs.push((before, after, told.collect())),
        }
    }
    let reason = |(before, after, told): (String, String, BTreeSet<&str>)| {
        let mut told: Vec<&str> = told.into_iter().collect();
        told.sort_by_key(|sentence| sentence.chars().count());
        let why = told.iter().take(SENTENCES).copied().collect::<Vec<_>>().join("\n");
        Reason { before, after, why }
    };
    pairs.into_iter().filter(|pair| !pair.2.is_empty()).map(reason).collect()
}
