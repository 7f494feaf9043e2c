//! The referee of proofs: finds out for itself whether a certificate proves a form.
//!
//! It shares no code with the prover, only the core form's types, and believes nothing that a certificate says:
//! each slice is explored anew, in the plainest way, and at the end it is asked whether the claims that were
//! confirmed add up to a proof. Why they do: `docs/proof-format.md`. It never searches for a slice; it only looks
//! where the certificate points.

mod closure;
mod slice;

use ft_form::Form;
use ft_form::certificate::{Certificate, Claim, VERSION};

use closure::Closure;

/// A certificate that holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Verified {
    /// States looked at.
    pub states: u64,
    /// Claims confirmed.
    pub claims: usize,
}

/// Whether the certificate proves that the form shows no hazard, has no deadlock and always reaches its goal.
///
/// # Errors
/// The first thing that does not hold, as a sentence.
pub fn verify(form: &Form, certificate: &Certificate) -> Result<Verified, String> {
    if certificate.version != VERSION {
        return Err(format!("version {} is not {VERSION}", certificate.version));
    }
    if let Some(problem) = form.problems().into_iter().next() {
        return Err(format!("the form has no meaning: {problem}"));
    }
    let mut order = Closure::of_pre(form);
    for inferred in &certificate.inferred {
        order.infer(form, inferred)?;
    }
    if order.has_circle() {
        return Err("some events would have to come before themselves".into());
    }
    let mut known = Known::new(form);
    let mut verified = Verified { states: 0, claims: 0 };
    for (number, slice) in certificate.slices.iter().enumerate() {
        let here = |problem: String| format!("slice {number}: {problem}");
        let states = slice::confirm(form, &order, &known, slice).map_err(here)?;
        verified.states += states;
        verified.claims += slice.claims.len();
        slice.claims.iter().for_each(|claim| known.add(form, *claim));
    }
    known.missing(form).map_or(Ok(verified), Err)
}

/// The claims that have been confirmed.
pub(crate) struct Known {
    hazards: Vec<bool>,
    goal: Vec<bool>,
    deadlock: bool,
    /// By event, by part of its guard: whether it never blocks the event for good.
    free: Vec<Vec<bool>>,
}

impl Known {
    fn new(form: &Form) -> Self {
        Self {
            hazards: vec![false; form.hazards.len()],
            goal: vec![false; form.goal.len()],
            deadlock: false,
            free: form.events.iter().map(|event| vec![false; event.guard.len()]).collect(),
        }
    }

    fn add(&mut self, form: &Form, claim: Claim) {
        match claim {
            Claim::Hazard(index) => self.hazards[index] = true,
            Claim::Goal(part) => self.goal[part] = true,
            Claim::Deadlock => self.deadlock = true,
            Claim::Ready { event, part } => self.free[event][part] = true,
            Claim::Always { var, mask } | Claim::Rest { var, mask } => {
                for (event, of) in form.events.iter().enumerate() {
                    for (part, allowed) in of.guard.iter().enumerate() {
                        self.free[event][part] |= allowed.var == var && allowed.mask == mask;
                    }
                }
            }
        }
    }

    /// Whether a part of an event's guard may block it for good, for all that is known.
    pub(crate) fn may_block(&self, event: usize, part: usize) -> bool {
        !self.free[event][part]
    }

    /// Whether an event may be blocked for good, for all that is known.
    pub(crate) fn may_be_stuck(&self, event: usize) -> bool {
        self.free[event].contains(&false)
    }

    /// What keeps the claims from adding up to a proof.
    fn missing(&self, form: &Form) -> Option<String> {
        let hazard = self.hazards.iter().position(|known| !known);
        let hazard = hazard.map(|index| format!("hazard `{}` is not excluded", form.hazards[index].id));
        let goal = self.goal.iter().position(|known| !known);
        let goal = goal.map(|part| format!("part {part} of the goal is not claimed"));
        let deadlock = (!self.deadlock).then(|| "deadlocks are not excluded".to_string());
        hazard.or(goal).or(deadlock)
    }
}
