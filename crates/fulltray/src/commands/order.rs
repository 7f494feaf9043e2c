//! `fulltray order`.

use std::fmt::Write as _;

use ft_app::order::{NoAnswer, edge_view, order};
use ft_app::{Prepared, Source};
use ft_form::EventId;
use ft_form::walk::State;
use ft_prove::{Limits, Order};

use super::{chosen_one, out, out_json, write_file};
use crate::args::OrderArgs;
use crate::exit::{Answer, Failure};

/// Derives the order of one variant.
pub fn run(args: &OrderArgs) -> Result<Answer, Failure> {
    let (source, choice) = chosen_one(&args.chosen)?;
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
        Err(NoAnswer::Unsafe(missing)) => {
            out("No order of these steps is safe.\n")?;
            missing.iter().try_for_each(|sentence| out(&format!("  {sentence}\n")))?;
            return Ok(Answer::No);
        }
    };
    if let Some(path) = &args.svg {
        write_file(
            path,
            &ft_draw::order::svg(&prepared.form, &order, ft_prove::tell::Language::of(language)),
        )?;
    }
    if let Some(step) = args.why.as_ref().or(args.why_not.as_ref()) {
        return why(&source, prepared, &order, step, args);
    }
    if args.chosen.json {
        out_json(&view)?;
    } else {
        let mut text = String::new();
        let _ = writeln!(
            text,
            "{}: {} orders are needed; {:.0} % of all pairs of steps may be done in either order.\n",
            source.name,
            view.orders.len(),
            view.free_percent
        );
        for edge in &view.orders {
            if edge.reasons.iter().all(|reason| reason.kind == "same-step") {
                continue;
            }
            let _ = writeln!(text, "{}  before  {}", edge.before, edge.after);
            for reason in &edge.reasons {
                let _ = writeln!(text, "    {}: {}", reason.kind, reason.told);
            }
        }
        out(&text)?;
    }
    Ok(Answer::Yes)
}

/// The events of a step, named as the card, the side or the event names it.
fn events(prepared: &Prepared, step: &str) -> Vec<EventId> {
    let form = &prepared.form;
    let fits = |event: &ft_form::Event| {
        event.step == step
            || event.name == step
            || event.step.strip_prefix(step).is_some_and(|rest| rest.starts_with(" ("))
    };
    (0..form.events.len()).filter(|event| fits(&form.events[*event])).collect()
}

fn why(
    source: &Source,
    prepared: &Prepared,
    order: &Order,
    step: &str,
    args: &OrderArgs,
) -> Result<Answer, Failure> {
    let form = &prepared.form;
    let events = events(prepared, step);
    if events.is_empty() {
        let names: Vec<&str> = form.events.iter().map(|event| event.step.as_str()).collect();
        let remedy = match ft_diag::nearest(step, names.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "`fulltray order FILE` lists the steps".to_owned(),
        };
        return Err(Failure::plain("F0071", format!("{}: there is no step `{step}`", source.name), remedy));
    }
    let start = State::start(form);
    let mut edges = Vec::new();
    for &event in &events {
        let found = if args.why_not.is_some() {
            ft_prove::why_not(order, &start, event)
        } else {
            ft_prove::why(order, event)
        };
        edges.extend(found.into_iter().filter(|edge| !events.contains(&edge.before)));
    }
    let views: Vec<_> = edges.iter().map(|edge| edge_view(form, edge, &args.chosen.language)).collect();
    if args.chosen.json {
        out_json(&views)?;
    } else if views.is_empty() {
        out(&format!("Nothing has to come before `{step}`: it may be done at any time.\n"))?;
    } else {
        let mut text = String::new();
        for edge in &views {
            let _ = writeln!(text, "`{}` comes after `{}`:", edge.after, edge.before);
            for reason in &edge.reasons {
                let _ = writeln!(text, "    {}", reason.told);
            }
        }
        out(&text)?;
    }
    Ok(Answer::Yes)
}
