//! Why this now, why not that yet, what if I did: answers in words from the middle of the work.

use ft_form::walk::State;
use ft_form::{EventId, Form};
use ft_prove::live::{self, Cause, May};
use ft_prove::tell::{self, Language};
use ft_prove::{Limits, Verdict};
use serde::Serialize;

use crate::machine::Live;

/// What is to be said about one event now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Answer {
    /// Whether it has happened.
    pub done: bool,
    /// Whether it may happen now.
    pub may: bool,
    /// Why not yet, a sentence each; empty where it may.
    pub why_not: Vec<String>,
    /// Why it comes when it does, a sentence for each order in front of it.
    pub because: Vec<String>,
    /// What would be wrong if it were done now all the same, a sentence each.
    pub harms: Vec<String>,
    /// What could be done after it and not before, in the crew's words.
    pub opens: Vec<String>,
    /// Whether nobody could go on after it.
    pub dead_end: bool,
}

/// More reasons than these are not read at a sink; the first are the nearest. Source: none, our choice.
const REASONS: usize = 6;

/// Everything about one event in this state.
pub fn answer(live: &Live, state: &State, event: EventId, language: &str) -> Answer {
    let language = Language::of(language);
    let form = &live.form;
    let done = state.done[event];
    let may = live::may(form, state, event) == May::Yes;
    let what_if = live::what_if(form, state, event);
    let hazards = what_if.hazards.iter().map(|index| tell::hazard(form, *index, language).to_owned());
    let because = ft_prove::why(&live.order, event)
        .into_iter()
        .flat_map(|edge| edge.reasons.iter().map(move |reason| tell::reason(form, edge, reason, language)));
    Answer {
        done,
        may,
        why_not: if done || may { Vec::new() } else { why_not(live, state, event, language) },
        because: because.collect(),
        harms: if done { Vec::new() } else { hazards.collect() },
        opens: what_if.opens.iter().map(|other| tell::event(form, *other, language).to_owned()).collect(),
        dead_end: !done && what_if.is_dead_end,
    }
}

/// What it waits for, and for an order that only the proof asked for, the reason.
fn why_not(live: &Live, state: &State, event: EventId, language: Language) -> Vec<String> {
    let form = &live.form;
    let mut told = Vec::new();
    for cause in live::why_not_yet(form, state, event) {
        told.push(tell::cause(form, &cause, language));
        if let Cause::Waits(before) = cause {
            let edges = ft_prove::why_not(&live.order, state, event);
            for edge in edges.into_iter().filter(|edge| edge.before == before) {
                told.extend(edge.reasons.iter().map(|reason| tell::reason(form, edge, reason, language)));
            }
        }
    }
    told.dedup();
    told.truncate(REASONS);
    told
}

/// What the proof says of all that is left.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rest {
    /// Whether everything that is left can be done safely in the order that was proved.
    pub safe: bool,
    /// Where not: the shortest way in which it goes wrong, a sentence each.
    pub story: Vec<String>,
    /// Where the old order does not do but another does: what the new one asks for, a sentence each.
    pub new_order: Vec<String>,
    /// The form with the new order, where one was needed and found.
    #[serde(skip)]
    pub form: Option<Form>,
}

/// Proves what is left from a state that no plan foresaw; where the old order no longer does, looks for another.
pub fn rest(live: &Live, state: &State, limits: &Limits, language: &str) -> Rest {
    let language = Language::of(language);
    let fine = Rest { safe: true, story: Vec::new(), new_order: Vec::new(), form: None };
    let story = match live::recheck(&live.form, state, limits) {
        Verdict::Proved(_) => return fine,
        Verdict::Flaw(flaws) => flaws
            .first()
            .map(|flaw| {
                let names =
                    flaw.story.iter().map(|event| tell::event(&live.form, *event, language).to_owned());
                let mut story: Vec<String> = names.collect();
                if let ft_prove::FlawKind::Hazard(index) = flaw.kind {
                    story.push(tell::hazard(&live.form, index, language).to_owned());
                }
                story
            })
            .unwrap_or_default(),
        Verdict::TooLarge(_) => Vec::new(),
    };
    // The order is looked for on the form without it: what the hands and the hazards allow by themselves.
    match live::reorder(&live.lowered.form, state, limits) {
        Ok(order) => {
            let told = order.edges.iter().filter_map(|edge| {
                let first = edge.reasons.first();
                first.map(|reason| tell::reason(&live.lowered.form, edge, reason, language))
            });
            let mut form = live.lowered.form.clone();
            for edge in &order.edges {
                form.events[edge.after].pre.push(edge.before);
            }
            for event in &mut form.events {
                event.pre.sort_unstable();
                event.pre.dedup();
            }
            Rest { safe: true, story, new_order: told.collect(), form: Some(form) }
        }
        Err(_) => Rest { safe: false, story, new_order: Vec::new(), form: None },
    }
}
