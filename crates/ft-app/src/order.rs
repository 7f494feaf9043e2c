//! `order` and `repair`: which steps truly depend on each other, and what would make a card safe.

use ft_form::Form;
use ft_prove::{Limits, NoOrder, Order, OrderEdge, Reason, Repair, tell};
use serde::Serialize;

/// The loosest safe order of a form.
#[derive(Debug, Clone, Serialize)]
pub struct OrderView {
    /// Which procedure and variant it is; empty for a core form file.
    #[serde(rename = "x-title")]
    pub title: String,
    /// Sorted by what comes later, then by what comes first.
    pub orders: Vec<EdgeView>,
    /// Whether it was proved of each order that it cannot be dropped.
    #[serde(rename = "x-minimal")]
    pub minimal: bool,
    /// How many pairs of steps may be done in either order, out of all pairs, in per cent.
    #[serde(rename = "x-free-percent")]
    pub free_percent: f64,
}

/// One event before another.
#[derive(Debug, Clone, Serialize)]
pub struct EdgeView {
    /// What comes first, by name.
    pub before: String,
    /// What comes later, by name.
    pub after: String,
    /// Why: each with its kind and a sentence.
    pub reasons: Vec<ReasonView>,
}

/// One reason of an order.
#[derive(Debug, Clone, Serialize)]
pub struct ReasonView {
    /// `enables`, `protects`, `asked`, `kit` or `same-step`.
    pub kind: &'static str,
    /// The reason in words.
    pub told: String,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoAnswer {
    /// No order is safe; what is missing, one sentence each.
    Unsafe(Vec<String>),
    /// The limits were reached first.
    TooLarge,
}

/// Derives the order of a form.
///
/// # Errors
/// [`NoAnswer`] if no order is safe or the limits were reached.
pub fn order(
    title: &str,
    form: &Form,
    limits: &Limits,
    language: &str,
) -> Result<(OrderView, Order), NoAnswer> {
    let order = ft_prove::order(form, limits).map_err(|none| match none {
        NoOrder::Unsafe { missing } => NoAnswer::Unsafe(missing),
        NoOrder::TooLarge => NoAnswer::TooLarge,
    })?;
    let orders = order.edges.iter().map(|edge| edge_view(form, edge, language)).collect();
    let view = OrderView {
        title: title.to_owned(),
        orders,
        minimal: order.is_minimal,
        free_percent: free_percent(form.events.len(), &order),
    };
    Ok((view, order))
}

/// An edge as it is shown.
pub fn edge_view(form: &Form, edge: &OrderEdge, language: &str) -> EdgeView {
    let language = tell::Language::of(language);
    let reasons = edge
        .reasons
        .iter()
        .map(|reason| ReasonView { kind: kind(reason), told: tell::reason(form, edge, reason, language) })
        .collect();
    EdgeView {
        before: form.events[edge.before].name.clone(),
        after: form.events[edge.after].name.clone(),
        reasons,
    }
}

fn kind(reason: &Reason) -> &'static str {
    match reason {
        Reason::Enables { .. } => "enables",
        Reason::Protects { .. } => "protects",
        Reason::Asked { .. } => "asked",
        Reason::Kit { .. } => "kit",
        Reason::SameStep => "same-step",
    }
}

/// Pairs of events that may come in either order.
fn free_percent(events: usize, order: &Order) -> f64 {
    if events < 2 {
        return 100.0;
    }
    let mut before = vec![vec![false; events]; events];
    for edge in &order.edges {
        before[edge.before][edge.after] = true;
    }
    for by in 0..events {
        for first in 0..events {
            if before[first][by] {
                let row = before[by].clone();
                for (then, reaches) in row.into_iter().enumerate() {
                    before[first][then] |= reaches;
                }
            }
        }
    }
    let bound = before.iter().flatten().filter(|reaches| **reaches).count();
    let pairs = events * (events - 1) / 2;
    100.0 * (pairs - bound.min(pairs)) as f64 / pairs as f64
}

/// What would make a form safe.
#[derive(Debug, Clone, Serialize)]
pub struct RepairView {
    /// Which procedure and variant it is; empty for a core form file.
    #[serde(rename = "x-title")]
    pub title: String,
    /// The smallest set of orders that makes it safe; empty where it is safe already.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub add: Option<Vec<AddedView>>,
    /// What is missing, where no order can help.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub impossible: Option<Vec<String>>,
    /// The limits were reached first.
    #[serde(rename = "x-too-large", skip_serializing_if = "std::ops::Not::not")]
    pub too_large: bool,
}

/// One order of a repair.
#[derive(Debug, Clone, Serialize)]
pub struct AddedView {
    /// What must come first, by name.
    pub before: String,
    /// What must come later, by name.
    pub after: String,
    /// What goes wrong without it.
    #[serde(rename = "x-prevents")]
    pub prevents: String,
    /// The story that goes wrong without it, by event names.
    #[serde(rename = "x-story")]
    pub story: Vec<String>,
    /// The order in words.
    #[serde(rename = "x-told")]
    pub told: String,
}

/// Finds the smallest repair of a form.
pub fn repair(title: &str, form: &Form, limits: &Limits, language: &str) -> RepairView {
    let mut view = RepairView { title: title.to_owned(), add: None, impossible: None, too_large: false };
    match ft_prove::repair(form, limits) {
        Repair::Nothing => view.add = Some(Vec::new()),
        Repair::Add(added) => {
            view.add = Some(
                added
                    .iter()
                    .map(|one| AddedView {
                        before: form.events[one.before].name.clone(),
                        after: form.events[one.after].name.clone(),
                        prevents: one.prevents.text(form),
                        story: crate::check::names(form, &one.story),
                        told: tell::added(form, one, tell::Language::of(language)),
                    })
                    .collect(),
            );
        }
        Repair::Impossible { missing } => view.impossible = Some(missing),
        Repair::TooLarge => view.too_large = true,
    }
    view
}
