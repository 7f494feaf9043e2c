//! A form in which waiting is not a way out: an event that comes before its guard holds shows a hazard.
//!
//! An order is derived for this form, so that whoever follows it never stands before a step that cannot be
//! done. Only kit and people, and amounts for which the card itself relies on waiting, are waited for.

use ft_form::{Allowed, EventId, Form, Hazard, VarKind, Words};

use crate::check::Prover;
use crate::verdict::Limits;

/// A form with guards made into hazards.
pub(crate) struct Strict {
    pub(crate) form: Form,
    /// By variable: whether its guards are waited for.
    pub(crate) waits: Vec<bool>,
    /// The guards that the hazards after the form's own stand for.
    guards: Vec<(EventId, Allowed)>,
    own_hazards: usize,
}

/// What a hazard of a strict form stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Meant {
    Hazard(usize),
    Guard(EventId, Allowed),
}

impl Strict {
    /// Waits for kit and people only.
    pub(crate) fn new(form: &Form) -> Self {
        let waits = form.vars.iter().map(|var| var.kind == VarKind::Res).collect();
        Self::waiting(form, waits)
    }

    /// Waits also for each variable of which a guard may fail when its event is ready, as the form stands.
    pub(crate) fn of_card(form: &Form, limits: &Limits) -> Self {
        let ready = Prover::new(form, limits).ready_parts();
        let mut waits: Vec<bool> = form.vars.iter().map(|var| var.kind == VarKind::Res).collect();
        for (event, ready) in form.events.iter().zip(ready) {
            for (part, is_ready) in event.guard.iter().zip(ready) {
                waits[part.var] |= !is_ready;
            }
        }
        Self::waiting(form, waits)
    }

    fn waiting(form: &Form, waits: Vec<bool>) -> Self {
        let mut strict = form.clone();
        let own_hazards = form.hazards.len();
        let mut guards = Vec::new();
        for (id, event) in strict.events.iter_mut().enumerate() {
            let (kept, moved): (Vec<Allowed>, Vec<Allowed>) =
                event.guard.iter().partition(|part| waits[part.var]);
            event.guard = kept;
            guards.extend(moved.into_iter().map(|part| (id, part)));
        }
        for (number, (event, part)) in guards.iter().enumerate() {
            strict.hazards.push(Hazard {
                id: format!("guard:{number}"),
                on: Some(*event),
                when: vec![Allowed { var: part.var, mask: !part.mask }],
                words: Words::new(),
                origin: None,
            });
        }
        Self { form: strict, waits, guards, own_hazards }
    }

    pub(crate) fn meant(&self, hazard: usize) -> Meant {
        match hazard.checked_sub(self.own_hazards) {
            None => Meant::Hazard(hazard),
            Some(guard) => Meant::Guard(self.guards[guard].0, self.guards[guard].1),
        }
    }
}
